"""Postal codes."""

import re

from bot.understanding.passage import Passage, Span

_US_CODE = re.compile(r"(?<![\w$#€£.,/-])(?P<code>\d{5}(?:-\d{4})?)(?![\w-]|[.,]\d)")
_BRITISH_CODE = re.compile(r"\b(?P<code>[a-z]{1,2}\d[a-z\d]?\s?\d[a-z]{2})\b")
_CANADIAN_CODE = re.compile(r"\b(?P<code>[a-z]\d[a-z]\s?\d[a-z]\d)\b")
_NOT_CODE_BEFORE = re.compile(
    r"(?:order|invoice|confirmation|ref|reference|lead|quote|ticket|number|numero|no\.?|pedido|"
    r"account)\s?(?:is|es|:|#)?\s?$"
)
_NOT_CODE_AFTER = re.compile(
    r"\s(?:balloons?|globos|people|guests|ppl|personas|dollars|bucks|pesos|attendees|fans|sq|"
    r"(?:[nsew]\.?\s)?(?:\w+\s){1,2}(?:st|street|ave|avenue|rd|road|blvd|boulevard|drive|dr|lane|"
    r"ln|way|highway|hwy|court|ct)\b)"
)


def postal_code_in(passage: Passage, locale: str) -> tuple[str | None, tuple[Span, ...]]:
    """The postal code: five digits in the United States, Mexico and Spain, letters and digits
    where the locale's country writes them so."""
    country = locale.upper().split("-")[-1]
    pattern = {"GB": _BRITISH_CODE, "CA": _CANADIAN_CODE}.get(country, _US_CODE)
    text = passage.folded
    for match in (*pattern.finditer(text), *_US_CODE.finditer(text)):
        before = text[max(0, match.start() - 16) : match.start()]
        if not _NOT_CODE_BEFORE.search(before) and not _NOT_CODE_AFTER.match(text, match.end()):
            return match["code"].upper(), (match.span("code"),)
    return None, ()
