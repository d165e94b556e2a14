"""People read feet and inches, weekdays and dollars."""

from datetime import date, time
from decimal import Decimal

import pytest

from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.readback import described, read_back, size_label
from tests.bot.dialogue.talking import BOOK


def said(piece: Piece) -> str:
    return described(piece, None, EN)


EN, ES = BOOK.in_language("en"), BOOK.in_language("es")


@pytest.mark.parametrize(
    ("metres", "said"),
    [
        (2.1336, "7 ft"),
        (2.032, "6 ft 8 in"),
        (0.1905, "7 1/2 in"),
        (0.3048, "1 ft"),
        (2.1, "6 ft 11 in"),  # 82.68 in: told in meters, as the quote rounds it
        (0.0127, "1/2 in"),
        (3.6576, "12 ft"),
    ],
)
def test_lengths_are_feet_and_inches(metres: float, said: str) -> None:
    assert EN.length(metres) == said


def test_a_date_shows_its_weekday() -> None:
    assert EN.day(date(2027, 6, 6)) == "Sunday, June 6, 2027"
    assert ES.day(date(2027, 6, 6)) == "domingo, 6 de junio de 2027"


@pytest.mark.parametrize(
    ("names", "said"),
    [((), ""), (("a",), "a"), (("a", "b"), "a and b"), (("a", "b", "c"), "a, b and c")],
)
def test_lists_read_as_sentences(names: tuple[str, ...], said: str) -> None:
    assert EN.listed(names) == said


def test_pieces_are_described_with_count_and_size() -> None:
    assert said(Piece(support="column", count=2, height_m=1.8288)) == "2 columns, 6 ft tall"
    assert said(Piece(support="hoop", width_m=1.8288)) == "Hoop, 6 ft across"
    wall = Piece(support="wall", length_m=2.4384, assumed=True)
    assert said(wall) == "Wall, 8 ft long (a usual size)"


def test_a_swag_says_the_dip_that_was_taken_for_it() -> None:
    # 10 ft / 6 = 1 ft 8 in
    swag = Piece(support="swag", length_m=3.048)
    assert said(swag) == "Swag, 10 ft long, with a usual dip of 1 ft 8 in"


def test_sizes_to_choose_read_like_sizes_known() -> None:
    assert size_label("round_top_frame", (48, 84), EN) == "4 ft wide × 7 ft tall"
    assert size_label("hoop", (72,), EN) == "6 ft across"


def test_everything_known_is_read_back_and_the_unknown_is_said_to_be_so() -> None:
    draft = Draft(
        pieces=(Piece(support="hoop", width_m=1.8288),),
        occasion="baby_shower",
        start_time=time(10, 30),
        end_time=time(14, 0),
        guests=40,
        foils=("5", "0"),
        budget_min=Decimal("250"),
        budget_max=Decimal("400.50"),
        fullness="lush",
        setting="outdoor",
    )
    assert read_back(draft, currency="USD", phrases=EN).splitlines()[1:-1] == [
        "• Hoop, 6 ft across, extra lush",
        "• Colors: not sure yet",
        "• Foil balloons: 50",
        "• Date: not sure yet",
        "• Starts: 10:30 AM to 2:00 PM",
        "• Where: outdoors",
        "• For: baby shower",
        "• Guests: 40",
        "• Budget: $250 to $400.50",
        "• As usual: along the whole length",
    ]


def test_looks_extras_and_what_is_not_wanted_are_read_back() -> None:
    hoop = Piece(
        support="hoop", width_m=1.8288, placement="one_side", coverage=0.5, pattern="ombre"
    )
    draft = Draft(
        pieces=(hoop,),
        fullness="airy",
        colours=("pink", "white"),
        unwanted=("gold",),
        accents=(Accent(kind="greenery"), Accent(kind="sign", words="Welcome")),
        floating=12,
    )
    assert read_back(draft, currency="USD", phrases=EN).splitlines()[1:6] == [
        "• Hoop, 6 ft across, airy, on one side, 50% covered, in ombré",
        "• Colors: pink and white",
        "• Not: gold",
        "• With: greenery and a sign (“Welcome”)",
        "• Floating: 12 balloons on helium",
    ]


def test_the_readback_reads_as_spanish_in_spanish() -> None:
    draft = Draft(
        pieces=(Piece(support="column", count=2, height_m=1.8288),),
        colours=("dusty rose", "gold"),
        unwanted=("indigo", "pink"),
        occasion="quinceanera",
        event_date=date(2027, 6, 6),
        start_time=time(12, 0),
        setting="outdoor",
        place="Casa de la Cultura",
        accents=(Accent(kind="flowers", count=8),),
        foils=("1", "5", "star", "star", "boat"),
        budget_max=Decimal(400),
    )
    assert read_back(draft, currency="USD", phrases=ES).splitlines() == [
        "Esto es lo que tengo:",
        "• 2 columnas, 6 pies de alto",
        "• Colores: rosa palo y dorado",
        "• Sin: índigo y rosa",
        "• Con: 8 tallos de flores",
        "• Globos metalizados: 15, estrella ×2 y barco",
        "• Fecha: domingo, 6 de junio de 2027",
        "• Empieza: mediodía",
        "• Lugar: Casa de la Cultura, al aire libre",
        "• Motivo: quinceañera",
        "• Presupuesto: hasta $400",
        "• Lo usual: colores mezclados",
        "¿Te lo cotizo?",
    ]


@pytest.mark.parametrize(
    ("low", "high", "shown"),
    [(None, "600", "up to $600"), ("300", None, "from $300"), ("0", "0", "$0 to $0")],
)
def test_budgets_read_naturally(low: str | None, high: str | None, shown: str) -> None:
    draft = Draft(
        budget_min=Decimal(low) if low else None, budget_max=Decimal(high) if high else None
    )
    assert f"Budget: {shown}" in read_back(draft, currency="USD", phrases=EN)
