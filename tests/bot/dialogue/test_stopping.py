"""Clients who want nothing unasked any more, and those who want to be reminded again."""

import pytest

from bot.dialogue import Button
from tests.bot.dialogue.talking import WHOLE, Talk

STOPPING = (
    "stop",
    "STOP!",
    "Please stop.",
    "/stop",
    "unsubscribe",
    "no more reminders please",
    "stop texting me",
    "please don't message me anymore",
    "I don't want any more reminders",
    "opt out",
    "basta",
    "ya basta",
    "ya no me escriban",
    "no me manden más",
    "por favor dejen de escribirme",
    "no quiero más mensajes",
    "darme de baja",
)
NOT_STOPPING = ("cancel", "never mind", "forget it", "cancela", "olvídalo", "no gracias")


@pytest.mark.parametrize("said", STOPPING)
@pytest.mark.parametrize("before", [(), ("a 6 ft hoop",), (WHOLE,), (WHOLE, "yes")])
def test_stop_is_obeyed_at_once_wherever_the_talk_stands(
    said: str, before: tuple[str, ...]
) -> None:
    talk = Talk().say(*before)
    stage, draft, asked = talk.state.stage, talk.state.draft, talk.state.asked
    talk.say(said)
    assert talk.outcomes[-1].stops is True
    assert (talk.state.stage, talk.state.draft, talk.state.asked) == (stage, draft, asked)
    assert talk.last.asks is None
    assert "“start”" in talk.text or "“empezar”" in talk.text


@pytest.mark.parametrize("said", NOT_STOPPING)
def test_cancelling_a_request_stops_no_reminders(said: str) -> None:
    assert Talk().say(WHOLE, said).outcomes[-1].stops is None


@pytest.mark.parametrize(
    "said",
    [
        "garland with a bus stop sign, 6 ft hoop",
        "a 6 ft hoop near the last stop of the tram",
        "we don't want more than two columns",
        "no more balloons than you need, a 6 ft hoop",
        "quiero una guirnalda, basta con 2 columnas",
    ],
)
def test_facts_with_such_words_are_facts(said: str) -> None:
    talk = Talk().say(said)
    assert talk.outcomes[-1].stops is None
    assert talk.state.draft.pieces


def test_the_open_question_takes_its_answer_after_a_stop() -> None:
    talk = Talk().say("a 6 ft hoop", "stop", "june 6")
    assert str(talk.state.draft.event_date) == "2027-06-06"


def test_who_meant_the_request_can_still_cancel_it() -> None:
    talk = Talk().say("a 6 ft hoop", "stop").press("Cancel my request")
    assert talk.state.stage == "new"
    assert [b.label for b in Talk().say("stop").last.buttons] == ["Remind me again"]


def test_a_stop_is_heard_amid_a_complaint() -> None:
    talk = Talk().say(WHOLE, "yes", "this is a scam, terrible service, I want my money back")
    talk.say("stop")
    assert talk.outcomes[-1].stops is True
    assert talk.state.care


@pytest.mark.parametrize(
    "said",
    [
        "start",
        "Start.",
        "empezar",
        "remind me again",
        "I want to be reminded again",
        "recuérdame",
        "quiero que me recuerden otra vez",
        "quisiera recibir recordatorios de nuevo",
    ],
)
def test_whoever_stopped_starts_again_in_words(said: str) -> None:
    talk = Talk().say("a 6 ft hoop", "stop")
    talk.stopped = True
    talk.say(said)
    assert talk.outcomes[-1].stops is False
    assert talk.asked == "date"


def test_a_greeting_starts_nothing_again() -> None:
    talk = Talk().say("a 6 ft hoop", "stop")
    talk.stopped = True
    assert talk.say("hello").outcomes[-1].stops is None


def test_start_begins_the_talk_where_nothing_was_stopped() -> None:
    talk = Talk().say("start")
    assert talk.outcomes[-1].stops is None
    assert talk.asked == "support"


def test_the_button_starts_again_even_much_later() -> None:
    talk = Talk().say("a 6 ft hoop", "stop")
    again = talk.button("Remind me again")
    talk.stopped = True
    talk.say("start over").press_old(again)
    assert talk.outcomes[-1].stops is False
    pressed = Talk().press_old(Button(label="Remind me again", value="remind"))
    assert pressed.outcomes[-1].stops is False


def test_it_is_said_in_the_clients_language() -> None:
    talk = Talk().say("hola, quiero una guirnalda para un aro de 6 pies", "basta")
    assert "recordatorio" in talk.text
    assert "escribe “empezar”" in talk.text
    assert [b.label for b in talk.last.buttons] == ["Recuérdame otra vez", "Cancelar mi pedido"]
