"""Answers by their place in a row, a yes to an open question, and what was there before."""

import pytest

from bot.dialogue.messages import Offer
from tests.bot.dialogue.talking import WHOLE, Talk
from tests.bot.dialogue.test_asides import AIRY, SHORTER

FOOT = 0.3048


@pytest.mark.parametrize(
    ("piece", "words", "side", "feet"),
    [
        ("a column pair", "the first one", "height_m", 6),
        ("a column pair", "I'll take the second", "height_m", 5),
        ("a column pair", "option 3", "height_m", 7),
        ("a column pair", "the last one please", "height_m", 7),
        ("un aro", "la primera", "width_m", 6),
        ("un aro", "el segundo", "width_m", 5),
        ("un aro", "la última opción", "width_m", 8),
    ],
)
def test_a_place_in_the_row_is_the_button_that_stands_there(
    piece: str, words: str, side: str, feet: int
) -> None:
    talk = Talk().say(piece, words)
    assert getattr(talk.state.draft.pieces[0], side) == pytest.approx(feet * FOOT)
    assert talk.asked == "date"


def test_a_place_beyond_the_row_picks_nothing() -> None:
    assert Talk().say("un aro de 6 pies", "6 de junio", "02139", "la tercera").asked == "setting"


def test_the_first_is_a_day_where_the_day_is_asked() -> None:
    talk = Talk().say("a 6 ft hoop", "the first")
    assert talk.state.draft.event_date is not None
    assert talk.state.draft.event_date.day == 1


def priced(*offers: Offer) -> Talk:
    talk = Talk().say(WHOLE, "yes")
    talk.offers = offers
    return talk


@pytest.mark.parametrize("words", ["the first one", "la primera"])
def test_an_offer_is_taken_by_its_place(words: str) -> None:
    talk = priced(AIRY, SHORTER).say("can you do $250?", words)
    assert talk.last.kind == "readback"
    assert talk.state.draft.pieces[0].fullness == "airy"


def test_one_of_those_that_came_with_the_price_is_shown_again_to_press() -> None:
    talk = priced(AIRY, SHORTER).say("the first one")
    assert [button.label for button in talk.last.buttons][:2] == [
        "About $240: airy",
        "About $235: 30% shorter",
    ]


@pytest.mark.parametrize(("piece", "yes", "opening"), [("a hoop", "yes", "Good! "),
                                                       ("un aro", "sí", "¡Bien! ")])  # fmt: skip
def test_a_yes_to_an_open_question_is_no_riddle(piece: str, yes: str, opening: str) -> None:
    talk = Talk().say(piece, yes)
    assert talk.text.startswith(opening)
    assert talk.asked == "size"


@pytest.mark.parametrize(
    "words",
    [
        ("a 6 ft hoop", "make it a wall instead", "12 ft", "no wait, the hoop was better"),
        ("un aro de 6 pies", "mejor una pared", "12 pies", "no, mejor el aro"),
    ],
)
def test_what_is_wanted_after_all_has_the_size_that_it_had(words: tuple[str, ...]) -> None:
    talk = Talk().say(*words)
    (piece,) = talk.state.draft.pieces
    assert piece.support == "hoop"
    assert piece.width_m == pytest.approx(6 * FOOT)
    assert talk.asked == "date"
