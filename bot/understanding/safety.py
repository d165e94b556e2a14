"""What must be recognised before anything else: dangerous asks, and what is no work of ours."""

import re

from bot.understanding.passage import Passage, Span

_BALLOONS = r"(?:balloons?|ballons?|baloons?|ballooons?|globos?|globitos?|luftballons?)"
_THEM = rf"(?:(?:\S+\s){{0,6}}?{_BALLOONS}|them(?:\sall)?|em|it)"
_UP = (
    r"(?:(?:in|into|to|up\sto|up\sinto|toward|towards|up\sin)\s(?:the\s)?(?:sky|heaven|air|clouds)|"
    r"free|loose|fly\saway|fly\soff|float\s(?:away|off|up)|(?:fly|flying|floating|floats?)\s(?:up|"
    r"away|off))"
)
_RELEASE = re.compile(
    rf"\b{_BALLOONS}\s(?:release|releases|releasing|launch|liberacion)\b|"
    rf"\b(?:mass\s|ceremonial\s|memorial\s|dove\s)?releas\w+\s{_THEM}\b|"
    rf"\b{_BALLOONS}\s(?:\S+\s){{0,4}}?(?:releas\w+|let\sgo|set\sfree|{_UP})\b|"
    rf"\b(?:let|lets|letting|set|setting|send|"
    rf"sending)\s(?:\S+\s){{0,5}}?{_BALLOONS}\s(?:\S+\s){{0,2}}?"
    rf"(?:go|off(?! (?:to|of|in|at|on))|{_UP})\b|"
    rf"\b(?:let|letting)\s(?:go\s(?:of\s)?(?:\S+\s){{0,4}}?{_BALLOONS}|(?:them|"
    rf"em)\s(?:all\s)?(?:go|fly|"
    rf"float|loose))\b|"
    rf"\b(?:send|sending|launch|launching|float|floating|throw|throwing)\s(?:up\s|off\s)?{_THEM}\s"
    rf"(?:\S+\s)?{_UP}|"
    rf"\b{_BALLOONS}\sand\s(?:send|let|launch|float|release)\s(?:them|em)\s(?:all\s)?(?:up|off|go|fly|away)\b|"
    rf"\b(?:send|launch)(?:ing)?\s(?:up|off)\s(?:\S+\s){{0,4}}?{_BALLOONS}\b|"
    # "Float them up at the end", but not "send the balloons up to the ballroom".
    rf"\b(?:send|launch|float)(?:ing)?\s(?:\S+\s){{0,4}}?{_BALLOONS}\sup\b(?!\s(?:the|on|to|against)\b)|"
    r"\b(?:solt|suelt|liber|lanz|avent)\w{0,6}\s(?:\S+\s){0,4}?globos?\b|"
    r"\b(?:ech|dej|mand)\w{0,5}\s(?:\S+\s){0,2}?(?:volar|ir|irse|vuelen|"
    r"escapar)\s(?:\S+\s){0,3}?globos?\b|"
    r"\b(?:mand|envi|ech)\w{0,4}\s(?:\S+\s){0,4}?globos?\s(?:al\s(?:cielo|aire)|a\svolar)\b|"
    rf"\b(?:suelta|liberacion|lanzamiento)\sde\s(?:\S+\s)?globos?\b|"
    rf"\bglobos?\s(?:\S+\s){{0,5}}?(?:al\scielo|a\svolar|soltarlos|liberarlos|soltemos|"
    rf"que\svuelen)\b|"
    r"\bsolt(?:ar|amos|emos)(?:los|las)?\b(?=[^.!?\n]{0,30}\b(?:cielo|aire|ceremonia|final)\b)|"
    r"\blacher\sde\sballons\b|\bsoltar\s(?:\S+\s){0,3}(?:baloes|balões)\b|\bsteigen\slassen\b"
)
_NO_RELEASE = re.compile(
    r"\b(?:no|not|never|without|dont|don't|wont|won't|isn't|sin|nada de|against|instead of)\s"
    r"(?:\S+\s){0,3}$|\b(?:press|drop|net)\s$"
)
_INDOOR_DROP = re.compile(r"\b(?:balloon drop|ceiling|net|caida de globos)\b")
_HYDROGEN = re.compile(
    r"\b(?:hydrogen|hydrogene|hydorgen|hydrogin|hidrogeno|hidrojeno|idrogeno|wasserstoff|h2 gas)\b"
)
_NO_HYDROGEN = re.compile(r"\b(?:no|not|never|without|dont use|don't use|sin)\s(?:\S+\s)?$")

