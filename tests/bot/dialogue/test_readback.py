"""People read feet and inches, weekdays and dollars."""

from datetime import date, time
from decimal import Decimal

import pytest

from bot.dialogue.readback import day, described, length, listed, read_back, size_label
from bot.dialogue.state import Draft, Piece


@pytest.mark.parametrize(
    ("metres", "said"),
    [
        (2.1336, "7 ft"),
        (2.032, "6 ft 8 in"),
        (0.1905, "7 1/2 in"),
        (0.3048, "1 ft"),
        (2.1, "6 ft 10 1/2 in"),  # 82.68 in, to the nearest half
        (0.0127, "1/2 in"),
        (3.6576, "12 ft"),
    ],
)
def test_lengths_are_feet_and_inches(metres: float, said: str) -> None:
    assert length(metres) == said


def test_a_date_shows_its_weekday() -> None:
    assert day(date(2027, 6, 6)) == "Sunday, June 6, 2027"


@pytest.mark.parametrize(
    ("names", "said"),
    [((), ""), (("a",), "a"), (("a", "b"), "a and b"), (("a", "b", "c"), "a, b and c")],
)
def test_lists_read_as_sentences(names: tuple[str, ...], said: str) -> None:
    assert listed(names) == said


def test_pieces_are_described_with_count_and_size() -> None:
    assert described(Piece(support="column", count=2, height_m=1.8288)) == "2 columns, 6 ft tall"
    assert described(Piece(support="hoop", width_m=1.8288)) == "Hoop, 6 ft across"
    wall = Piece(support="wall", length_m=2.4384, assumed=True)
    assert described(wall) == "Wall, 8 ft long (a usual size)"


def test_a_swag_says_the_dip_that_was_taken_for_it() -> None:
    # 10 ft / 6 = 1 ft 8 in
    swag = Piece(support="swag", length_m=3.048)
    assert described(swag) == "Swag, 10 ft long, with a usual dip of 1 ft 8 in"


def test_sizes_to_choose_read_like_sizes_known() -> None:
    assert size_label("round_top_frame", (48, 84)) == "4 ft wide × 7 ft tall"
    assert size_label("hoop", (72,)) == "6 ft across"


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
    assert read_back(draft, currency="USD").splitlines()[1:-1] == [
        "• Hoop, 6 ft across",
        "• Colors: not sure yet",
        "• Date: not sure yet",
        "• Starts: 10:30 am to 2 pm",
        "• Where: outdoors",
        "• For: baby shower",
        "• Fullness: extra lush",
        "• Foil balloons: 50",
        "• Guests: 40",
        "• Budget: $250 to $400.50",
    ]


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(None, "600", "up to $600"), ("300", None, "from $300"), ("0", "0", "$0 to $0")],
)
def test_budgets_read_naturally(low: str | None, high: str | None, said: str) -> None:
    draft = Draft(
        budget_min=Decimal(low) if low else None, budget_max=Decimal(high) if high else None
    )
    assert f"Budget: {said}" in read_back(draft, currency="USD")
