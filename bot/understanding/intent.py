"""What the client wants of us: a quote, an answer, a change, an end, or to complain."""

import re
from dataclasses import dataclass

from bot.understanding.passage import Passage

_CANCEL = re.compile(
    r"\b(?:(?:want|need|have|like|going|wish)(?: to|ing to) (?:\w+ )?cancel|please cancel|"
    r"cancel (?:my|our|the|this|it|everything|please|order|booking|all)|cancel+ing (?:my|our|"
    r"the)|^cancel\b|just cancel|must cancel|"
    r"(?:is|are|was) (?:being )?cancel+ed|call(?:ing)? (?:it|the (?:whole )?(?:thing|party|event|"
    r"wedding)) off|(?:the )?(?:party|event|wedding|shower) is off|(?:no longer|dont|don't|wont|"
    r"won't) need (?:the |your |you |it |them |any |a )?(?:balloons|garland|arch|services?|order|"
    r"you|it|them)?\s?(?:any ?more|after all)|"
    r"no longer (?:need|want|interested)|not going (?:ahead|forward|through)|nevermind the order|"
    r"never ?mind,? (?:we|i) (?:dont|don't|found|are)|decided not to|(?:decided|going|"
    r"ended up) (?:to go|going|with) (?:with )?(?:someone|somebody|another)|(?:dont|don't|"
    r"do not) want (?:it|them|the \w+|this) any ?more|^forget (?:it|about it)|"
    r"forget the (?:order|whole)|went with (?:someone|another)|found someone else|"
    r"cancela(?:r|me|mos|rlo|rla|cion de mi)?\b(?! gratis)|quiero anular|anula(?:r)? (?:mi|el|"
    r"la)|ya no (?:lo |la |los |las )?(?:vamos|voy|necesit\w+|quier\w+|queremos|se va|habra|"
    r"hare\w*|me interesa)|se cancelo|no vamos a hacer)\b"
)
_CANCEL_ASKED = re.compile(
    r"cancell?ation (?:policy|fee|terms)|(?:what|happens?|how|can|could|if|fee|charge|policy|"
    r"free)\b[^.!?\n]{0,24}\bcancel|cancel+ed on (?:me|us)|politica de cancelacion|si cancel|"
    r"puedo cancelar|se puede cancelar"
)
_COMPLAINT = re.compile(
    r"\b(?:(?:want|need|demand|expect|would like|give me|get|getting|for|owe me|full|"
    r"like) (?:my |a |our |full |the )*(?:refund|money back)|refund me|never (?:showed|arrived|"
    r"came|turned up|delivered|got)|no ?one (?:showed|came)|didn'?t (?:show|come|arrive|turn up)|"
    r"did not (?:show|come|arrive)|no[- ]show|"
    r"(?:was|were|is|are|so|very|really|extremely|super|pretty|quite|am|im|"
    r"i'm) (?:\w+ )?(?:disappoint\w+|unhappy|upset|furious|angry|unacceptable|terrible|awful|"
    r"horrible|rude|frustrat\w+|unprofessional|disgusted)|not happy|not acceptable|disappointed|"
    r"(?:you|they|he|she|balloons?|garland|arch|columns?|it|half|all|everything|decorations?|"
    r"hoop|ones?|some|most|delivery)\b[^.!?\n]{0,40}\b(?:popped|deflated|fell (?:down|apart|over|"
    r"off)|collapsed|burst(?:ed)?|were late|was late|hours? late|minutes late|were wrong|"
    r"was wrong|wrong colou?rs?|broke|shriveled|came apart|overcharged|ruined)|"
    r"(?:garlands?|arch|columns?|hoops?|balloons?) (?:all |just )?fell|"
    r"(?:worst|ruined|not what (?:i|we) (?:ordered|asked|paid|wanted)|still waiting for (?:you|"
    r"the|my|our)|(?:deposit|money) back|where (?:are|were) you(?: guys)?$|scam|rip ?-?off|"
    r"ripped off|complain\w*|complaint|overcharged|double charged|charged (?:me )?twice|"
    r"unacceptable|this is ridiculous|wrong colou?rs|colou?rs were wrong|lousy)|"
    r"queja|quejarme|reclam\w+|reembolso|(?:quiero|devuelvan|regresen|devolver) (?:mi |"
    r"el )?dinero|dinero de (?:vuelta|regreso)|se (?:reventaron|desinflaron|reventaba\w*|cayo|"
    r"cayeron|poncharon|desinflo|revento|rompieron)|decepcionad[oa]s?|nunca llegar\w+|"
    r"no llegar\w+|llegaron tarde|llego tarde|pesimo|pesima|mal servicio|horrible|estaf\w+|"
    r"muy molest[oa]|que verguenza|colores equivocados|nadie (?:contesta|llego|responde))\b"
)
_COMPLAINT_ASKED = re.compile(
    r"refund(?:able)? (?:policy|if)|(?:is|deposit) (?:\w+ )?refundable|what (?:if|happens)|"
    r"do (?:they|balloons|you)[^.!?\n]{0,20}(?:pop|deflate)|will (?:they|it)|ever pop|(?:last|"
    r"other|previous|another|my) (?:decorator|vendor|company|person|lady|guy)"
)
_CHANGE = re.compile(
    r"\b(?:actually|(?:change|changing|cange|chnage|update|switch|swap|modify|edit|adjust) (?:it|"
    r"the|my|our|that|from|to|pink|date|time|color|colour|size|venue|\w+ (?:to|for|out|with))|"
    r"(?:can|could|may|need|want|like|have|lets|let's) (?:\w+ ){0,2}(?:change|switch|swap|update|"
    r"modify|reschedule|postpone)\b(?! of)|"
    r"make (?:it|that|them|the \w+)\s?(?!look\b|out\b|work\b|sure\b)(?:to |be |a (?:bit|"
    r"little) )?(?:\S*\d|a |an |(?:full|bigg|small|tall|wid|long|short|light|dark)er\b|"
    r"one|two|three|four|five|six|seven|eight|nine|ten|all |more |less |big|small|wide|tall|long|"
    r"short|\w+ instead)|move (?:it|the|my|our|us) |moved (?:it )?to|rescheduled?|postpone|"
    r"push (?:it|the) |instead\b|i meant|sorry,? (?:not|i meant|its|it's|make|wrong)|correction|"
    r"scratch that|(?:also )?add (?:a|an|one|two|three|another|some|more|foil)|"
    r"(?:can|could) (?:u|you|we|i) (?:also )?(?:add|remove|drop|take (?:off|out))|remove the|"
    r"take (?:off|out) the|drop the (?:\w+ )?(?:column|hoop|foil|garland|arch|time)s?|"
    r"without the|turns out|(?:venue|date|time|location|place|plans?) (?:has |have )?(?:changed|"
    r"moved)|(?:we|i) now (?:have|need|want)|(?:no )?wait,? (?:its|it's|make|no|actually|i)|"
    r"^no,? its|new (?:date|time|venue|location|address)|different date|one more thing|"
    r"bring (?:one|another|an? extra|\d+ (?:more|extra))|(?:one|two|\d) more (?:column|hoop|arch|"
    r"garland|foil|balloon)s?|"
    r"change of (?:plans|date|venue)|not \w+ but|"
    r"cambi(?:ar|a|o|e|ame|emos|en|amos|alo|ala|arlo|arla)|en vez de|en lugar de|mejor (?:hazlo|"
    r"hagalo|ponlo|el \d+|que sea)|en realidad|corrijo|corregir|correccion|quise decir|"
    r"mover(?:lo|la)?|muev\w+|pasar(?:lo|la)? (?:al|para)|agreg\w+|anad\w+|quit(?:a|ar|e|"
    r"en) (?:el|la|los|las)|ahora (?:que sea|sera)|que sea(?:n)? (?:de )?\d|hazlo|hagalo|"
    r"prefiero|reprogram\w+|posponer|aplazar)\b"
)
_OF_A_BOOKING = re.compile(
    r"\b(?:just checking|checking (?:in|what|if|when|on)|what time (?:will|are|do) (?:you|they)|"
    r"did (?:you|u) get|"
    r"confirm (?:my|our|the|that)|confirmar (?:mi|la|el)|(?:my|our) (?:booking|reservation|"
    r"order))\b"
)
_CHANGE_ASKED = re.compile(
    r"\b(?:how late|until when|by when|how (?:close|long before)|"
    r"what if)\b[^.!?\n]{0,30}\bchange|\bchange\b[^.!?\n]{0,30}\b(?:later|after (?:i|we) (?:book|"
    r"pay)|last minute)\b|"
    r"\b(?:puedo|se puede|podemos) cambiar\b[^.!?\n]{0,30}\b(?:despues|luego)\b"
)
_PRICE = re.compile(
    r"\b(?:how much|hw much|how mch|price[sd]?|pricing|prices|cost|costs|quote|quotes|quotation|"
    r"estimate|ballpark|rates?|run me|charge|charges|what would|fee for|"
    r"cuanto (?:cuesta|cuestan|sale|seria|es|vale|cobran?|me)|cuanto|precio|precios|cotiz\w+|"
    r"presupuesto|cuesta|cobran|combien|prix|devis|coute|quanto custa|quanto costa|orcamento|"
    r"was kostet|kostet|wieviel|hoeveel|kost|ile kosztuje|magkano|konbyen)\b"
)
_SIDE_PRICE = re.compile(
    r"how much (?:notice|time|space|room|advance|in advance|earlier|is (?:the |your )?(?:deposit|"
    r"delivery|shipping)|deposit|do you (?:charge|need) (?:for|to) deliver\w*|extra|of a|before|"
    r"later|help)|"
    r"price (?:include|good|negotiable|list|drop)|does the price|(?:que )?incluye|whats included|"
    r"what is included|what's included|(?:cuesta|es|cobran por) (?:el |la |un )?(?:anticipo|"
    r"deposito|envio|entrega)|is the price|the (?:quote|price|estimate) (?:look|is|was|include|"
    r"valid|expire|seems|you)|quote (?:good|valid|expire|look)|deposit|delivery (?:fee|charge|"
    r"cost)|cuanto (?:tiempo|dura\w*|antes|es el (?:deposito|envio|anticipo)|"
    r"cobran por (?:el )?env)|extra charge|do you charge (?:for|extra|tax|sales|more)|(?:less|"
    r"lower|cheaper)$|hourly rate|is there an? (?:\w+ )?(?:fee|charge|cost)|(?:price|cost|"
    r"fee)s? (?:for|of) (?:the |your )?(?:delivery|shipping|set ?-?up)"
)
_WANT = re.compile(
    r"\b(?:need|needs|needed|want|wants|wanted|wanna|looking (?:for|to|into)|look(?:in)? for|"
    r"would (?:love|like)|i'?d (?:love|like)|interested|im thinking|i'm thinking|thinking|hoping|"
    r"something for|book|order|reserve|get|having|planning|hire|can (?:u|you|we) (?:do|make|"
    r"build|create|quote)|could (?:u|you|we) (?:do|make|build|create)|are you (?:able|free)|"
    r"r u free|"
    r"necesit\w+|quier\w+|quisier\w+|busc\w+|me (?:interesa|gustaria)|pueden? (?:hacer|cotizar)|"
    r"puedes hacer|quero|preciso|queremos|ocupo|ocupamos|voudrais|mochte\w*|vorrei)\b"
)
_QUESTION_WORD = re.compile(
    r"^(?:[^a-z0-9]*(?:hi|hello|hey|hola|ok|also|so|and|buenas?|buenos|tardes|dias|noches|there|"
    r"quick question|question|just curious|curious|btw|oh|pregunta|una pregunta|disculpe|oye|"
    r"good (?:morning|afternoon|evening))\b[\s,!.:-]*)*(?:¿\s?)?"
    r"(?:do|does|did|is|are|can(?!'?t)|could|will|would|how|what|whats|what's|when|where|who|"
    r"which|why|any|may(?! \d)|should|have|has|am|r|"
    r"hacen|hace|tienen|tiene|pueden|puede|puedo|como|cual|cuales|cuando|donde|quien|que|cuanto|"
    r"entregan|es|son|se|incluye\w*|aceptan|trabajan|hay|dan|ofrecen|me puede\w*|"
    r"necesito (?:pagar|dejar))\b"
)
_ASKED_OF_PIECE = re.compile(
    r"\b(?:how (?:long|big|many|far|wide|tall|does|do|soon|often|heavy)|what (?:size|kind|"
    r"colou?rs?|is your|are your|does|time|happens|if|areas|payment)|what's (?:your|included|"
    r"the (?:difference|biggest|deposit))|whats (?:your|included)|is (?:it|there|that|this|a|the|"
    r"an)\b|are (?:they|the|your|there|these)|do (?:you|u) (?:take|accept|provide|require|need|"
    r"offer|have (?:any )?(?:pictures|photos|examples|insurance|a)|recycle|reuse|rent|think|"
    r"travel|use|"
    r"only|ever|leave|clean|still|work|charge)|"
    r"can (?:i|we) (?:rent|keep|return|pay|use|bring|pick)|do (?:the|they|balloons|your)|"
    r"does (?:the|it|a|your)|will (?:the|it|they|you)|can (?:the|it|they)|who |where |when |why |"
    r"which |cuanto (?:tiempo|dura\w*)|que (?:tamano|colores tienen|incluye|pasa|tan)|como (?:se|"
    r"funciona|puedo|pago)|cual es|son biodegradables|es seguro|aguantan|duran)"
)
_AVAILABLE = re.compile(
    r"\b(?:availability|available|free on|openings?|still open|do you have (?:\w+ )?(?:june|july|"
    r"may)|disponib\w+|libre|booked)\b"
)
_EITHER_DAY = re.compile(r"\bcan we do\b|\bwould you be able\b")
_COURTESY = re.compile(
    r"^(?:ok|okay|yes|yep|sure|thanks|thank you|great|perfect|sounds good|gracias|si|perfecto|"
    r"vale|listo|cool|awesome)\b"
)


