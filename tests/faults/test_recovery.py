"""How long whoever waited at a fault has waited, and who is left out of that figure."""

from dataclasses import replace

import pytest

from tests.faults.evidence import Cut, Evidence, Story, Turn
from tests.faults.recovery import apart_from_ends, recovery


def _story(channel: str = "webchat") -> Story:
    """Somebody who waited from 1.1 to 1.3 and from 2.1 to 2.3, and for a price until 3.0."""
    return Story(
        client="nora",
        channel=channel,
        chat_id="77",
        turns=[
            Turn(what="text", sent=1.0, accepted=1.1, answered=1.3),
            Turn(what="confirm", sent=2.0, accepted=2.1, answered=2.3),
        ],
        confirmed=2.1,
        priced=3.0,
    )


def _cut(target: str, at: float, kind: str = "kill", lasts: float = 0.0) -> Cut:
    return Cut(number=0, kind=kind, target=target, began=at, ended=at + lasts)


def test_recovery_is_the_time_until_the_last_of_what_was_outstanding() -> None:
    story = _story()
    cuts = [_cut("service", 2.2), _cut("redis", 1.5), _cut("service", 2.15, "stop", 0.5)]
    found = recovery(Evidence(stories=[story], cuts=cuts), cuts)
    assert found.seconds == pytest.approx((0.35, 0.8))
    assert found.untouched == 1


def _recovered(story: Story, cut: Cut, **more: object) -> tuple[float, ...]:
    evidence = Evidence(stories=[story], cuts=[cut], **more)  # type: ignore[arg-type]
    return recovery(evidence, evidence.cuts).seconds


def test_a_fault_that_found_nobody_has_no_recovery() -> None:
    assert _recovered(_story(), replace(_cut("service", 2.2), struck=False)) == ()


def test_a_chat_in_which_a_message_may_be_out_has_no_recovery() -> None:
    assert _recovered(_story("telegram"), _cut("service", 2.2), doubtful={"78"}) != ()
    assert _recovered(_story("telegram"), _cut("service", 2.2), doubtful={"77"}) == ()


def test_what_the_bot_api_hangs_is_taken_off_for_who_waits_for_it() -> None:
    cut, hung = _cut("service", 2.2), [(1.0, 2.5)]
    assert _recovered(_story("telegram"), cut, hung=hung) == pytest.approx((0.5,))
    assert _recovered(_story(), cut, hung=hung) == pytest.approx((0.8,))


def test_who_met_the_end_of_everything_is_left_out_of_the_rest() -> None:
    early, late = _story(), _story()
    late.turns, late.confirmed, late.priced = [], 12.0, 13.5
    end = replace(_cut("everything", 2.9), back=7.0)
    cuts = [_cut("service", 2.2), end, _cut("service", 12.5)]
    found = apart_from_ends(Evidence(stories=[early, late], cuts=cuts))
    assert found.seconds == pytest.approx((0.1, 1.0))
    late.confirmed = 6.5
    found = apart_from_ends(Evidence(stories=[early, late], cuts=cuts))
    assert found.seconds == pytest.approx((0.1,))
