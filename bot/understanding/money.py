"""What the client wants to spend."""

import re
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from bot.understanding.guests import HEADS
from bot.understanding.numerals import SHORT_HUNDREDS, SPELT, spelt_value
from bot.understanding.passage import Passage, Span

_FIGURE = r"\d{1,3}(?:,\d{3})+(?:\.\d{2})?|\d{1,6}(?:\.\d{1,2})?"
_SCALE = r"(?:\s?k\b|[\s-]?(?:hundred|thousand|grand|hundo|mil|cientos)\b)"
_CURRENCY = (
    r"(?:(?:dollars?|bucks?|usd|dolares|dolaritos|dlls?|dls|dlrs|pesos|varos|mxn|euros?|eur|"
    r"pounds?|gbp|"
    r"lucas)\b|us\$|\$|€|£)"
)
_AMOUNT = re.compile(
    rf"""(?<![\w.,:/#'])(?<![^\dk\s]-)(?P<minus>(?<![\dk])(?<![\dk]\s)-\s?)?(?P<sign>(?:us)?[$€£]\s?|\busd\s)?
    (?P<figure>{SHORT_HUNDREDS}\b|{_FIGURE}|\b{SPELT}\b)
    (?P<scale>{_SCALE})?(?:(?<=mil)\s(?P<rest>\d{{3}})(?!\s?(?:mil|{HEADS})\b))?(?P<currency>[\s-]?{_CURRENCY})?(?![\d:/%]|\.\d|,\d)""",
    re.VERBOSE,
)
_SCALES = {"k": 1000, "hundred": 100, "hundo": 100, "cientos": 100}

_MOST = re.compile(
    r"(?:\b(?:no|not|nothing|never|cannot|can'?t|don'?t|won'?t|nada|"
    r"sin)\b[^.,;!?\n]{0,26}\b(?:over|above|"
    r"past|more than|exceed\w*|mas de|mas que|pas\w+ de|arriba de)|\bunder|\bbelow|\bless than|<|"
    r"\bmax(?:imum|imo)?(?: of| is| de| es)?|\bup to|\bat most|\bwithin|\bstay(?:ing)? at|"
    r"\b(?:cap|limit|ceiling|tope|limite)(?:ped)?(?: is| es| son| seria| at| of| de)?(?: about)?|"
    r"\bonly (?:have|got)|\bonly|"
    r"\bmenos de|\bhasta|\b(?:a lo|cuando|por) mucho|\bdebajo de|\bsolo tengo|\btengo|\btraigo|"
    r"\bcuento con|\bando en(?: los)?|\bdispongo de|\bhow(?:'?s| is| about| does)|"
    r"\bballpark(?: of)?|"
    r"\b(?:knock|get|bring|take) (?:it|that|this|the \w+) down to|\bcan (?:swing|manage|spare)|"
    r"\bg[ai]ve[sn]? us|\braised|\bcan pay|\bdo (?:it|this|that|one) for|\bcomfortable with|"
    r"\bcan (?:you |u |we )?(?:do|make) (?:it |this |that )?(?:for |work for )?|"
    r"\bget (?:down )?to|\bi got|\bwe got|\bwe have|\bwe've got)[\s:~]{0,3}"
    r"(?:(?:like|about|around|maybe|roughly|como|unos)\s)?$"
)
# Of a rough figure only a sum is money: "about 50" may be guests.
_ROUGHLY = re.compile(
    r"\b(?:around|about|approx(?:imately)?|roughly|alrededor de|como|unos|aproximadamente|"
    r"mas o menos|"
    r"cerca de|like|~)[\s:~]{0,3}$"
)
_SMALLEST_ROUGH = 100
_HEADS_BEFORE = re.compile(
    r"\b(?:guests?|people|head ?count|attendance|we'?re|we are|we'?ll be|will be|there'?s|"
    r"there are|expecting|party of|group of|"
    r"invited|somos|"
    r"seremos|ser|van|esperamos|are)\s(?:about|around|like|roughly|como|unos|alrededor de|mas o "
    r"menos|approximately)?\s?$"
)
_LEAST = re.compile(
    r"(?:at least|over|more than|min(?:imum)?(?: of)?|starting at|al menos|por lo menos|"
    r"minimo(?: de)?|mas de)[\s:]{0,3}$"
)
_BETWEEN = re.compile(r"\b(?:between|entre)\s$")
_BUDGET = re.compile(
    r"allott?ed|allocated|set aside|earmarked|destinad[oa]s?|asignad[oa]s?|budget|bugdet|buget|"
    r"spend|presupuesto|gastar|price range|afford|willing to pay|pagar"
)
_AFTER_MOST = re.compile(
    r"\s?(?:max\b|maximum|tops\b|or (?:less|under|so\b)|budget|-?ish\b(?!\s[a-z]+s\b)|"
    r"at (?:the )?(?:very )?most|"
    r"maximo|como maximo|o menos|to spend|to work with|in total|total\b|para gastar|range\b|"
    r"and (?:not a (?:penny|cent|dollar)|no|nothing) more|sound\b|is (?:the|my|"
    r"our) (?:[a-z]+ )?(?:limit|"
    r"max\w*|most|"
    r"budget|cap)|is (?:all|the most)|es (?:lo (?:maximo|mas|que (?:hay|tengo|tenemos))|"
    r"mi presupuesto|el tope|mi limite)|is the max|"
    r"(?:de |como )?(?:topes?|limite|presupuesto)\b|(?:a lo|cuando|por) mucho|y ya\b|"
    r"is what (?:we|"
    r"i) (?:have|got)|"
    r"(?:price )?(?:cap|limit|ceiling)\b|limit is\b)"
)
_NOT_BUDGET = re.compile(
    r"(?:(?:delivery|shipping|free|orders?|envio|gratis)\s(?:is\s|for\s|en\s)?(?:over|above|"
    r"under|arriba de|mas de)|paid|pay(?:ing)? a|charged?|deposit(?: of| was| is)?|tip|"
    r"refund(?: of)?|quoted(?: me|"
    r" us)?|"
    r"price to|pague|pagamos|cobraron|"
    r"deposito de|off|discount(?: of)?|for \d+)\s{0,2}(?:me |us |a |an |of |only )?$"
)
_NOT_BUDGET_AFTER = re.compile(
    r"\s?(?:(?:an?|the|/|el|la|por|cada)\s?(?:foot|ft|feet|balloons?|piece|person|head|hour|yard|"
    r"meter|column|globo|"
    r"pie|metro|pieza|persona|hora|columna)\b|deposit|refund|gift ?card|off\b|coupon|per\b|"
    r"each\b|discount|de (?:deposito|"
    r"anticipo)|(?:is|isn'?t) not? ?(?:the|my|our) "
    r"budget|already paid|more than)"
)
_UNIT_AFTER = re.compile(
    rf"\s?(?:-\s?)?(?:[a-z]+\s)?(?:{HEADS}\b|ft|feet|foot|in\b(?! total| all)|inch|cm|m\b|met|"
    rf"people|ppl|"
    r"guest|person|kids|"
    r"balloon|students|am\b|pm\b|"
    r"a\.m|p\.m|'|\"|x\s?\d|by\s\d|pies|invitad|gentes?|personas|globos|anos|employees|"
    r"coworkers|members|staff|companer\w*|years?|yrs?|columns?|of us|attendees|"
    r"adults|miles|minutes|hours|days|weeks|months|main|oclock)"
)
_ZIP_BEFORE = re.compile(r"(?:\bzip|\bcode|\bpostal|\bc\.?p\.?)[\s:#]{0,3}(?:is\s|es\s)?$")
_RANGE_JOIN = re.compile(r"(?:ish|-ish)?\s?(?:-|to|and|or|y|a|o)\s?(?:about\s)?")
_YEARS = 1_900  # "2026-2027" is no sum
_SMALLEST_PLAIN = 50  # a bare figure below this is more likely a size or a count


