"""Documents on paper: nothing clipped, nothing lost, pages that turn where they should."""

import io
import subprocess
import sys
from datetime import UTC, datetime
from typing import Any

import pytest
from PIL import Image

from service.rendering.paper import (
    Align,
    Beside,
    Block,
    Bullets,
    Callout,
    Cell,
    Circle,
    Column,
    Columns,
    Drawing,
    Facts,
    Grid,
    Heading,
    Line,
    NewPage,
    Paper,
    PaperSize,
    Paragraph,
    Picture,
    Polygon,
    QrCode,
    Rectangle,
    Row,
    Rule,
    Running,
    Space,
    Swatch,
    Swatches,
    Table,
    Text,
    Ticks,
    Together,
    legible,
    uncovered,
    width_of,
)
from tests.service.rendering.reading import (
    clipped,
    fonts_of,
    pages_of,
    pictures_of,
    qr_codes_of,
    sizes_of,
    text_of,
)

MADE = datetime(2027, 3, 1, 12, tzinfo=UTC)
ADDRESS = "https://harborlane.example/quotes/" + "aB3-_" * 20
WORD = "Regatta" * 29
FILLER = tuple(Paragraph(f"line {i}") for i in range(36))
COLUMNS = (Column("Color", share=3), Column("Balloons", align=Align.RIGHT))


def printed(*blocks: Block, size: PaperSize = PaperSize.LETTER, **running: Any) -> bytes:
    usual = {"shop": "Harbor Lane Balloons", "document": "Build sheet", "number": "G1001"}
    paper = Paper(size=size, title="A sheet", made_at=MADE, running=Running(**(usual | running)))
    paper.add(*blocks)
    return paper.bytes()


def a_photo(width: int, height: int, kind: str = "jpeg") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, height), "#88aa99").save(out, kind)
    return out.getvalue()


EVERYTHING: tuple[Block, ...] = (
    Heading("Fifty years afloat " * 6, level=1),
    Paragraph(WORD, align=Align.CENTRE),
    Facts((("Where", WORD), ("When", "Sunday, June 6, 2027"))),
    Swatches([Swatch("sage", "#a9b79a"), Swatch(WORD, None), Swatch("cream", "#f4e9d3")]),
    Bullets(["one", WORD]),
    Picture(a_photo(1200, 300), alt="a garland", caption=WORD),
    Picture(a_photo(300, 1200, "png"), alt="a column", max_height=400),
    Ticks(["pump", Cell(WORD, note=WORD), "tape"], columns=2),
    Table(COLUMNS, [Row(Cell(WORD, swatch="#a9b79a"), "1,200"), Row("all", "1,200", rule=True)]),
    Callout("Wind", [WORD, "second"]),
    Beside(left=(Paragraph(WORD),), right=(QrCode(ADDRESS),), shares=(3, 1)),
    Columns((Paragraph(WORD), Bullets((WORD, "two")))),
    Grid([(Heading("Bag 1", level=3), Paragraph(WORD)), (Paragraph("Bag 2"),)], min_height=30),
    Rule(),
    Space(500),
    Drawing(
        width=400,
        height=300,
        marks=(
            Line(0, 0, 400, 300, dashed=True),
            Rectangle(0, 0, 400, 300, radius=4),
            Circle(200, 150, 100, fill="#eeeeee"),
            Polygon(((0, 0), (50, 50), (0, 50)), colour=None, fill="#cccccc"),
            Text(200, 150, "eleven inches", anchor=Align.CENTRE),
        ),
    ),
)


@pytest.mark.parametrize("size", PaperSize)
def test_nothing_is_clipped_or_lost_however_long_it_is(size: PaperSize) -> None:
    pdf = printed(*EVERYTHING, size=size, shop=WORD, foot=WORD)
    assert clipped(pdf) == []
    text = "".join("".join(pages_of(pdf)).split())
    # In a paragraph, as a value, a colour, a point, a caption, a thing to tick with its note, in a
    # table, a caution, beside the code, in columns (twice) and on a label.
    assert text.count(WORD) == 13
    assert qr_codes_of(pdf) == [ADDRESS]
    assert "eleven inches" in text_of(pdf)
    width, height = size.measures
    assert set(sizes_of(pdf)) == {(round(width), round(height))}


def test_typefaces_are_in_the_file_and_as_small_as_what_is_said() -> None:
    pdf = printed(Paragraph("Hello"), Paragraph("Hello", bold=True), Paragraph("Ω ✓"))
    fonts = fonts_of(pdf)
    assert sorted(name.split("+")[1] for name in fonts) == ["DejaVuSansBook", "Lato", "LatoBold"]
    assert all(fonts.values())
    assert len(pdf) < 40_000


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("Peña Núñez, Żółć", "Peña Núñez, Żółć"),
        ("n\u0303", "ñ"),  # composed
        ("Ωμέγα Привет ✓", "Ωμέγα Привет ✓"),
        ("Fifty 🎈 years", "Fifty years"),
        ("王小明", "���"),
        ("a\u200bb\u0007\tc", "ab c"),
    ],
)
def test_other_scripts_are_set_as_far_as_a_typeface_has_them(written: str, read: str) -> None:
    assert read in text_of(printed(Paragraph(written)))


def test_what_runs_leftwards_is_read_as_it_was_written() -> None:
    assert "שלום Nora" in text_of(printed(Paragraph("שלום Nora")))


def test_columns_of_points_are_about_as_high_and_no_point_is_parted() -> None:
    points = [Bullets((f"point {i} " + "goes on " * 20,)) for i in range(6)]
    beside, below = printed(Columns(points)), printed(*points)
    assert text_of(beside).count("point") == text_of(below).count("point")
    assert text_of(beside).index("point 2") < text_of(beside).index("point 3")
    long = printed(Columns((*FILLER, *FILLER)))
    assert clipped(long) == []


