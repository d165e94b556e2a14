"""Clients say who they are and how to reach them, amid everything else."""

import pytest

from bot.dialogue.introducing import introduction
from tests.bot.dialogue.talking import WHOLE, Talk


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("my name is Ron", "Ron"),
        ("my name is ron smith", "Ron Smith"),
        ("my name’s Jo, a 6 ft hoop", "Jo"),
        ("Hi, I'm Ron Smith and I need a hoop", "Ron Smith"),
        ("hello, this is Mary-Ann", "Mary-Ann"),
        ("indoors please, I'm Ron", "Ron"),
        ("me llamo Ana María", "Ana María"),
        ("mi nombre es josé", "José"),
        ("Hola, soy Ana", "Ana"),
        ("my name is on the list", None),
        ("hi I'm looking for an arch", None),
        ("it's Saturday", None),
        ("call me Monday", None),
        ("Hi, I'm Sorry I'm late", None),
        ("The name is Riverside Hall", None),
        ("soy de Boston", None),
        ("a sign that says “my name is Bo”", None),
    ],
)
def test_a_name_is_one_where_it_is_told_as_one(text: str, name: str | None) -> None:
    assert introduction(text).name == name


@pytest.mark.parametrize(
    ("text", "phone"),
    [
        ("call me at 617 555 0134", "617 555 0134"),
        ("(617) 555-0134 thanks", "(617) 555-0134"),
        ("my number is 555 0134", "555 0134"),
        ("+44 20 7946 0958", "+44 20 7946 0958"),
        ("llámame al 617 555 0134", "617 555 0134"),
        ("mi número es el 55 1234 5678", "55 1234 5678"),
        ("02139-1234", None),
        ("2027-06-06 at 3", None),
        ("between 300-400", None),
        ("call me", None),
    ],
)
def test_a_number_is_one_where_it_can_be_nothing_else(text: str, phone: str | None) -> None:
    assert introduction(text).phone == phone


@pytest.mark.parametrize(
    ("talk", "words", "answer"),
    [
        ("a hoop", "my name is Ron", "Nice to meet you, Ron! How big should the hoop be?"),
        (
            "a hoop",
            "call me at 617 555 0134",
            "Thank you, your number goes along with the request. How big should the hoop be?",
        ),
        ("un aro", "me llamo Ana", "¡Mucho gusto, Ana! ¿De qué tamaño sería el aro?"),
    ],
)
def test_it_is_acknowledged_and_the_question_goes_on(talk: str, words: str, answer: str) -> None:
    told = Talk().say(talk, words)
    assert told.text == answer
    assert told.state.misses == 0


def test_the_request_carries_the_name_and_the_number_that_were_told() -> None:
    talk = Talk().say(WHOLE, "my name is Ron, my cell is 617-555-0134", "yes")
    (sent,) = talk.submissions
    assert (sent.name, sent.phone) == ("Ron", "617-555-0134")


def test_what_is_said_beside_the_name_is_heard_too() -> None:
    talk = Talk().say("Hi, I'm Ron and I need a 6 ft hoop")
    assert talk.text.startswith("Happy to help! Nice to meet you, Ron!")
    assert talk.asked == "date"


def test_a_number_after_the_request_reaches_the_owner() -> None:
    talk = Talk().say(WHOLE, "yes", "call me at 617 555 0134, please")
    assert talk.outcomes[-1].calls_owner
    assert "your number" in talk.text
