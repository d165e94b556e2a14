"""The typefaces: how wide a text is in them, and which of them has which character."""

import logging
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import groupby
from pathlib import Path

POINT_MM = 25.4 / 72

UNKNOWN = "�"

_FOLDER = Path(__file__).parent.parent / "fonts"
_BLANKS = str.maketrans({"\t": " ", "\r": "", "\v": "\n", "\f": "\n", "\u202f": "\u00a0"})


class Face(StrEnum):
    """A typeface by its file's name."""

    REGULAR = "Lato-Regular"
    BOLD = "Lato-Bold"
    OTHER_SCRIPTS = "DejaVuSans"

    @property
    def path(self) -> Path:
        """The file."""
        return _FOLDER / f"{self}.ttf"


# They tell of every table of a typeface, and of letters of people's names that are in none.
for _talkative in ("fontTools", "fpdf"):
    logging.getLogger(_talkative).setLevel(logging.ERROR)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Metrics:
    """Advance widths by character, in thousandths of the size."""

    widths: dict[str, float]


def fit_to_print(text: str) -> str:
    """The text as it can be set: composed, without controls, every character in some typeface.

    Pictographs that no typeface has are left out, other characters become "�".
    """
    if text.isascii() and text.isprintable():
        return text
    composed = unicodedata.normalize("NFC", text.translate(_BLANKS))
    return "".join(map(_printed, composed))


def uncovered(text: str) -> frozenset[str]:
    """The characters of a text that no typeface has."""
    composed = unicodedata.normalize("NFC", text.translate(_BLANKS))
    return frozenset(each for each in composed if _printed(each) != each)


def legible(text: str) -> str:
    """The words of a text that can be read once they are set: all their letters are there."""
    return " ".join(word for word in fit_to_print(text).split() if UNKNOWN not in word)


def runs(text: str, *, bold: bool) -> Iterator[tuple[Face, str]]:
    """A line that is fit to print, in parts of one typeface each."""
    own = Face.BOLD if bold else Face.REGULAR
    known = _metrics(own).widths
    for has, part in groupby(text, known.__contains__):
        yield (own if has else Face.OTHER_SCRIPTS), "".join(part)


def width_of(text: str, *, size: float = 10.0, bold: bool = False) -> float:
    """How wide a line is, in mm, at a size in points."""
    own = _metrics(Face.BOLD if bold else Face.REGULAR).widths
    thousandths = 0.0
    for each in text:
        width = own.get(each)
        thousandths += _other(each) if width is None else width
    return thousandths * size * POINT_MM / 1000


@cache
def _printed(character: str) -> str:
    if character == "\n" or _covered(character):
        return character
    # Controls and joiners say nothing by themselves; pictographs are but decoration.
    nothing = unicodedata.category(character) in {"Cc", "Cf", "Cs", "Mn", "Me", "So", "Sk"}
    return "" if nothing else UNKNOWN


def _covered(character: str) -> bool:
    invisible = unicodedata.category(character) in {"Cc", "Cf", "Cs"}
    held = (_metrics(face).widths for face in (Face.REGULAR, Face.OTHER_SCRIPTS))
    return not invisible and any(character in widths for widths in held)


def _other(character: str) -> float:
    widths = _metrics(Face.OTHER_SCRIPTS).widths
    return widths.get(character, widths[UNKNOWN])


@cache
def _metrics(face: Face) -> _Metrics:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(face.path, lazy=True) as file:
        scale = 1000 / file["head"].unitsPerEm
        advances = file["hmtx"].metrics
        characters = file.getBestCmap().items()
        return _Metrics(
            widths={chr(code): round(advances[glyph][0] * scale) for code, glyph in characters}
        )