def test_only_words_whose_letters_are_all_there_are_legible() -> None:
    assert legible("Zoë 🎈 李 Ålund") == "Zoë Ålund"
    assert legible("李明") == ""


def test_it_can_be_asked_what_no_typeface_has() -> None:
    assert uncovered("Nora Peña, Ω") == frozenset()
    assert uncovered("王 and 🎈") == {"王", "🎈"}


def test_pages_are_numbered_and_say_whose_they_are() -> None:
    pdf = printed(*FILLER * 3, page_of="Página %(page)s de %(pages)s", foot="call us", first=False)
    first, second, *_, last = pages_of(pdf)
    count = len(pages_of(pdf))
    assert count > 2
    assert f"Página 1 de {count}" in first
    assert f"Página {count} de {count}" in last
    assert "Harbor Lane Balloons" not in first
    assert "Build sheet G1001" in second
    assert "call us" in first


def test_heads_come_again_and_no_row_is_parted() -> None:
    rows = [Row(f"row {i}\nsecond {i}\nthird {i}", str(i)) for i in range(40)]
    pages = pages_of(printed(Table(COLUMNS, rows)))
    assert len(pages) > 2
    for page in pages:
        assert page.count("Color") == page.count("Balloons\n") == 1
        assert page.count("row") == page.count("second") == page.count("third")


def test_a_row_that_no_page_holds_goes_on_over_pages() -> None:
    words = [f"word{i}" for i in range(2500)]
    pdf = printed(Table(COLUMNS, [Row(" ".join(words), "9"), Row("after", "1")]))
    assert clipped(pdf) == []
    said = text_of(pdf).split()
    assert [word for word in said if word.startswith("word")] == words
    assert "after" in said


@pytest.mark.parametrize("lines", [29, 30, 31, 32])
def test_neither_a_heading_nor_a_sum_stands_apart_from_what_it_belongs_to(lines: int) -> None:
    rows = [Row("cream", "1"), Row("sage", "2"), Row("in all", "3", rule=True)]
    blocks = [*FILLER, *FILLER][:lines]
    pages = pages_of(printed(*blocks, Heading("Balloons by color"), Table(COLUMNS, rows)))
    for page in pages:
        assert ("Balloons by color" in page) == ("cream" in page)
        assert ("in all" in page) == ("sage" in page)


@pytest.mark.parametrize("lines", [30, 34, 38])
def test_what_belongs_together_is_on_one_page(lines: int) -> None:
    both = Together((Paragraph("begins"), *FILLER[:9], Paragraph("ends")))
    pages = pages_of(printed(*[*FILLER, *FILLER][:lines], both))
    assert [("begins" in page) for page in pages] == [("ends" in page) for page in pages]


def test_what_should_be_together_but_is_longer_than_a_page_is_parted() -> None:
    pages = pages_of(printed(Together(FILLER * 2), Callout("Mind", ["this " * 40] * 60)))
    assert sum(page.count("line 35\n") for page in pages) == 2
    assert sum(page.count("this") for page in pages) == 2400


def test_columns_that_no_page_holds_stand_one_below_the_other() -> None:
    pdf = printed(Beside(left=FILLER * 2, right=(Paragraph("the other"),)))
    assert "the other" in pages_of(pdf)[-1]
    assert clipped(pdf) == []


def test_a_new_page_begins_where_it_is_asked_for_and_none_is_empty() -> None:
    pdf = printed(NewPage(), Paragraph("one"), NewPage(), NewPage(), Paragraph("two"), NewPage())
    assert [("one" in page, "two" in page) for page in pages_of(pdf)] == [
        (True, False),
        (False, True),
    ]


def test_nothing_to_say_is_a_page_all_the_same() -> None:
    empty = (Table(COLUMNS, ()), Bullets(()), Ticks(()), Swatches(()), Facts(()), Paragraph(""))
    assert len(pages_of(printed(*empty))) == 1


def test_the_same_values_are_the_same_bytes() -> None:
    assert printed(*EVERYTHING) == printed(*EVERYTHING)


def test_it_is_drawn_where_and_as_it_should() -> None:
    pdf = printed(Drawing(width=20, height=20, marks=(Rectangle(0, 0, 20, 20, fill="#ff0000"),)))
    page = Image.open(io.BytesIO(pictures_of(pdf, scale=25.4 / 72)[0])).convert("RGB")
    # A dot is a millimetre: in the middle, below the running head.
    red = [x for x in range(page.width) if page.getpixel((x, 30)) == (255, 0, 0)]
    assert red[0] == pytest.approx(98, abs=1)
    assert len(red) == pytest.approx(20, abs=2)


def test_widths_are_those_of_the_typeface() -> None:
    # Lato's digits are all 580 thousandths of its size; a point is 0.3528 mm.
    assert width_of("1234", size=10) == pytest.approx(4 * 0.58 * 10 * 0.3528, rel=0.001)
    assert width_of("1234", size=10, bold=True) == pytest.approx(4 * 0.58 * 10 * 0.3528, rel=0.001)


def test_who_only_serves_pages_does_not_wait_for_what_draws() -> None:
    asked = (
        "import sys, service.rendering.quote_file as _;"
        "print({'fpdf', 'fontTools', 'segno', 'PIL', 'numpy'} & set(sys.modules))"
    )
    said = subprocess.run([sys.executable, "-c", asked], capture_output=True, check=True, text=True)
    assert said.stdout == "set()\n"