@dataclass(frozen=True, slots=True)
class Content:
    """What the other readers found, as far as it bears on the intent."""

    unsafe: bool
    orders: bool  # text that tries to give orders
    named_piece: bool
    particular_piece: bool  # "an arch", "two columns"; not "arches" in general
    measured: bool
    event: bool  # an occasion, a date, hours, colours, guests: part of a brief
    only_when: bool  # a day or an hour and nothing else
    brief: bool  # a budget or foils, which alone tell of no event


def intent_of(passage: Passage, content: Content) -> str:
    """One of `INTENTS`. A danger comes first, then an end, a grievance, a change, then the rest."""
    text = passage.folded
    if content.unsafe:
        return "unsafe"
    if _CANCEL.search(text) and not _CANCEL_ASKED.search(text):
        return "cancel"
    if _COMPLAINT.search(text) and not _COMPLAINT_ASKED.search(text):
        return "complaint"
    priced = bool(_PRICE.search(text)) and not _SIDE_PRICE.search(text)
    if _CHANGE_ASKED.search(text):
        return "question"
    if _OF_A_BOOKING.search(text) and not _CHANGE.search(text):
        return "question"
    if _CHANGE.search(text) and not (priced and content.particular_piece):
        return "change"
    return _quote_or_question(text, content, priced)


