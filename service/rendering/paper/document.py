"""A document: blocks in order, on pages that turn by themselves, as a PDF."""

from dataclasses import dataclass, field
from datetime import datetime

from service.rendering.paper.lines import shortened
from service.rendering.paper.marks import GREY, LINE, Align, Line, Mark, Text
from service.rendering.paper.size import PaperSize
from service.rendering.paper.slabs import Block, Room, Slab, pages_of, slabs_of

MARGIN = 18.0
_TOP, _BOTTOM = 24.0, 20.0
_HEAD_Y, _FOOT_Y = 14.0, 11.0
_SMALL = 8.5


@dataclass(frozen=True, kw_only=True, slots=True)
class Running:
    """What stands above and below every page; with `first` not so, not above the first.

    `page_of` has "%(page)s" and "%(pages)s" in it, `foot` is a line beside it.
    """

    shop: str
    document: str
    number: str = ""
    foot: str = ""
    page_of: str = "Page %(page)s of %(pages)s"
    first: bool = True


@dataclass(kw_only=True)
class Paper:
    """A document that is being written. `made_at` is told in the file, so it is an argument."""

    size: PaperSize
    title: str
    made_at: datetime
    running: Running
    language: str = "en"
    _slabs: list[Slab] = field(default_factory=list, init=False)

    @property
    def width(self) -> float:
        """What is between the margins at the sides, in mm."""
        return self.size.measures[0] - 2 * MARGIN

    @property
    def height(self) -> float:
        """What is between the margins above and below, in mm."""
        return self.size.measures[1] - _TOP - _BOTTOM

    def pages_with(self, *blocks: Block) -> int:
        """How many pages there were with these blocks as well."""
        room = Room(width=self.width, height=self.height)
        return len(pages_of([*self._slabs, *slabs_of(blocks, room)], room))

    def add(self, *blocks: Block) -> None:
        """Put blocks below what is there."""
        self._slabs += slabs_of(blocks, Room(width=self.width, height=self.height))

    def bytes(self) -> bytes:
        """The PDF: the same bytes for the same blocks."""
        from service.rendering.paper.writing import written

        room = Room(width=self.width, height=self.height)
        pages = pages_of(self._slabs, room)
        drawn = [
            [*self._around(i, len(pages)), *(mark.placed(MARGIN, _TOP) for mark in page)]
            for i, page in enumerate(pages, start=1)
        ]
        return written(
            drawn,
            size=self.size.measures,
            title=self.title,
            language=self.language,
            made_at=self.made_at,
        )

    def _around(self, page: int, pages: int) -> list[Mark]:
        return [*(self._head() if page > 1 or self.running.first else ()), *self._foot(page, pages)]

    def _head(self) -> list[Mark]:
        running, right = self.running, MARGIN + self.width
        what = " ".join(filter(None, (running.document, running.number)))
        half = self.width / 2 - 2
        shop = shortened(running.shop, half, size=_SMALL, bold=True)
        said = shortened(what, half, size=_SMALL)
        return [
            Text(MARGIN, _HEAD_Y, shop, size=_SMALL, bold=True, colour=GREY),
            Text(right, _HEAD_Y, said, size=_SMALL, colour=GREY, anchor=Align.RIGHT),
            Line(MARGIN, _HEAD_Y + 2.4, right, _HEAD_Y + 2.4, LINE, 0.25),
        ]

    def _foot(self, page: int, pages: int) -> list[Mark]:
        y, right = self.size.measures[1] - _FOOT_Y, MARGIN + self.width
        number = self.running.page_of % {"page": page, "pages": pages}
        foot = shortened(self.running.foot, self.width * 0.75, size=_SMALL)
        return [
            Text(MARGIN, y, foot, size=_SMALL, colour=GREY),
            Text(right, y, number, size=_SMALL, colour=GREY, anchor=Align.RIGHT),
        ]
