"""The first bare words, quick questions on the way, and what was cancelled taken up again."""

import pytest

from bot.dialogue.draft import Draft
from tests.bot.dialogue.talking import SHOP, WHOLE, Talk


@pytest.mark.parametrize(
    ("words", "opening"),
    [
        ("balloons", "Happy to help!"),
        ("I need balloons", "Happy to help!"),
        ("a quote please", "Happy to help!"),
        ("looking for a balloon garland", "Happy to help!"),
        ("globos", "¡Con mucho gusto!"),
        ("quiero decoración con globos", "¡Con mucho gusto!"),
    ],
)
def test_the_bare_wish_is_a_beginning(words: str, opening: str) -> None:
    talk = Talk().start().say(words)
    assert talk.text.startswith(opening)
    assert (talk.asked, talk.state.misses) == ("support", 0)


@pytest.mark.parametrize("words", ["balloons", "a quote please", "globos"])
def test_as_the_very_first_word_it_is_greeted(words: str) -> None:
    assert SHOP.name in Talk().say(words).text


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("can I send you a pic?", "Yes, just send it right here"),
        ("is this a bot?", "I'm a bot"),
        ("are you a real person?", "I'm a bot"),
        ("what's included?", "The price covers the balloons"),
        ("¿te puedo mandar una foto?", "Sí, mándala aquí mismo"),
        ("¿eres una persona?", "Soy un bot"),
        ("¿qué incluye el precio?", "El precio cubre los globos"),
    ],
)
@pytest.mark.parametrize("sent", [False, True])
def test_quick_questions_are_answered_at_once(words: str, answer: str, sent: bool) -> None:
    talk = Talk(locale="es" if "¿" in words else "en")
    talk.say(WHOLE, "yes") if sent else talk.start().press(talk.last.buttons[2].label)
    if "¿" in words:
        talk.say("en español")
    before = talk.state.draft.pieces
    talk.say(words)
    assert talk.text.startswith(answer)
    assert not talk.outcomes[-1].calls_owner
    assert talk.state.draft.pieces == before
    assert talk.asked == (None if sent else "size")


def test_who_asks_for_a_person_beside_that_gets_one() -> None:
    talk = Talk().say("a hoop", "is this a bot? I want to talk to a person")
    assert talk.outcomes[-1].calls_owner


@pytest.mark.parametrize(
    "words",
    [
        "looks good, how do I book?",
        "great, can we book it now?",
        "ok, what's next?",
        "me gusta, ¿cómo lo reservo?",
        "¿qué sigue?",
        "¿puedo apartar la fecha?",
    ],
)
def test_the_way_to_a_booking_is_told(words: str) -> None:
    talk = Talk().say(WHOLE, "yes", words)
    assert not talk.outcomes[-1].calls_owner
    assert "set-up time" in talk.text or "montaje" in talk.text


@pytest.mark.parametrize(
    ("words", "button"),
    [(("a 6 ft hoop", "I want to cancel"), "Take it up again"),
     (("un aro de 6 pies", "cancelar"), "Retomarlo")],
)  # fmt: skip
def test_what_was_cancelled_is_taken_up_with_one_tap(words: tuple[str, ...], button: str) -> None:
    talk = Talk().say(*words)
    assert (talk.state.draft, talk.state.stage) == (Draft(), "new")
    talk.press(button)
    assert talk.state.draft.pieces[0].support == "hoop"
    assert talk.state.draft.words == words[0]
    assert talk.asked == "date"


def test_after_something_else_was_begun_it_stays_dropped() -> None:
    talk = Talk().say("a 6 ft hoop", "cancel")
    again = talk.button("Take it up again")
    talk.say("a wall").press_old(again)
    assert [piece.support for piece in talk.state.draft.pieces] == ["wall"]


def test_what_the_shop_has_is_not_taken_up_by_a_tap() -> None:
    labels = [button.label for button in Talk().say(WHOLE, "yes", "cancel").last.buttons]
    assert "Take it up again" not in labels
