"""A text in lines that fit: broken at blanks, else after marks, else anywhere."""

import re
from collections.abc import Iterator

from service.rendering.paper.typefaces import fit_to_print, width_of

# An address or a compound may go on after these; blanks that do not break are not among them.
_PIECES = re.compile(r"[^-/?&=_.,;:|–—]*[-/?&=_.,;:|–—]*")
_ELLIPSIS = "…"


def wrapped(text: str, width: float, *, size: float, bold: bool = False) -> list[str]:
    """The lines of a text, each at most `width` mm; one that is empty where the text is."""
    lines = []
    for paragraph in fit_to_print(text).split("\n"):
        lines += _Breaker(width, size=size, bold=bold).lines_of(paragraph)
    return [_as_read(line) for line in lines]


def shortened(text: str, width: float, *, size: float, bold: bool = False) -> str:
    """One line of a text, with "…" where it had to be cut."""
    line = " ".join(fit_to_print(text).split())
    if width_of(line, size=size, bold=bold) <= width:
        return _as_read(line)
    while line and width_of(line + _ELLIPSIS, size=size, bold=bold) > width:
        line = line[:-1].rstrip()
    return _as_read(line + _ELLIPSIS)


class _Breaker:
    """Fills lines of one width. Nothing is kerned, so that widths add up."""

    def __init__(self, width: float, *, size: float, bold: bool) -> None:
        self._width, self._size, self._bold = width, size, bold
        self._blank = self._measured(" ")

    def lines_of(self, paragraph: str) -> list[str]:
        lines: list[str] = []
        line, filled = "", 0.0
        for word in paragraph.split(" "):
            wide = self._measured(word)
            if line and filled + self._blank + wide <= self._width:
                line, filled = f"{line} {word}", filled + self._blank + wide
                continue
            if line:
                lines.append(line)
            *whole, line = self._parts(word, wide)
            lines += whole
            filled = self._measured(line) if whole else wide
        return [*lines, line]

    def _parts(self, word: str, wide: float) -> list[str]:
        """A word, in as many parts as it needs."""
        if wide <= self._width:
            return [word]
        parts: list[str] = []
        part, filled = "", 0.0
        for piece in self._pieces(word):
            longer = filled + self._measured(piece)
            if part and longer > self._width:
                parts.append(part)
                part, longer = "", longer - filled
            part, filled = part + piece, longer
        return [*parts, part]

    def _pieces(self, word: str) -> Iterator[str]:
        for piece in filter(None, _PIECES.findall(word)):
            if self._measured(piece) <= self._width:
                yield piece
            else:
                yield from piece

    def _measured(self, text: str) -> float:
        return width_of(text, size=self._size, bold=self._bold)


def _as_read(line: str) -> str:
    """A line in the order in which its characters stand on paper, where some run leftwards."""
    if line.isascii() or not any("\u0590" <= each <= "\u08ff" for each in line):
        return line
    from fpdf.bidi import BidiParagraph
    from fpdf.enums import TextDirection

    # A name that runs leftwards turns no page around.
    return BidiParagraph(line, TextDirection.LTR).get_reordered_string()
