"""How many people are expected: people, never balloons or ages."""

import re
from itertools import pairwise

from bot.understanding.lexicon import GUEST_NOUNS
from bot.understanding.numerals import SPELT, spelt_value
from bot.understanding.passage import Passage, Span

_FIGURE = r"\d{1,3}(?:,\d{3})+|\d{1,5}"
_ROUGHLY = (
    r"(?:about|around|like|maybe|roughly|approx(?:imately)?\.?|up\sto|over|at\sleast|some|only|"
    r"just|"
    r"probably|close\sto|~|unas|unos|como|alrededor\sde|cerca\sde|mas\so\smenos|aproximadamente|"
    r"solo|"
    r"hasta|casi|max)"
)
HEADS = (
    rf"(?:{GUEST_NOUNS}|of\sus|teens|teenagers|seniors|volunteers|rowers|players|parents|"
    rf"families|"
    r"toddlers|babies|girls|boys|moms|dads|men|gals|guys|couples|co-?workers|colleagues|"
    r"relatives|"
    r"neighbou?rs|cousins|classmates|teachers|visitors|souls|parishioners|diners|"
    r"pp|littles|grown\s?-?ups|seats|de (?:la )?familia|coming|attending|invited|expected|"
    r"confirmed|rsvps?|rsvpd|head\b|heads|"
    r"mamas|papas|madres|padres|papis|mamis|primos|primas|sobrin[oa]s|tios|maestr[oa]s|"
    r"feligreses|"
    r"socios|socias|trabajadores|comensales|chiquillos|morr[oa]s|"
    r"chicas|chicos|amig[oa]s|gests|geusts|vecinos|nenes|mujeres|hombres|empleados|companer[oa]s|"
    r"familiares|gentes|muchach[oa]s|chav[oa]s|"
    r"(?!(?:\w*met|foot|lett|numb|flow|stream|cent|corn|bann|stick|show|oth|post|cov|roll|plant|"
    r"float|off|"
    r"ord|lay|ris|lit|quart|carri|trail|cool|heat|tow)ers|(?:\w*l|do|flo|mirr)ors|(?:tr|f|degr|"
    r"kn)ees)"
    r"[a-z]{2,}(?:ers|ors|ees|ists|ians|mates)|patrons|clients|fans|vets|nuns|monks|fam|"
    r"abuel[oa]s|tias|alumn[oa]s|clientes|jovenes|dudes|buddies|swimmers|athletes|campers|"
    r"dancers|singers|scouts|adults|senoras|"
    r"pers\b|pessoas|convidados|gaste|personnes|invites|osob)"
)
_SORT = (
    r"(?:(?:adult|invited|young|little|high\sschool|elementary|expected|local|total|senior|other|"
    r"more|club|teen|staff|or\sso|family|wedding|small|hungry)\s)?"
)
_COUNTED = re.compile(
    rf"""(?<![\d.,$/#])(?:(?P<low>{_FIGURE})(?:\s?(?:-|to|or|and|a|o|y)\s?(?P<high>\d{{1,5}}))?
    |(?P<word>\b{SPELT}))
    (?P<dozen>\s(?:dozen|docenas?\sde))?(?:\s?\+|\s?ish|-ish|\s?plus|\s?or\sso)?[\s-]?{_SORT}{HEADS}\b
    (?!\s(?:wide|tall|long|table))""",
    re.VERBOSE,
)
_ANNOUNCED = re.compile(
    rf"""\b(?:(?:guest\s?count|guests|head\s?count|people|invitados)\s(?:went\s|goes\s|is\s|
    are\s|subio\s)?(?:up\s|down\s)?
    (?:from\s\d+\s)?(?:to|at|a)|guest\scount|head\s?count|guest\slist|guests|attendance|party\sof|
    group\sof(?:\sabout)?
    |(?:guest\s?count|head\s?count|numbers?|count)\s(?:dropped|changed|shrank|grew|jumped|bajo|subio)[^\d.\n]{{0,16}}
    |tickets\ssold|crowd\sof|congregation\sof|audience\sof|turnout\sof|team\sof|expecting|expect|invitados|personas|somos(?:\s(?:poqu|much)\w+)?|seremos|vamos\sa\sser|van\sa\s(?:ser|ir
    |venir)
    |asist(?:en|iran|imos)|vienen|vendran|confirmaron|esperamos|iran|llegan
    |(?:party|event|dinner|reception|brunch|lunch|bbq|barbecue|cookout|picnic|breakfast|fiesta
    |tea|potluck|shower|(?<=table\s)|(?<=mesa\s)|cena|comida|desayuno|carne\sasada)\s?\b(?:for|para))
    \s?(?:is\sat|is|are|about|around|approx|:|=|of|de|like|roughly|maybe|{_ROUGHLY})?[\s:]{{0,2}}
    (?:(?:\d{{1,4}}\s?(?:-|to|a|or|o|y|and)\s?)?(?P<count>\d{{1,5}})|(?P<word>{SPELT}))\b(?P<dozen>\s(?:dozen|docenas?)\b)?
    (?!\s?(?:-?\s?year|yr|ft|feet|foot|'|"|am\b|pm\b|st\b|nd\b|rd\b|th\b|/|:|\$|x\b|balloon|globos
    |of\s(?!us)|columns?|hoops?|garlands?|arch|pm|k\b|dollars|dolares|anos|pies|columnas|aros|in\b
    |decor|tables?|mesas?|una?\sfamilia))""",
    re.VERBOSE,
)
# "we're about 50": a figure with nothing after it is how many we are.
_WE_ARE = re.compile(
    rf"""\b(?:we'?re|we\sare|we'?ll\sbe|we\swill\sbe|there'?s|there\sare|there'?ll\sbe|
    there\swill\sbe
    |its|it's|it\swill\sbe)\s(?:going\sto\sbe\s|gonna\sbe\s)?(?:{_ROUGHLY}\s)?(?P<count>\d{{1,4}})
    (?:\s?ish)?(?=\s?(?:[,.;!?\n)\0]|$|in\sall|in\stotal|total|or\sso|max\b|and\b|plus\b))""",
    re.VERBOSE,
)
# What is said to be the whole outweighs its parts: "32 kids confirmed, total guests 210".
_IN_ALL = re.compile(
    r"\b(?:total (?:guests?|people|head\s?count|attendance|(?:number )?of guests|"
    r"de (?:invitad[oa]s|"
    r"personas))|guests? total|people total)\s?(?:is|are|of|about|around|:|=|son|"
    r"como)?\s?(?:about |around )?"
    r"(?P<count>\d{1,5})\b|\b(?P<count2>\d{1,5}) (?:guests |people |ppl |personas |"
    r"invitad[oa]s )?"
    r"(?:total|altogether|all together|all told|in all|en total|por todos?) (?:guests|people|ppl|"
    r"coming|"
    r"attending|personas|invitad[oa]s)\b|\b(?P<count3>\d{1,5}) (?:guests|people|ppl|personas|"
    r"invitad[oa]s),? "
    r"(?:in total|total|altogether|all together|all told|in all|en total|por todos?)\b"
)
_SMALLEST_BARE = 8  # "it's 3" is rather an hour
_AND = re.compile(rf"\s?(?:,|and|plus|y|\+|&|mas)?\s?(?:{_ROUGHLY}\s)?")
# "10 more guests" is how many come on top, which the message alone cannot say the whole of.
_MORE = re.compile(r"\s?\d+\s(?:more|extra|additional)\s|\d+\s[a-z]+\smas\b(?!\so\s)")
_AGES = re.compile(r"\b(?:turning|turns|cumple\w*)\s$")


