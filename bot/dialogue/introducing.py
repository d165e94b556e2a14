"""Who a client is, in their own words: "my name is Ron", "call me at 617 555 0134"."""

import re
from dataclasses import dataclass
from types import ModuleType

from bot.dialogue.sayings import en, es

_LANGUAGES: tuple[ModuleType, ...] = (en, es)
_TYPED = str.maketrans({"’": "'", "‘": "'"})
_LONGEST_NAME = 60
# Three digits, three and four are a telephone number wherever they stand; other groupings only
# behind a plus, or where a number is announced.
_PLAIN = r"(?<![\d$.,+-])(?:1[ .-]?)?(?:\(\d{3}\) ?|\d{3}[ .-]?)\d{3}[ .-]?\d{4}(?![\d-])"
_ABROAD = r"(?<!\d)\+\d(?:[ .()-]{0,2}\d){7,14}(?!\d)"
_ANNOUNCED = r"\(?\d(?:[ .()-]{0,2}\d){6,14}(?!\d)"
_WORD = r"[^\W\d_]+(?:['-][^\W\d_]+)*"
_CAPITAL = r"(?-i:[A-ZÁÉÍÓÚÑ])"
_NAME = rf"(?P<name>{_WORD}(?:(?:\s(?={_CAPITAL}){_WORD}){{1,2}}|\s{_WORD}(?=\s*(?:$|[.,;!?\n])))?)"
_CLOSED = r"(?=\s*(?:$|[.,;!?\n]|(?:and|from|with|here|y|de|con)\b))"


@dataclass(frozen=True, kw_only=True)
class Introduction:
    """What `text` tells of who writes it, and what is left of it beside that."""

    name: str | None = None
    phone: str | None = None
    rest: str


def introduction(text: str) -> Introduction:
    """The name and the telephone number that a client tells in `text`."""
    rest, phone = _cut(text, _PHONES, "phone")
    rest, name = _cut(rest, _NAMES, "name")
    if name is not None and name.islower():
        name = name.title()
    if name is None and phone is None:
        return Introduction(rest=text)
    return Introduction(name=name, phone=phone, rest=_tidied(rest))


def _cut(text: str, patterns: tuple[re.Pattern[str], ...], group: str) -> tuple[str, str | None]:
    """`text` without the first that a pattern finds, and what that is."""
    for pattern in patterns:
        match = pattern.search(text.translate(_TYPED))
        if match is not None and len(match[group]) <= _LONGEST_NAME:
            return f"{text[: match.start()]} {text[match.end() :]}", match[group].strip()
    return text, None


def _tidied(rest: str) -> str:
    """`rest` without what only held it to what was cut out; "" where no word is left."""
    bare = re.sub(r"^[\s,.;:!-]*(?:(?:and|y)\s+)?|[\s,;:-]+$", "", rest).strip()
    for language in _LANGUAGES:
        bare = re.sub(rf"(?i)^(?:{language.COURTESY})[\s,.!]*$", "", bare)
    return bare if re.search(r"\w", bare) else ""


def _phones() -> tuple[re.Pattern[str], ...]:
    announced = "|".join(language.PHONE_ANNOUNCED for language in _LANGUAGES)
    numbers = (rf"(?:{_PLAIN}|{_ABROAD}|{_ANNOUNCED})", rf"(?:{_ABROAD}|{_PLAIN})")
    behind = rf"(?i)\b(?:{announced})[\s:]*(?P<phone>{numbers[0]})"
    return re.compile(behind), re.compile(rf"(?P<phone>{numbers[1]})")


def _names() -> tuple[re.Pattern[str], ...]:
    told = "|".join(language.NAME_TOLD for language in _LANGUAGES)
    greeted = "|".join(language.NAME_AFTER_GREETING for language in _LANGUAGES)
    never = "|".join(language.NO_NAME for language in _LANGUAGES)
    return (
        re.compile(rf"(?i)(?<![\"“«])\b(?:{told})\s+(?!(?:{never})\b){_NAME}"),
        re.compile(
            rf"(?i)(?:^|[.,!;\n])\W*(?:{greeted})\s+(?!(?:{never})\b)(?={_CAPITAL})"
            rf"{_NAME}\b{_CLOSED}"
        ),
    )


_PHONES = _phones()
_NAMES = _names()
