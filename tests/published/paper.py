"""Paper, and the codes that are printed on it."""

import math
from collections.abc import Callable, Sequence
from functools import cache, partial
from io import BytesIO

import numpy as np
import pypdfium2
import zxingcpp
from numpy.typing import NDArray
from PIL import Image
from pypdf import PdfReader

from service.estimating import Brief, estimate
from service.rendering.build_sheet import labels_pdf
from service.rendering.paper import Paper, PaperSize, Paragraph, Running
from service.rendering.quote_document import pdf as quote_pdf
from service.workshop.build_sheet import build_sheet
from tests.published.demo import FRAME, TODAY, book
from tests.published.row import INCH, Row, derived, published, remembered
from tests.service.workshop.quotes_told import NOON, QUOTED, a_quote, told

_POINT_MM = 25.4 / 72
_LINK = "https://garlands.example/desk/jobs/0123456789abcdef"
_SCALE = 4
"""Pixels to a point: some six to a module of the smallest code."""

_DARK = 160


def side(size: PaperSize, axis: int) -> float:
    """Width (0) or height (1) of a sheet [mm]."""
    return size.measures[axis]


@cache
def media_box(size: PaperSize) -> tuple[float, float]:
    """Width and height [pt] of a page that was printed."""
    running = Running(shop="Harbor Lane Balloons", document="A sheet", number="G1001")
    paper = Paper(size=size, title="A sheet", made_at=NOON, running=running)
    paper.add(Paragraph("A line."))
    box = PdfReader(BytesIO(paper.bytes())).pages[0].mediabox
    return float(box.width), float(box.height)


def printed_side(size: PaperSize, axis: int) -> float:
    """Width (0) or height (1) of a printed page [pt]."""
    return media_box(size)[axis]


@cache
def a_quote_printed() -> bytes:
    """A quote with the code of its page."""
    return quote_pdf(
        told(a_quote(), QUOTED, "en"), size=PaperSize.LETTER, made_at=NOON, picture=None
    )


@cache
def labels_printed() -> bytes:
    """Labels of bags, each with the code of its job's page."""
    brief = Brief(pieces=(FRAME,))
    sheet = build_sheet(brief, estimate(brief, book(), today=TODAY), book(), number="G1001")
    return labels_pdf(
        sheet, shop="Harbor Lane Balloons", made_at=NOON, size=PaperSize.LETTER, link=_LINK
    )


@cache
def the_code(made: bytes) -> tuple[int, float]:
    """Of the first code in a file: modules across, and modules of white around it."""
    with pypdfium2.PdfDocument(made) as document:
        for page in document:
            image = page.render(scale=_SCALE).to_pil().convert("L")
            for code in zxingcpp.read_barcodes(image):
                corners = (code.position.top_left, code.position.bottom_right)
                return _measured(image, [(each.x, each.y) for each in corners])
    raise LookupError("there is no code in it")


def _measured(image: Image.Image, corners: Sequence[tuple[int, int]]) -> tuple[int, float]:
    dark = np.asarray(image) < _DARK
    middle = [sum(each) // 2 for each in zip(*corners, strict=True)]
    reach = max(corners[1][0] - corners[0][0], corners[1][1] - corners[0][1]) * 0.53
    left, top = (int(at - reach) for at in middle)
    box = dark[top : top + int(2 * reach), left : left + int(2 * reach)]
    rows, columns = np.flatnonzero(box.any(axis=1)), np.flatnonzero(box.any(axis=0))
    top, bottom = top + rows[0], top + rows[-1]
    left, right = left + columns[0], left + columns[-1]
    # A row of single modules, dark and light by turns, runs between the marks in two corners,
    # along the last of their own seven rows.
    mark = int(np.flatnonzero(~dark[top + 2, left:])[0])
    runs = 1 + int(np.diff(dark[top + round(6.5 / 7 * mark), left : right + 1]).sum())
    across = 7 + (runs - 2) + 7
    module = (right - left + 1) / across
    return across, _white_around(dark, (left, top, right, bottom)) / module


def _white_around(dark: NDArray[np.bool_], box: tuple[int, int, int, int]) -> int:
    """Pixels out to the nearest that is not white, in the direction where that is least."""
    left, top, right, bottom = box
    away = 1
    while True:
        rows = dark[[top - away, bottom + away], left - away : right + away + 1]
        columns = dark[top - away : bottom + away + 1, [left - away, right + away]]
        if rows.any() or columns.any():
            return away - 1
        away += 1


def white_around(made: Callable[[], bytes]) -> float:
    """Modules of white around the code of a document."""
    return the_code(made())[1]


def over_a_version(made: Callable[[], bytes]) -> float:
    """What the modules across its code are more than those of a version."""
    return (the_code(made())[0] - 17) % 4


_ENCYCLOPEDIA = "'ISO 216' (amazines.com)"

SHEETS = (
    *(
        published(
            id=f"{name} of A4",
            source=f"{_ENCYCLOPEDIA}: A4, 210 x 297 mm",
            expected=expected,
            tolerance=1e-9,
            unit="mm",
            answer=partial(side, PaperSize.A4, axis),
        )
        for axis, (name, expected) in enumerate((("width", 210), ("height", 297)))
    ),
    *(
        published(
            id=f"{name} of Letter",
            source=f"{_ENCYCLOPEDIA}: Letter, 8 1/2 x 11 in",
            expected=expected * INCH * 1000,
            tolerance=1e-9,
            unit="mm",
            answer=partial(side, PaperSize.LETTER, axis),
        )
        for axis, (name, expected) in enumerate((("width", 8.5), ("height", 11)))
    ),
    published(
        id="height of A4 over its width",
        source="'A4' (maeckes.nl): root 2 to 1; to half a mm of rounding",
        expected=math.sqrt(2),
        tolerance=0.0024,
        answer=lambda: side(PaperSize.A4, 1) / side(PaperSize.A4, 0),
    ),
    *(
        derived(
            id=f"{name} of a printed page of {size.name}",
            source=f"{millimetres} mm, 72 points to the inch",
            expected=millimetres / _POINT_MM,
            tolerance=0.01,
            unit="pt",
            answer=partial(printed_side, size, axis),
        )
        for size, measures in ((PaperSize.A4, (210, 297)), (PaperSize.LETTER, (215.9, 279.4)))
        for axis, (name, millimetres) in enumerate(zip(("width", "height"), measures, strict=True))
    ),
)

_QUIET = "'QR Code' (denso-wave.com): a four-module wide margin at all sides of a symbol"

CODES = tuple(
    row
    for name, made in (("quote", a_quote_printed), ("bag's label", labels_printed))
    for row in (
        published(
            id=f"white around the code of a {name}",
            source=_QUIET,
            expected=4,
            at_least=True,
            unit="modules",
            answer=partial(white_around, made),
        ),
        remembered(
            id=f"modules across the code of a {name}",
            source="ISO/IEC 18004: 17 and four for each version; over 17, modulo four",
            expected=0,
            answer=partial(over_a_version, made),
        ),
    )
)

ROWS: tuple[Row, ...] = (*SHEETS, *CODES)