def guests_in(passage: Passage) -> tuple[int | None, tuple[Span, ...]]:
    """The head count and the spans it was read from.

    Of a range the higher figure, so that nothing is built too small; "40 adults and 20 kids" is 60.
    """
    text = passage.folded
    in_all = _IN_ALL.search(text)
    if in_all:
        count = next(filter(None, in_all.groups()))
        return int(count), (in_all.span(),)
    matches = [
        found
        for found in _COUNTED.finditer(text)
        if not _AGES.search(text[max(0, found.start() - 10) : found.start()])
        and not _MORE.match(text, found.start())
    ]
    if not matches:
        return _announced(text)
    if all(_number(match) == 1 for match in matches):
        return None, tuple(match.span() for match in matches)  # "one guest has an allergy"
    matches = [match for match in matches if _number(match) > 1 and not _is_kin(match)]
    if not matches:
        return None, ()
    total = _number(matches[0])
    for first, second in pairwise(matches):
        if not _AND.fullmatch(text[first.end() : second.start()]):
            break
        total += _number(second)
    return total or None, tuple(match.span() for match in matches)


def _is_kin(match: re.Match[str]) -> bool:
    """ "my two moms" host the party."""
    return _number(match) < 4 and bool(
        re.search(r"(?:moms|dads|boys|girls|babies)$", match.group())
    )


def _announced(text: str) -> tuple[int | None, tuple[Span, ...]]:
    said = _ANNOUNCED.search(text)
    if said:
        count = int(said["count"]) if said["count"] else spelt_value(said["word"])
        count *= 12 if said["dozen"] else 1
        return (count, (said.span(),)) if count > 1 else (None, ())
    we = _WE_ARE.search(text)
    if we and int(we["count"]) >= _SMALLEST_BARE:
        return int(we["count"]), (we.span(),)
    return None, ()


def _number(match: re.Match[str]) -> int:
    if match["word"]:
        number = spelt_value(match["word"])
    else:
        number = int((match["high"] or match["low"]).replace(",", ""))
    return number * (12 if match["dozen"] else 1)
