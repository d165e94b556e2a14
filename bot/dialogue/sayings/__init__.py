"""What clients say to the conversation itself, in every language that is spoken.

Both languages are always listened to: a "sí" agrees in an English talk too. Patterns are matched
against folded text, lower case and without accents, because that is how people type.
"""

import re
import unicodedata
from functools import cache, lru_cache
from types import ModuleType

from bot.dialogue.sayings import en, es

_LANGUAGES: tuple[ModuleType, ...] = (en, es)
_TYPED = str.maketrans({"’": "'", "‘": "'", "´": "'", "`": "'", "“": '"', "”": '"'})


@lru_cache(maxsize=64)  # a turn looks at one text from many sides
def folded(text: str) -> str:
    """`text` in lower case, without accents, with straight quotes."""
    apart = unicodedata.normalize("NFKD", text.translate(_TYPED).lower())
    return "".join(char for char in apart if not unicodedata.combining(char))


def short_things(text: str) -> tuple[str, ...]:
    """The names of what the whole of `text` may mean, in the order in which they count."""
    plain = folded(text).strip(" .!?,¡¿")
    return tuple(name for name in en.SAID if any(one.fullmatch(plain) for one in _whole(name)))


def found(name: str, text: str) -> re.Match[str] | None:
    """Where `text` says what goes by `name`."""
    plain = folded(text)
    matches = (one.search(plain) for one in _anywhere(name))
    return next(filter(None, matches), None)


def without(name: str, text: str) -> str:
    """`text` without the words that go by `name`."""
    match = found(name, text)
    # Folding keeps every letter's place, save for oddities such as ligatures.
    if match is None or len(match.string) != len(text):
        return text
    return f"{text[: match.start()]} {text[match.end() :]}"


def says(name: str, text: str) -> bool:
    """Whether `text` says what goes by `name` anywhere."""
    return found(name, text) is not None


def names_support(support: str, text: str) -> bool:
    """Whether `text` has the word for `support`."""
    plain = folded(text)
    return any(
        re.search(rf"\b(?:{language.NOUNS[support]})\b", plain)
        for language in _LANGUAGES
        if support in language.NOUNS
    )


def takes_away(support: str, text: str) -> int | None:
    """How many of that support `text` takes away, 0 for all of them; None where it does not."""
    plain = folded(text)
    for language in _LANGUAGES:
        if support not in language.NOUNS:
            continue
        match = re.search(language.TAKEN_AWAY.format(noun=language.NOUNS[support]), plain)
        if match is not None:
            count: str | None = match["count"]
            return language.NUMBERS.get(count) or int(count) if count else 0
    return None


def place_in_row(text: str) -> int | None:
    """Which of several in a row the whole of `text` picks: 0 is the first, -1 the last."""
    plain = folded(text).strip(" .!?,¡¿")
    for language in _LANGUAGES:
        for pattern, place in language.PLACES_IN_ROW.items():
            if re.fullmatch(pattern, plain):
                return int(place)
    return None


def topics_to_change(text: str) -> tuple[str, ...]:
    """The questions that `text` has a word for."""
    plain = folded(text)
    return tuple(
        name
        for name in en.TOPICS
        if any(re.search(language.TOPICS[name], plain) for language in _LANGUAGES)
    )


def accents_named(text: str) -> frozenset[str]:
    """The kinds of accents that `text` has a word for."""
    plain = folded(text)
    return frozenset(
        kind
        for kind in en.ACCENTS
        if any(re.search(language.ACCENTS[kind], plain) for language in _LANGUAGES)
    )


def accents_refused(text: str) -> frozenset[str]:
    """The kinds of accents that `text` takes away: "no eucalyptus", "quita las flores"."""
    plain = folded(text)
    return frozenset(
        kind
        for kind in en.ACCENTS
        for language in _LANGUAGES
        if re.search(rf"{_NOT_WANTED}(?:{language.ACCENTS[kind]})", plain)
    )


_NOT_WANTED = (
    r"\b(?:no|without|remove|drop|skip|lose|minus|leave out|take out|take off|leave off"
    r"|get rid of|sin|ya no|nada de|quit\w+|saca\w*|elimin\w+)\s"
    r"(?:(?:more|any|the|mas|el|la|los|las)\s)*"
)


def colour_words_refused(text: str) -> tuple[str, ...]:
    """The words, in the client's language, that may be colours taken away: "gold", "gold and"."""
    plain = folded(text)
    patterns = (one for language in _LANGUAGES for one in language.COLOUR_TAKEN_AWAY)
    return tuple(match["colour"] for one in patterns for match in re.finditer(one, plain))


def celebrated(text: str, language: str) -> str | None:
    """What a client celebrates in their own words of that language, told back to them: "rowing
    club's 50th", "el cumpleaños de tu hija"."""
    spoken = es if language == "es" else en
    match = re.search(spoken.CELEBRATED, text.translate(_TYPED).lower())
    if match is None:
        return None
    what: str = match["what"]
    for ours, yours in spoken.YOURS.items():
        what = re.sub(rf"\b{ours}\b", yours, what)
    return what


@cache
def _whole(name: str) -> tuple[re.Pattern[str], ...]:
    return tuple(re.compile(language.SAID[name]) for language in _LANGUAGES)


@cache
def _anywhere(name: str) -> tuple[re.Pattern[str], ...]:
    return tuple(re.compile(language.ANYWHERE[name]) for language in _LANGUAGES)
