"""Nothing is said twice, and sizes are said back as they were told; two days are two events."""

import pytest

from tests.bot.dialogue.talking import BOOK, Talk

EN, ES = BOOK.in_language("en"), BOOK.in_language("es")


def test_what_is_known_of_the_place_is_not_noted_again() -> None:
    talk = Talk().say("a 6 ft hoop, june 6", "the hall in 02139", "what day was it? it's indoors")
    assert "02139" not in talk.text
    noted = Talk().say("a 6 ft hoop in 02139", "indoors")
    assert noted.text.startswith("Noted: indoors. What day")


def test_the_hint_adds_something_to_the_question() -> None:
    talk = Talk().say("a 6 ft hoop", "june 6", "???")
    assert talk.text.endswith(
        "Where will it be? A postal code or a town is enough. For example “02139”."
    )
    talk = Talk().say("un aro de 6 pies", "6 de junio", "???")
    assert talk.text.endswith(
        "¿Dónde será? Con el código postal o la ciudad me basta. Por ejemplo “02139”."
    )


@pytest.mark.parametrize(
    ("metres", "english", "spanish"),
    [
        (2.5, "2.5 m (8 ft 2 in)", "2.5 m (8 pies 2 pulgadas)"),
        (2, "2 m (6 ft 7 in)", "2 m (6 pies 7 pulgadas)"),
        (1.75, "1.75 m (5 ft 9 in)", "1.75 m (5 pies 9 pulgadas)"),
        (4, "4 m (13 ft 1 in)", "4 m (13 pies 1 pulgada)"),
        (2.4384, "8 ft", "8 pies"),
        (0.1905, "7 1/2 in", "7 1/2 pulgadas"),
    ],
)
def test_meters_are_said_back_where_they_were_told(
    metres: float, english: str, spanish: str
) -> None:
    assert EN.measure(metres) == english
    assert ES.measure(metres) == spanish


def test_the_readback_has_the_size_in_the_clients_unit() -> None:
    talk = Talk().say(
        "un aro de 2.5 m de diámetro para el 6 de junio a las 3 pm, adentro, en 02139"
    )
    talk.say("azul")
    assert "Aro, 2.5 m (8 pies 2 pulgadas) de diámetro" in talk.text


@pytest.mark.parametrize(
    ("words", "first", "other"),
    [
        (
            "a 6 ft hoop for May 8 at the library and a 10 ft wall garland for June 12 at the"
            " rowing club",
            "library",
            "rowing club",
        ),
        (
            "un aro de 6 pies para el 8 de mayo en la biblioteca y una guirnalda de 10 pies en la"
            " pared para el 12 de junio en el club de remo",
            "biblioteca",
            "club de remo",
        ),
    ],
)
def test_two_pieces_with_a_day_each_are_two_events(words: str, first: str, other: str) -> None:
    talk = Talk().say(words)
    draft = talk.state.draft
    assert (draft.event_date and draft.event_date.month, len(draft.pieces)) == (5, 1)
    assert draft.place == first
    assert other in talk.state.another
    assert "May" not in talk.state.another
    assert talk.asked == "setting"


def test_two_pieces_for_one_of_two_days_are_one_event() -> None:
    talk = Talk().say("a hoop and two columns for May 8 or May 9")
    assert len(talk.state.draft.pieces) == 2
    assert talk.state.another == ""