@dataclass(frozen=True, slots=True)
class _Amount:
    start: int
    end: int
    value: Decimal
    scale: int  # 100 in "3 hundred", 1000 in "2k", else 1
    role: str | None  # "most", "least" or None


@dataclass(frozen=True, slots=True)
class Budget:
    least: Decimal | None
    most: Decimal | None
    spans: tuple[Span, ...]


def budget_in(passage: Passage, *, asked: bool = False) -> Budget:
    """The budget, with every amount of money masked.

    A figure counts when it has a currency, or a word such as "under" or "budget" beside it and
    nothing that makes it a size, a time or a head count. With `asked`, any figure counts.
    """
    amounts = _amounts(passage.folded, asked)
    spans = tuple((amount.start, amount.end) for amount in amounts)
    wanted = [amount for amount in amounts if amount.role != "other"]
    ranged = _range(wanted, passage.folded)
    if ranged:
        first, second = ranged
        shared = second.scale if first.value < _SMALLEST_PLAIN else 1  # "two to three hundred"
        low, high = sorted((first.value * shared, second.value))
        return Budget(low, high, spans)
    least = next((item.value for item in wanted if item.role == "least"), None)
    most = next((item.value for item in wanted if item.role != "least"), None)
    return Budget(least, most, spans)


def _range(amounts: list[_Amount], text: str) -> tuple[_Amount, _Amount] | None:
    for first, second in pairwise(amounts):
        if _RANGE_JOIN.fullmatch(text[first.end : second.start]):
            return first, second
    return None


