"""What is named and yet not to be built: refused, only likened to, or part of the room."""

import re

from bot.understanding.lexicon import en, es
from bot.understanding.passage import TAKEN, Span

_COMPARED = re.compile(
    r"(?:\b(?:as\s\w+\sas|size of|length of|width of|height of|shaped like|looks? like|"
    r"just like|sort of like|tan \w+ como)\s(?:a|an|the|una?|el|la|my|our|two|dos|\d)?\s?|"
    r"(?<!\bid )(?<!\bwe )(?<!'d )(?<!would )(?<!\bi )(?<!also )(?<!really )(?<!still )\blike\s"
    r"(?:a|an|the|una?)\s|"
    r"\b(?:kind of|type of)\s)$"
)
_NOT_BUILT = re.compile(
    r"(?<!\? )\b(?:no|without|sin|minus|not|skip|scrap|drop|ditch|lose|remove|forget|cancel|delete|"
    r"(?:take|leave) (?:off|out)|(?:do not|dont|don't|doesn't|didn't|no longer) (?:really )?"
    r"(?:need|want)|instead of|rather than|quit(?:a|en|ar|e|eme|ame)|olvida|elimina|"
    r"ya no (?:quiero|queremos|necesito|van?(?: a ser)?|seran?|son|es)?|(?:won't|wont|not) be|"
    r"no (?:quiero|queremos|necesito|ocupo)|"
    r"nada de|en vez de|en lugar de)\s(?:an?\s|the\s|any\s|my\s|our\s|those\s|la\s|el\s|las\s|"
    r"los\s|una?\s|mi\s|balloon\s)?(?:one\s|\d\s|two\s|dos\s)?(?:of\sthe\s)?$"
)
# "Wait no the doorway is 36 inches": the no is of what was said before.
_IS_TOLD = re.compile(
    r"\s(?:is|are|should be|measures?|es|son|miden?|tiene)\s(?!out\b|off\b|not\b|no\b|gone\b)"
)
# "We talked about an arch but … make it a garland instead"
_SPOKEN_OF = re.compile(
    r"\b(?:(?:talked|spoke|thought|said|asked)(?: about| of| for)?|originally (?:wanted|said)|"
    r"(?:was|were) (?:going to|gonna|supposed to) (?:do|get|have|be)|"
    r"(?:iba|ibamos|iban) a (?:ser|pedir|querer)|habiamos (?:dicho|pedido|hablado de))\s"
    r"(?:an?\s|the\s|una?\s|el\s|la\s)?(?:\w+\s)?$"
)
_INSTEAD = re.compile(
    r"[^.!?\n]{0,80}\b(?:instead|rather|make it an?|now (?:i|we) want|mejor una?|en su lugar)\b"
)
_DOORS_OPEN = re.compile(rf"(?:doors|gates|puertas)\s?[:@-]?\s?(?:{TAKEN}|open|at\b|\d)")
_REFUSED_AFTER = re.compile(
    r"\s?\?+,?\s?(?:no|nope|nah|nvm|not)\b|,?\s(?:no|nope)\b(?=\s?(?:[,.;!\n]|$|sino|thanks|"
    r"gracias|"
    r"(?:wait|just|actually|mejor)(?!\W{1,3}(?:it'?s\s|make it\s|de\s)?\0)))|\s(?:is|"
    r"are)\s(?:out|off|not needed|no longer)\b"
)
_RENTED = re.compile(
    r"\b(?:rent\w*|alquil\w+|hire|borrow|bounce|brincolin\w*|chairs|sillas|lonas?|"
    r"carpas?)\s(?:\S+\s){0,4}$"
)


def is_not_built(text: str, span: Span, kind: str, role: str, *, alone: bool) -> bool:
    """Is the name at `span` of the folded text no piece? `alone` where it is a single word."""
    start, end = span
    before = text[max(0, start - 40) : start]
    refused = _NOT_BUILT.search(before) and not _IS_TOLD.match(text, end)
    replaced = _SPOKEN_OF.search(before) and _INSTEAD.match(text, end)
    if refused or replaced or _REFUSED_AFTER.match(text, end) or _COMPARED.search(before):
        return True
    if _DOORS_OPEN.match(text, start):
        return True
    rented = kind == "table" and alone and _RENTED.search(before)
    return bool(rented) or _is_scenery(text, start, end, role)


def _is_scenery(text: str, start: int, end: int, role: str) -> bool:
    """ "The walls are beige" tells of the room; a Spanish "mantel" is a tablecloth."""
    if text.startswith("mantel", start) and not text.startswith("mantelp", start):
        spanish = re.search(r"\b(?:el|un|los|unos|con|del|mi)\s$", text[max(0, start - 6) : start])
        return bool(spanish or _IN_SPANISH_COLOUR.match(text, end))
    if text[start:end] == "ring" and _RINGS.match(text, end):
        return True
    if text[start:end] == "ceiling" and _LIMIT.search(text[max(0, start - 24) : start]):
        return True
    return role == "place" and bool(_IS_COLOUR.match(text, end))


_LIMIT = re.compile(
    r"\0\s(?:is|as)\s(?:the|our|my|a)\s(?:\w+\s)?$|\b(?:price|budget|spending|cost)\s$"
)
_RINGS = re.compile(
    r"\s(?:me|you|us|them|him|her|back|up|my|the other|the (?:bell|doorbell|"
    r"office))\b"
)
_COLOUR_WORDS = "|".join(sorted(en.COLOURS, key=len, reverse=True))
_IS_COLOUR = re.compile(rf"\s(?:is|are)\s(?:all\s|painted\s|\w+\s)?(?:{_COLOUR_WORDS})\b")
_IN_SPANISH_COLOUR = re.compile(rf"\s(?:{'|'.join(sorted(es.COLOURS, key=len, reverse=True))})\b")
