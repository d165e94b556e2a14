"""What the client wants to spend, and how many people come."""

from datetime import date
from decimal import Decimal

import pytest

from bot.understanding import Slots, read

REFERENCE = date(2027, 1, 10)


def slots_of(text: str) -> Slots:
    return read(text, reference_date=REFERENCE)


@pytest.mark.parametrize(
    ("text", "most"),
    [
        ("garland, budget's three fifty", 350),
        ("12 ft garland, keep it under 2 seventy five", 275),
        ("guirnalda de 10 pies, no quiero gastar mas de dos cincuenta", 250),
        ("aro de 2 m, no mas de 2 mil 500", 2500),
        ("3 hundred is my absolute limit for the hoop", 300),
        ("guirnalda de 15 pies, 400 tope", 400),
        ("arco, mi tope son 320", 320),
        ("arch with a 4-hundred-dollar cap", 400),
        ("We've allotted eight hundred for the stairs", 800),
        ("8 ft hoop, 200 to 240", 240),
        ("can you bring it down to 250?", 250),
    ],
)
def test_the_most_to_spend(text: str, most: int) -> None:
    assert slots_of(text).budget_max == Decimal(most)


@pytest.mark.parametrize("text", ["$5 a foot sounds fair", "8 dólares el pie", "$2 per balloon"])
def test_the_price_of_a_unit_is_no_budget(text: str) -> None:
    assert slots_of(text).budget_max is None


def test_the_ceiling_of_a_budget_is_nothing_to_decorate() -> None:
    slots = slots_of("a 7 ft hoop for my party, $500 is our ceiling")
    assert [piece.kind for piece in slots.structures] == ["hoop"]
    assert slots.budget_max == 500


@pytest.mark.parametrize(
    ("text", "guests"),
    [
        ("hoop for our block party, around 100 neighbors", 100),
        ("32 kids getting confirmed, total guests 210", 210),
        ("guests 150 to 175 at the reception", 175),
        ("brunch for about two dozen", 24),
        ("asisten 180 mamás", 180),
        ("the headcount dropped, more like 30", 30),
        ("congregation of 250", 250),
        ("dijimos 40 personas pero van a ser 60", 60),
    ],
)
def test_how_many_come(text: str, guests: int) -> None:
    slots = slots_of(text)
    assert (slots.guests, slots.budget_max) == (guests, None)


@pytest.mark.parametrize("text", ["add 12 more guests please", "agréguele 10 invitados más"])
def test_guests_on_top_are_not_all_the_guests(text: str) -> None:
    slots = slots_of(text)
    assert (slots.intent, slots.guests) == ("change", None)