def _amounts(text: str, asked: bool) -> list[_Amount]:
    matches = list(_AMOUNT.finditer(text))
    amounts: list[_Amount] = []
    for index, match in enumerate(matches):
        following = matches[index + 1] if index + 1 < len(matches) else None
        joined = bool(amounts) and _continues(text, amounts[-1].end, match.start())
        if _is_postal_code(match, text, behind_amount=bool(amounts) and not joined):
            continue
        amount = _amount(match, text, asked or joined or _opens_range(text, match, following))
        if amount:
            amounts.append(amount)
    return amounts


def _continues(text: str, end: int, start: int) -> bool:
    return bool(_RANGE_JOIN.fullmatch(text[end:start]))


def _is_postal_code(match: re.Match[str], text: str, *, behind_amount: bool) -> bool:
    """In "budget 400, 02139" the second figure is where, not how much."""
    if match["sign"] or match["currency"] or match["scale"]:
        return False
    before = text[max(0, match.start() - 14) : match.start()]
    if re.fullmatch(r"\d{4}", match["figure"]) and re.search(r"(?<!\d)\d{5}-$", before):
        return behind_amount  # the last four of "02139-4307"
    if not re.fullmatch(r"\d{5}", match["figure"]):
        return False
    return behind_amount or match["figure"][0] == "0" or bool(_ZIP_BEFORE.search(before))


def _opens_range(text: str, match: re.Match[str], following: re.Match[str] | None) -> bool:
    """In "entre 200 y 350 dolares" the first figure is money because the second is, in "between 200
    and 350" both are because of the word before them."""
    if following is None or not _continues(text, match.end(), following.start()):
        return False
    if _UNIT_AFTER.match(text, match.end()) or _UNIT_AFTER.match(text, following.end()):
        return False
    if following["currency"] or _scaled(following):
        return True
    before = text[max(0, match.start() - 12) : match.start()]
    both = min(_value(match), _value(following)) >= _SMALLEST_PLAIN
    ranged = (
        _BETWEEN.search(before)
        or _is_sum_alone(match, following)
        or _AFTER_MOST.match(text, following.end())
    )
    return both and bool(ranged)


def _is_sum_alone(first: re.Match[str], second: re.Match[str]) -> bool:
    """ "50 guests, 200 to 240.": of large figures between stops, the lower first."""
    text = first.string
    before, after = text[: first.start()].rstrip(" ")[-1:], text[second.end() :].lstrip(" ")[:1]
    alone = before in ",.;\n" and after in ",.;!?\n"
    return alone and _SMALLEST_ROUGH <= _value(first) < _value(second) < _YEARS


def _scaled(match: re.Match[str]) -> bool:
    """ "5 hundred", "2k", "three hundred"; a number in words that is a sum."""
    return bool(match["scale"]) or (not match["figure"][-1].isdecimal() and _value(match) >= 100)


def _amount(match: re.Match[str], text: str, certain: bool) -> _Amount | None:
    before = text[max(0, match.start() - 40) : match.start()]
    marked = bool(match["sign"] or match["currency"])
    if not marked and not certain and not _plain_budget(match, before, text):
        return None
    if not marked and _UNIT_AFTER.match(text, match.end()):
        return None
    value = _value(match)
    role = _role(before, text[match.end() : match.end() + 24])
    if value <= 0 or match["minus"]:
        role = "other"
    scale = _SCALES.get((match["scale"] or "").strip(" -"), 1000) if match["scale"] else 1
    if not match["scale"] and _scaled(match):
        scale = 1000 if value % 1000 == 0 else 100
    return _Amount(match.start(), match.end(), value, scale, role)


def _plain_budget(match: re.Match[str], before: str, text: str) -> bool:
    value = _value(match)
    large = bool(match["scale"]) or value >= _SMALLEST_PLAIN
    if not large or _UNIT_AFTER.match(text, match.end()) or _HEADS_BEFORE.search(before):
        return False
    clause = re.split(r"[.;!?\n]", before)[-1]
    near = re.search(r"[\0]", clause) is None
    cued = _MOST.search(before) or _LEAST.search(before) or (near and _BUDGET.search(clause))
    told = re.split(r"[.;!?\n]", text[max(0, match.start() - 90) : match.start()])[-1]
    counted = re.search(r"\b(?:balloons?|globos|people|guests|personas)\b", told)
    rough = value >= _SMALLEST_ROUGH and not counted and _ROUGHLY.search(before)
    return bool(cued or rough or _AFTER_MOST.match(text, match.end()))


def _role(before: str, after: str) -> str | None:
    if _NOT_BUDGET.search(before) or _NOT_BUDGET_AFTER.match(after):
        return "other"
    if _MOST.search(before):
        return "most"
    return "least" if _LEAST.search(before) else None


def _value(match: re.Match[str]) -> Decimal:
    figure = match["figure"].replace(",", "")
    value = Decimal(figure) if figure[-1].isdecimal() else Decimal(spelt_value(figure))
    scale = (match["scale"] or "").strip(" -")
    return value * (_SCALES.get(scale, 1000) if scale else 1) + int(match["rest"] or 0)