def _quote_or_question(text: str, content: Content, priced: bool) -> str:
    if _GREETING.search(text):
        return "other"
    if _INFORMATION.search(text) and not (content.named_piece or content.event):
        return "question"
    asks = "?" in text or bool(_QUESTION_WORD.search(text) or _ASKING.search(text))
    wants = bool(_WANT.search(text))
    if asks and (_is_side_question(text, content, priced) or (content.only_when and not priced)):
        return "question"
    if priced or content.particular_piece or (wants and (content.event or content.measured)):
        return "quote_request"
    if asks and (content.event or not content.orders):
        return "quote_request" if content.brief else "question"
    if content.event or content.measured or content.named_piece or content.brief:
        return "quote_request"
    return (
        "quote_request"
        if wants and not _COURTESY.search(text) and _NEED_BALLOONS.search(text)
        else "other"
    )


_INFORMATION = re.compile(
    r"\b(?:info|information|more details|price list|catalog(?:ue)?|informes|informacion|catalogo|"
    r"lista de precios)\b"
)
_ASKING = re.compile(r"\b(?:can|could|do|will|would)\s(?:u|you|we|i|they)\b")
_NEED_BALLOONS = re.compile(r"\b(?:balloons?|ballons?|baloons?|globos?|decor\w*|quote|garlands?)\b")
_GREETING = re.compile(
    r"^(?:hi|hello|hey|hola|yo)?[\s,!]*(?:is )?any(?:one|body) (?:there|here|home)\b|"
    r"^(?:hay alguien|alguien ahi)\b"
)


def _is_side_question(text: str, content: Content, priced: bool) -> bool:
    """About the work in general, or the state of a quote, rather than for a price."""
    if _SIDE_PRICE.search(text):
        return not (content.particular_piece and content.event)
    if priced:
        return False
    if _AVAILABLE.search(text) and not content.particular_piece:
        return True
    return bool(_ASKED_OF_PIECE.search(text)) and not _WANT.search(text)