_ORDERS = re.compile(
    r"\bignor\w*\s(?:all\s|any\s|the\s|your\s|my\s|todas?\s|las\s|tus\s)*(?:previous|prior|above|"
    r"earlier|instructions|rules|instrucciones|anteriores)\b(?:\s(?:instructions?|rules|prompts?|"
    r"messages?|anteriores))?|"
    r"\b(?:system|developer)\s(?:prompt|message|mode)\b|\byou are now\b|\bpretend (?:you|to be|"
    r"that you)\b[^.!?\n]{0,60}|\bact as (?:an?|if)\b[^.!?\n]{0,40}|\bjailbreak\w*|"
    r"\bdisregard\s(?:all|any|the|your|previous)\b[^.!?\n]{0,40}|\breveal\syour\b[^.!?\n]{0,40}|"
    r"\bforget (?:everything|all|your|previous)\b[^.!?\n]{0,40}|"
    r"<\s?/?\s?(?:script|img|iframe|svg|b|a)\b[^>\n]{0,200}>?|\b(?:delete\sfrom|"
    r"(?:drop|truncate|alter)\s(?:table|database))\b(?:\s\w+)?|\bunion\sselect\b|"
    r"'\s?or\s'?1'?\s?=\s?'?1|"
    r"\{\{[^}\n]{0,60}\}\}|"
    r"\$\{[^}\n]{0,60}\}|\b(?:api|secret) key\b|\bprint (?:your|the) (?:instructions|prompt)\b|"
    r"\btu eres ahora\b|\bolvida (?:todo|tus|las)\b(?:(?!\sy\s)[^.!?\n]){0,40}"
)
_TRADES = (
    r"bounce (?:house|castle)s?|bouncy (?:castle|house)s?|inflatables?|jumpers?|moon ?bounce|"
    r"jump(?:er|ing) (?:house|castle)s?|slip n slide|"
    r"face ?paint\w*|cater(?:ing|er|ers)?|djs?|d\.j|mc|live bands?|mariachis?|music(?:ians?)?|"
    r"singers?|"
    r"photograph(?:er|ers|y)(?!')|videograph\w+|magicians?|clowns?|storytellers?|story teller|"
    r"entertainers?|"
    r"princess(?:es)? (?:characters?|visits?)|santa|mascots?|costumes?|"
    r"(?:folding )?chairs|tables and chairs|tents?|canop(?:y|ies)|speakers?|sound systems?|linens?|"
    r"table ?cloths?|dance ?floors?|heaters?|generators?|porta ?potty|"
    r"karaoke|pinatas?|balloon (?:animals?|twist\w*|artist)|hot air balloons?|weather balloons?|"
    r"water balloons?|(?:\d|three|two|four)[\s-]?tier(?:ed)? cakes?|(?:bake|make|sell|do|provide|"
    r"bring) "
    r"(?:\w+ ){0,2}cakes?|cakes?(?= (?:too|also|as well|please|and)\b|\?|$)|birthday cakes?|"
    r"cupcakes?|"
    r"wedding cakes?|desserts?(?= (?:too|also)|\?|$)|food truck|taco (?:stand|truck|guy|man)|"
    r"bartenders?|"
    r"pony rides?|ponies|petting zoo|fireworks|sparklers|fog machines?|smoke machines?|"
    r"snow machines?|"
    r"bubble machines?|cotton candy|popcorn machines?|photo ?booths?(?: rentals?)?|limos?|"
    r"limousines?|"
    r"party bus|invitations?|(?:wedding )?dress(?:es)?|makeup|hair ?styl\w+|"
    r"(?:fresh |real |cut )?(?:roses|tulips|peonies|hydrangeas|flowers|stems|bouquets of roses) "
    r"(?:wholesale|by the stem|in bulk)|bridal bouquets?|corsages?|boutonnieres?|"
    r"helium tanks?|lawn (?:care|mowing)|landscaping|plumb(?:er|ing)|roof(?:er|ing)|house cleaning|"
    r"brincolin(?:es)?|inflables?|trampolin(?:es)?|pinta ?caritas|payas[oa]s?|mag[oa]s?|"
    r"fotograf[oa]s?|"
    r"(?:servicio de )?(?:fotografia|video|banquetes?|meseros?|musica|sonido|comida|catering)|"
    r"grupo (?:musical|norteno)|banda(?: en vivo)?|mesas y sillas|sillas(?: y mesas)?|carpas?|"
    r"toldos?|"
    r"manteleria|vajillas?|maquinas? de (?:nieve|humo|palomitas|burbujas|algodon|raspados)|"
    r"globoflexia|pastel(?:es|eria)?(?= (?:tambien|de)\b|\?|$)|taquiz[ao]s?|taquero|vestidos?|"
    r"maquillaje|"
    r"invitaciones|fuegos artificiales|cohetes|"
    r"pula[- ]pula|hupfburg|chateau gonflable"
)
_ASKED_FOR = (
    r"(?:do (?:you|u|ya|y'?all)|can (?:you|u|i|we)|could (?:you|u|i|we)|would (?:you|u)|also|"
    r"need\w*|want\w*|"
    r"looking (?:for|to)|rent\w*|hire|hiring|provid\w+|offer\w*|sell\w*|have|bring|supply|book|"
    r"get|got any|"
    r"get me|how much (?:is|for|are)|price (?:of|for|on)|quote (?:for|on)|renta\w*|alquil\w+|"
    r"ofrec\w+|"
    r"hacen|tienen|tiene|venden|vende|manejan|consig\w+|incluyen|dan|necesit\w+|busc\w+|quier\w+|"
    r"quisiera|"
    r"ocupo|ocupamos|precio de|cuanto (?:por|cuesta|sale)|tambien|vendem|alugam|fazem|avez)"
)
_ASKS_ELSEWHERE = re.compile(
    rf"\b{_ASKED_FOR}\b(?P<between>[^.!?;\n]{{0,50}}?)(?<!the )(?<!our )(?<!my )(?<!their "
    rf")(?<!his )"
    rf"(?<!her )(?<!el )(?<!la )(?<!mi )(?<!los )(?<!las )(?<!nuestro )(?<!behind )\b(?:{_TRADES})"
    r"\b(?! (?:themed?|table|tables|tent|area|stand|topper|booth garland|wall|backdrop|arch|"
    r"columns?|ceiling|entrance|swags?|sign|drop|hoops?|"
    r"garland|balloons?|decor|colou?rs?|shop|store|company|will|is|are|has|needs|party|ceremony))"
)


def hazards_in(passage: Passage) -> tuple[str, ...]:
    """ "unsafe_release" and "hydrogen", where asked for and not refused."""
    text = passage.folded
    flags = []
    if _asked(text, _RELEASE, _NO_RELEASE) and not _INDOOR_DROP.search(text):
        flags.append("unsafe_release")
    if _asked(text, _HYDROGEN, _NO_HYDROGEN):
        flags.append("hydrogen")
    return tuple(flags)


def orders_in(passage: Passage) -> tuple[Span, ...]:
    """Text that tries to give the program orders: masked, so that nothing is read from it."""
    return tuple(found.span() for found in _ORDERS.finditer(passage.folded))


def is_elsewhere(passage: Passage) -> bool:
    """Does the message ask for something that is no decorator's work?"""
    return bool(_ASKS_ELSEWHERE.search(passage.folded))


def _asked(text: str, ask: re.Pattern[str], refusal: re.Pattern[str]) -> bool:
    """Is it asked for anywhere without a refusal before it ("no balloon release")?"""
    return any(
        not refusal.search(text[max(0, found.start() - 40) : found.start()])
        for found in ask.finditer(text)
    )
