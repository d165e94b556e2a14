"""What the Bot API server has seen is read as its sender can have heard it."""

import pytest

from tests.bot_api import Call, Sent
from tests.faults.evidence import Cut, Evidence
from tests.faults.reading import read_bot_api


def _call(at: float = 100.0, *, took_s: float = 0.01, status: int = 200, chat: int = 77) -> Call:
    params = {"chat_id": chat}
    return Call(method="sendMessage", params=params, status=status, at=at, took_s=took_s)


def _read(*calls: Call, sent_at: float = 100.0, cuts: tuple[Cut, ...] = ()) -> Evidence:
    evidence = Evidence(cuts=[*cuts])
    sent = Sent(message_id=1, chat_id=77, text="Working it out now.", rows=[], at=sent_at)
    read_bot_api(calls, [sent], evidence)
    return evidence


def _cut(target: str, began: float, ended: float, kind: str = "cut", **more: bool) -> Cut:
    return Cut(number=0, kind=kind, target=target, began=began, ended=ended, **more)


def _was_heard(evidence: Evidence) -> bool:
    (posted,) = evidence.posted
    assert evidence.doubtful <= {"77"}
    assert posted.answered is not bool(evidence.doubtful)
    return posted.answered


def test_an_answer_that_came_was_heard() -> None:
    assert _was_heard(_read(_call()))


@pytest.mark.parametrize("call", [_call(status=0), _call(took_s=25.5)])
def test_an_answer_that_never_came_or_too_late_was_not(call: Call) -> None:
    assert not _was_heard(_read(call))


def test_an_answer_within_the_senders_patience_was_heard() -> None:
    assert _was_heard(_read(_call(took_s=24.5)))


@pytest.mark.parametrize(
    ("began", "ended", "heard"),
    [(99.0, 100.0, False), (100.4, 101.0, False), (98.0, 99.9, True), (100.6, 101.0, True)],
)
def test_a_connection_that_broke_meanwhile_lost_the_answer(
    began: float, ended: float, heard: bool
) -> None:
    assert _was_heard(_read(_call(), cuts=(_cut("bot api", began, ended),))) is heard


@pytest.mark.parametrize(
    "cut", [_cut("bot api", 99.0, 101.0, "delay"), _cut("deliveries", 99.0, 101.0)]
)
def test_a_slow_way_or_another_one_loses_nothing(cut: Cut) -> None:
    assert _was_heard(_read(_call(), cuts=(cut,)))


def test_a_lost_answer_concerns_the_message_of_that_call_alone() -> None:
    (later,) = _read(_call(status=0), _call(101.0), sent_at=101.0).posted
    assert later.answered
    (other,) = _read(_call(status=0, chat=78), _call()).posted
    assert other.answered


def test_what_nobody_sends_with_is_no_sending() -> None:
    call = Call(method="getUpdates", params={}, status=0, at=100.0, took_s=30.0)
    found = _read(call)
    assert found.hung == []
    assert found.doubtful == set()


@pytest.mark.parametrize(
    ("call", "cut", "until"),
    [
        (_call(took_s=3.0), None, 103.0),
        (_call(took_s=40.0), None, 125.0),
        (_call(took_s=3.0), _cut("deliveries", 101.0, 101.0, "kill"), 101.0),
        (_call(took_s=3.0), _cut("deliveries", 99.0, 99.0, "kill"), 103.0),
        (_call(took_s=3.0), _cut("replies", 101.0, 101.0, "kill"), 103.0),
        (_call(took_s=3.0), _cut("deliveries", 101.0, 101.0, "kill", struck=False), 103.0),
    ],
)
def test_a_call_hangs_until_its_answer_or_the_senders_patience_or_end(
    call: Call, cut: Cut | None, until: float
) -> None:
    assert _read(call, cuts=(cut,) if cut else ()).hung == [(100.0, until)]


def test_a_call_that_takes_as_long_as_usual_does_not_hang() -> None:
    assert _read(_call(took_s=0.9)).hung == []
