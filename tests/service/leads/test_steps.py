"""Pauses between attempts, and how often a step is handed over again."""

from datetime import UTC, datetime, timedelta

from service.leads.steps import (
    MAX_ATTEMPTS,
    Step,
    StepKind,
    StepState,
    handing,
    pause_after,
)

NOON = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)
STEP = Step(
    id="s",
    kind=StepKind.QUOTE,
    subject_id="l",
    lane="lead:l",
    position=1,
    state=StepState.OWED,
    attempts=0,
    fence=0,
    due_at=NOON,
)


def test_pauses_grow_and_end() -> None:
    pauses = [pause_after(n) for n in range(1, MAX_ATTEMPTS)]
    assert None not in pauses
    assert pauses == sorted(p for p in pauses if p is not None)
    assert pause_after(MAX_ATTEMPTS) is None


def test_a_waiting_step_is_handed_over_soon_but_never_many_times() -> None:
    by_second = [handing(STEP, NOON + timedelta(seconds=s)) for s in range(3600)]
    assert by_second[:4] == [0, 0, 0, 0]
    assert by_second[4] == 1
    assert by_second[8] == 2
    # an hour without workers leaves about ten copies in the queue, not nine hundred
    assert max(by_second) == 10
    assert by_second == sorted(by_second)
