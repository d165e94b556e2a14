"""Cutting a long text where a reader would, in the units that Telegram counts."""

import unicodedata
from collections.abc import Iterator

# Where to cut, best first.
_ENDS = ("\n\n", "\n", ". ", "! ", "? ", " ")

_JOINER = "\u200d"
# They change the character before them: skin tones, and the tags of regional flags.
_MODIFIERS = frozenset(map(chr, (*range(0x1F3FB, 0x1F400), *range(0xE0020, 0xE0080), 0x200C)))
_MARKS = ("Mn", "Mc", "Me")

# Nothing of these is seen, and Telegram takes no text of them alone.
_UNSEEN = ("Cc", "Cf", "Cs", "Mn", "Me", "Zs", "Zl", "Zp")
_FILLERS = frozenset("\u115f\u1160\u2800\u3164\uffa0\ufffc")


def split(text: str, limit: int, *, first: int | None = None) -> list[str]:
    """Parts of at most `limit` UTF-16 units, the first of at most `first`.

    Cut at the end of a paragraph, line, sentence or word, else between characters as readers see
    them. White space at a cut is dropped, and so is a part in which nothing can be seen.
    """
    return [part for part in _parts(text.strip(), limit, first or limit) if visible(part)]


def _parts(text: str, limit: int, room: int) -> Iterator[str]:
    while units(text) > room:
        cut = _cut(text, _characters_within(text, room))
        yield text[:cut].rstrip()
        text = text[cut:].lstrip()
        room = limit
    yield text


def units(text: str) -> int:
    """Length in UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def visible(text: str) -> bool:
    """Whether a reader would see anything of it."""
    return any(unicodedata.category(c) not in _UNSEEN and c not in _FILLERS for c in text)


def _characters_within(text: str, limit: int) -> int:
    left = limit
    for index, character in enumerate(text):
        left -= 2 if ord(character) > 0xFFFF else 1
        if left < 0:
            return index
    return len(text)


def _cut(text: str, most: int) -> int:
    for end in _ENDS:
        at = text.rfind(end, 0, most)
        # A cut in the first half would make many small parts out of one long paragraph.
        if at >= most // 2 and not inside_character(text, at + len(end)):
            return at + len(end)
    whole = (cut for cut in range(most, 0, -1) if not inside_character(text, cut))
    return next(whole, most)


def inside_character(text: str, at: int) -> bool:
    """Whether a cut before index `at` would break what readers see as one character."""
    if not 0 < at < len(text):
        return False
    before, after = text[at - 1], text[at]
    if _is_flag_letter(before) and _is_flag_letter(after):
        return _flag_letters_before(text, at) % 2 == 1
    return (
        before == _JOINER
        or after == _JOINER
        or after in _MODIFIERS
        or unicodedata.category(after) in _MARKS
        or _is_one_syllable(before, after)
    )


def _is_flag_letter(character: str) -> bool:
    return "\U0001f1e6" <= character <= "\U0001f1ff"


def _flag_letters_before(text: str, at: int) -> int:
    start = at
    while start and _is_flag_letter(text[start - 1]):
        start -= 1
    return at - start


def _is_one_syllable(before: str, after: str) -> bool:
    """Whether these are parts of one Hangul syllable."""
    if "\u1160" <= after <= "\u11ff":
        return "\u1100" <= before <= "\u11ff" or "가" <= before <= "힣"
    leads = "\u1100" <= before <= "\u115f"
    return leads and ("\u1100" <= after <= "\u115f" or "가" <= after <= "힣")
