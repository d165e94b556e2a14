"""What must be recognised before anything else: dangerous asks, and what is no work of ours."""

import re

from bot.understanding.passage import Passage, Span

_RELEASE = re.compile(
    r"\b(?:balloons?|globos?)\s(?:release|releasing|liberacion)\b|"
    r"\breleas\w+\s(?:\S+\s){0,6}?(?:balloons?|ballons?|baloons?|globos?)\b|"
    r"\b(?:balloons?|ballons?|baloons?)\s(?:\S+\s){0,4}?(?:releas\w+|let go|fly away|set free)\b|"
    r"\b(?:let|letting|set|setting)\s(?:\S+\s){0,3}?(?:balloons?|ballons?)\s(?:\S+\s){0,2}?(?:go|"
    r"free|fly|loose|off)\b|"
    r"\b(?:let go of|letting go of|send(?:ing)?(?: up)?)\s(?:\S+\s){0,4}?(?:balloons?|"
    r"ballons?)\b(?=[^.!?]{0,30}(?:sky|heaven|air|cielo|up)\b|\s*[.!?,]|$)|"
    r"\b(?:balloons?)\s(?:\S+\s){0,4}?(?:into|to|up to|toward)\s(?:the\s)?(?:sky|heaven|air)\b|"
    r"\b(?:solt|suelt|liber|lanz)\w{1,6}\s(?:\S+\s){0,4}?globos?\b|\b(?:suelta|liberacion|"
    r"lanzamiento)\sde\s(?:\S+\s)?globos?\b|"
    r"\blacher de ballons\b|\bglobos?\s(?:\S+\s){0,4}?(?:al cielo|soltarlos|liberarlos)\b"
)
_NO_RELEASE = re.compile(
    r"\b(?:no|not|never|without|dont|don't|wont|won't|isn't|sin|nada de)\s(?:\S+\s){0,3}$|"
    r"\b(?:press|drop|net)\s$"
)
_INDOOR_DROP = re.compile(r"\b(?:balloon drop|ceiling|net|caida de globos)\b")
_HYDROGEN = re.compile(r"\b(?:hydrogen|hydrogene|hidrogeno|hidrojeno|wasserstoff|hydrogène)\b")
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
    r"(?:drop|truncate|alter)\s(?:table|database))\b(?:\s\w+)?|\bunion\sselect\b|'\s?or\s'?1'?\s?=\s?'?1|"
    r"\{\{[^}\n]{0,60}\}\}|"
    r"\$\{[^}\n]{0,60}\}|\b(?:api|secret) key\b|\bprint (?:your|the) (?:instructions|prompt)\b|"
    r"\btu eres ahora\b|\bolvida (?:todo|tus|las)\b[^.!?\n]{0,40}"
)
_ELSEWHERE = re.compile(
    r"\b(?:bounce (?:house|castle)s?|bouncy castles?|inflatables?|jumpers?|moon ?bounce|"
    r"face paint\w*|cater(?:ing|er|ers)?|dj|djs|photograph(?:er|y)|magicians?|clowns?|"
    r"(?:rent|rental of|hire) (?:out )?(?:\w+ )?(?:chairs|tables|tents|speakers|linens|a tent|"
    r"tables and chairs)|karaoke|pinatas?|balloon animals?|balloon twist\w*|hot air balloons?|"
    r"weather balloons?|water balloons?|"
    r"(?:bake|make|sell) (?:\w+ )?cakes?|birthday cakes?|cupcakes|wedding cake|food truck|"
    r"pony rides?|fireworks|sparklers|fog machine|photo ?booth rental|"
    r"poem|napalm|homework|essay|bitcoin|crypto|stock tips|weather (?:forecast|tomorrow|today)|"
    r"capital of|recipe|math problem|translate this|python (?:code|script)|"
    r"seo services|backlinks|your website ranking|loan offer|guest post|job openings?|"
    r"are you hiring|(?:buy|sell|refill|rent) (?:me )?(?:an? )?helium tanks?|"
    r"brincolin(?:es)?|inflables|pintacaritas|payasos?|fotografo|banquetes?|sillas y mesas|"
    r"alquilan? (?:mesas|sillas|carpas)|rentan? (?:mesas|sillas|carpas|inflables|brincolines)|"
    r"globoflexia|pasteles)\b"
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
    return bool(_ELSEWHERE.search(passage.folded))


def _asked(text: str, ask: re.Pattern[str], refusal: re.Pattern[str]) -> bool:
    """Is it asked for anywhere without a refusal before it ("no balloon release")?"""
    return any(
        not refusal.search(text[max(0, found.start() - 40) : found.start()])
        for found in ask.finditer(text)
    )
