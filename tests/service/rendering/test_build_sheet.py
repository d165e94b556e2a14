"""Build sheets and labels on paper: complete, readable in black and white, nothing clipped."""

from dataclasses import replace
from datetime import UTC, datetime
from xml.etree import ElementTree

import pytest

from service.estimating import Accent, AccentKind, Event, Fullness, Pattern, Piece, Support
from service.rendering.build_sheet import drawn, labels_pdf, pdf, svg
from service.rendering.paper import PaperSize
from service.workshop.build_sheet import BuildSheet, saying
from tests.service.building import a_brief
from tests.service.rendering.reading import clipped, fonts_of, pages_of, qr_codes_of, text_of
from tests.service.workshop.build_sheet.sheets import COLUMNS, FOOT, LAWN, ROWS, of, sheet_for

NOON = datetime(2027, 1, 10, 17, tzinfo=UTC)
LINK = "https://garlands.example/desk/jobs/0123456789abcdef"
LONG = "The Honourable Company of Alder Mills Bookbinders and Letterpress Printers"
SIX = of("navy", "dusty rose", "rose gold", "sage", "light blue", "copper")
LUSH = a_brief(
    pieces=(
        Piece(
            support=Support.WALL,
            length_m=17 * FOOT,
            fullness=Fullness.LUSH,
            accents=(Accent(kind=AccentKind.SIGN, words=f"{LONG}, founded in 1927"),),
        ),
        replace(ROWS, pattern=Pattern.BLOCKS),
        replace(COLUMNS, count=12),
    ),
    palette=SIX,
    site=replace(LAWN.site, place=f"{LONG}, 12 Old Canal Street"),
)


def printed(sheet: BuildSheet, size: PaperSize = PaperSize.LETTER) -> bytes:
    return pdf(sheet, shop="Harbor Lane Balloons", made_at=NOON, size=size)


def labelled(sheet: BuildSheet, size: PaperSize = PaperSize.LETTER) -> bytes:
    return labels_pdf(sheet, shop="Harbor Lane Balloons", made_at=NOON, size=size, link=LINK)


def squeezed(text: str) -> str:
    """Any word may be broken where a line ends."""
    return "".join(text.split()).casefold()


@pytest.mark.parametrize("size", PaperSize)
def test_everything_stands_there_and_nothing_is_clipped(size: PaperSize) -> None:
    sheet = sheet_for(LUSH)
    made = printed(sheet, size)
    assert clipped(made) == []
    assert all(fonts_of(made).values())
    text = squeezed(text_of(made))
    for said in (
        *(value for fact in saying.facts(sheet) for value in fact),
        *(value for piece in sheet.pieces for fact in saying.facts_of(piece) for value in fact),
        *(saying.described(piece) for piece in sheet.pieces),
        *(saying.holds(each.holds) for piece in sheet.pieces for each in piece.letters),
        *(value for piece in sheet.pieces for each in piece.attached for value in (each.text,)),
        *(each.mount for piece in sheet.pieces for each in piece.attached),
        *sheet.extras,
        *sheet.cautions,
    ):
        assert squeezed(said) in text
    assert "$" not in text


@pytest.mark.parametrize("size", PaperSize)
def test_a_usual_job_of_one_piece_takes_three_pages(size: PaperSize) -> None:
    assert len(pages_of(printed(sheet_for(a_brief(foils=("5", "0"))), size))) == 3


def test_every_page_in_the_midst_of_a_piece_says_which_it_is() -> None:
    pages = pages_of(printed(sheet_for(LUSH)))
    begun = next(i for i, page in enumerate(pages) if "1. Wall garland\n" in page and i)
    after = pages[begun + 1]
    assert "2. Ceiling garland" in after or "1. Wall garland" in after


def test_the_line_is_read_in_rows_of_ten_with_its_numbers() -> None:
    sheet = sheet_for(a_brief(pieces=(ROWS,), palette=of("navy", "white")))
    text = text_of(printed(sheet))
    row = sheet.pieces[0].stretches[0]
    for line in (line for step in row.steps for line in saying.lines_of(step)):
        assert f"{line.numbers} {' '.join(line.letters)}" in text


def test_what_repeats_is_printed_once_with_how_often() -> None:
    plain = sheet_for(a_brief(pieces=(replace(COLUMNS, count=1),), palette=of("navy")))
    text = text_of(printed(plain))
    assert "1–8 A × 8" in text


def test_the_same_sheet_is_the_same_file() -> None:
    assert printed(sheet_for(LAWN)) == printed(sheet_for(LAWN))
    assert labelled(sheet_for(LAWN)) == labelled(sheet_for(LAWN))


@pytest.mark.parametrize("size", PaperSize)
def test_every_bag_has_a_label_and_so_have_the_spares(size: PaperSize) -> None:
    sheet = sheet_for(LUSH)
    made = labelled(sheet, size)
    assert clipped(made) == []
    assert all(fonts_of(made).values())
    text = squeezed(text_of(made))
    for bag in sheet.bags:
        assert squeezed(f"Bag {bag.number} of {bag.of}") in text
        assert squeezed(bag.label) in text
        for line in saying.by_size(bag.contents):
            assert squeezed(line) in text
    spares = saying.spares(sheet.totals)
    assert sum(each.count for each in spares) == sum(each.spares for each in sheet.totals)
    for line in saying.by_size(spares):
        assert squeezed(line) in text
    assert squeezed(LONG) in text
    assert squeezed("Old Canal Street") not in text
    assert set(qr_codes_of(made)) == {LINK}


def test_a_job_without_day_or_place_or_time_is_printed_too() -> None:
    bare = a_brief(event=Event(), site=replace(LAWN.site, place=None))
    sheet = sheet_for(bare)
    assert "no sooner than 12 hours before it begins" in text_of(printed(sheet))
    made = labels_pdf(sheet, shop="Harbor Lane Balloons", made_at=NOON, size=PaperSize.A4)
    assert qr_codes_of(made) == []
    assert f"Bag 1 of {len(sheet.bags)}" in text_of(made)


@pytest.mark.parametrize("piece", [LAWN.pieces[0], ROWS, COLUMNS, LUSH.pieces[0]])
def test_a_diagram_for_a_page_shows_all_that_it_holds_within_its_room(piece: Piece) -> None:
    sheet = sheet_for(a_brief(pieces=(piece,), foils=("5", "0")))
    drawing = drawn(sheet.pieces[0].diagram, width=108, height=84)
    for mark in drawing.marks:
        top, bottom = mark.extent
        assert top >= 0
        assert bottom <= drawing.height
    root = ElementTree.fromstring(svg(drawing, alt='a "plain" outline'))  # noqa: S314
    assert root.attrib["aria-label"] == 'a "plain" outline'
    texts = [each.text for each in root.iter("{http://www.w3.org/2000/svg}text")]
    assert texts[0] == "1"
    # The foils, wherever they are in the list of what goes on it.
    assert {text for text in texts if text and not text.isdigit()} <= set("abc")
    assert any(text and not text.isdigit() for text in texts)
