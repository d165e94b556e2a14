"""Owed steps under leases, on SQLite and PostgreSQL."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from service.leads import stepping
from service.leads.repositories import Answered
from service.leads.steps import (
    GRACE,
    LEASE,
    LONGEST_PAUSE,
    MAX_ATTEMPTS,
    MOST_DOUBTS,
    Doubtful,
    Owed,
    Step,
    StepKind,
    StepRefused,
    StepState,
)
from tests.service.storage.conftest import NOON, Shop

LATER = NOON + LEASE


def _owe(shop: Shop, lane: str = "lead:1") -> Step:
    with shop.work() as work:
        work.outbox.owe(StepKind.QUOTE, "lead-1", lane=lane, now=NOON)
        work.commit()
    return shop.queued[-1]


def test_a_step_is_queued_after_the_commit_only(shop: Shop) -> None:
    with shop.work() as work:
        work.outbox.owe(StepKind.QUOTE, "lead-1", lane="a", now=NOON)
        assert shop.queued == []
    assert shop.queued == []
    step = _owe(shop)
    assert (step.kind, step.subject_id, step.state) == (StepKind.QUOTE, "lead-1", StepState.OWED)


def test_one_worker_at_a_time_has_a_step_until_its_lease_runs_out(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        first = stepping.lease(work, step.id, NOON)
        with pytest.raises(StepRefused, match="another worker"):
            stepping.lease(work, step.id, NOON)
        second = stepping.lease(work, step.id, LATER)
        with pytest.raises(StepRefused, match="passed to another"):
            stepping.held(work, step.id, first.fence)
        stepping.finish(work, stepping.held(work, step.id, second.fence))
        with pytest.raises(StepRefused, match="done"):
            stepping.lease(work, step.id, LATER)
    assert second.fence == first.fence + 1


def test_a_failed_step_comes_back_after_growing_pauses_and_is_given_up_in_the_end(
    shop: Shop,
) -> None:
    step = _owe(shop)
    now, pauses = NOON, []
    with shop.work() as work:
        for _ in range(MAX_ATTEMPTS):
            taken = stepping.lease(work, step.id, now)
            stepping.fail(
                work, step.id, taken.fence, error="E", retry=True, retry_after=None, now=now
            )
            due = work.outbox.get(step.id).due_at
            pauses.append((due - now).total_seconds())
            now = due
        assert work.outbox.get(step.id).state is StepState.DEAD
        assert [dead.id for dead in work.outbox.dead(limit=5)] == [step.id]
    assert pauses[:-1] == sorted(pauses[:-1])
    assert pauses[0] == 1


def test_a_channel_that_asks_for_patience_gets_it(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        stepping.fail(
            work,
            step.id,
            taken.fence,
            error="429",
            retry=True,
            retry_after=timedelta(seconds=33),
            now=NOON,
        )
        assert work.outbox.get(step.id).due_at == NOON + timedelta(seconds=33)


def test_messages_of_a_chat_go_out_in_the_order_they_were_written(shop: Shop) -> None:
    first, second = _owe(shop, "telegram:7"), _owe(shop, "telegram:7")
    with shop.work() as work:
        with pytest.raises(StepRefused, match="earlier"):
            stepping.lease(work, second.id, NOON)
        taken = stepping.lease(work, first.id, NOON)
        stepping.finish(work, taken)
        work.commit()
    assert shop.queued[-1].id == second.id
    with shop.work() as work:
        assert stepping.lease(work, second.id, NOON).fence == 1


def test_a_cut_off_attempt_that_may_have_reached_the_outside_is_remembered(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        stepping.sending(work, step.id, taken.fence, NOON)
        assert not taken.unclear
        again = stepping.lease(work, step.id, LATER)
        assert (again.unclear, again.doubts, again.doubtful_since) == (True, 1, LATER)
        # Cut off before it sent anything: no second doubt.
        assert stepping.lease(work, step.id, LATER + LEASE).doubts == 1


def test_a_message_is_sent_into_the_dark_three_times_and_is_then_the_owners(shop: Shop) -> None:
    step = _owe(shop)
    now = NOON
    with shop.work() as work:
        for _ in range(MOST_DOUBTS):
            taken = stepping.lease(work, step.id, now)
            stepping.sending(work, step.id, taken.fence, now)
            now += LEASE
        given_up = stepping.lease(work, step.id, now)
        assert (given_up.state, given_up.lease_until) == (StepState.DEAD, None)
        assert work.outbox.get(step.id) == given_up
        stepping.revive(work, step.id, now)
        assert stepping.lease(work, step.id, now).doubts == 0


def test_doubts_are_counted_until_the_step_is_done_and_after(shop: Shop) -> None:
    now = NOON
    cut_off, failed, sure = (_owe(shop, lane) for lane in "abc")
    with shop.work() as work:
        for step in (cut_off, failed, sure):
            stepping.sending(work, step.id, stepping.lease(work, step.id, now).fence, now)
        assert work.outbox.unclear(now) == Doubtful(owed=0, given_up=0, settled=0, oldest_s=0)
        unanswered: Any = {"error": "no answer", "unclear": True, "retry_after": None, "now": now}
        stepping.fail(work, failed.id, 1, retry=True, **unanswered)
        stepping.finish(work, stepping.held(work, sure.id, 1))
        assert [step.id for step in work.outbox.in_doubt(limit=9)] == [failed.id]
        now += LEASE
        assert work.outbox.unclear(now) == Doubtful(
            owed=2, given_up=0, settled=0, oldest_s=LEASE.total_seconds()
        )
        again = stepping.lease(work, cut_off.id, now)
        stepping.finish(work, stepping.held(work, again.id, again.fence))
        assert work.outbox.get(again.id).state is StepState.DONE
        now += timedelta(minutes=1)
        again = stepping.lease(work, failed.id, now)
        refused: Any = {"error": "gone", "retry": False, "retry_after": None, "now": now}
        stepping.fail(work, failed.id, again.fence, **refused)
        counted = work.outbox.unclear(now)
        assert (counted.owed, counted.given_up, counted.settled) == (0, 1, 1)
        assert counted.oldest_s == (now - NOON).total_seconds()


def test_ages_are_told_by_kind_and_state_and_of_what_is_due_only(shop: Shop) -> None:
    now = NOON + timedelta(seconds=30)
    first, _second = _owe(shop, "a"), _owe(shop, "b")
    with shop.work() as work:
        work.outbox.owe(StepKind.REMIND, "r", lane="r", now=NOON, due_at=NOON + timedelta(days=30))
        quotes: Any = {"kind": StepKind.QUOTE, "state": StepState.OWED}
        assert work.outbox.ages(now) == (Owed(**quotes, count=2, oldest_s=30),)
        stepping.finish(work, stepping.lease(work, first.id, NOON))
        assert work.outbox.ages(now) == (Owed(**quotes, count=1, oldest_s=30),)


def test_a_step_that_kills_every_worker_is_given_up(shop: Shop) -> None:
    step = _owe(shop)
    now = NOON
    with shop.work() as work:
        for _ in range(MAX_ATTEMPTS):
            assert stepping.lease(work, step.id, now).state is StepState.OWED
            now += LEASE
        assert stepping.lease(work, step.id, now).state is StepState.DEAD
        assert work.outbox.get(step.id).last_error == "cut off"


def test_a_last_attempt_under_way_is_not_given_up(shop: Shop) -> None:
    step = _owe(shop)
    now = NOON
    with shop.work() as work:
        for _ in range(MAX_ATTEMPTS):
            taken = stepping.lease(work, step.id, now)
            now += LEASE
        with pytest.raises(StepRefused, match="another worker"):
            stepping.lease(work, step.id, now - LEASE / 2)
        stepping.finish(work, stepping.held(work, step.id, taken.fence))
        assert work.outbox.get(step.id).state is StepState.DONE


def test_what_the_outside_did_not_answer_is_tried_seldom_and_may_have_happened(
    shop: Shop,
) -> None:
    step = _owe(shop)
    now, pauses = NOON, []
    with shop.work() as work:
        for _ in range(3):
            taken = stepping.lease(work, step.id, now)
            stepping.sending(work, step.id, taken.fence, now)
            stepping.fail(
                work,
                step.id,
                taken.fence,
                error="no answer",
                retry=True,
                unclear=True,
                retry_after=None,
                now=now,
            )
            given_back = work.outbox.get(step.id)
            pauses.append((given_back.due_at - now).total_seconds())
            now = given_back.due_at
        assert pauses[:2] == [60, 300]
        assert given_back.state is StepState.DEAD
        assert given_back.unclear


def test_whoever_works_on_a_step_keeps_it_by_saying_so(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        stepping.renew(work, step.id, taken.fence, NOON + LEASE / 2)
        with pytest.raises(StepRefused, match="another worker"):
            stepping.lease(work, step.id, NOON + LEASE)


def test_nobody_else_keeps_it_and_a_late_word_does_not_hold_it_up(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        first = stepping.lease(work, step.id, NOON)
        second = stepping.lease(work, step.id, LATER)
        with pytest.raises(StepRefused, match="passed on"):
            stepping.renew(work, step.id, first.fence, LATER)
        failed: Any = {"error": "E", "retry": True, "retry_after": None, "now": LATER}
        stepping.fail(work, step.id, second.fence, **failed)
        with pytest.raises(StepRefused, match="given back"):
            stepping.renew(work, step.id, second.fence, LATER)
        assert work.outbox.get(step.id).lease_until is None


def test_stranded_is_what_is_due_under_no_lease_and_next_in_its_lane(shop: Shop) -> None:
    owed, leased, _behind = _owe(shop, "a"), _owe(shop, "b"), _owe(shop, "a")

    def stranded(due_until: datetime, now: datetime) -> list[str]:
        return [step.id for step in work.outbox.stranded(due_until, now=now)]

    with shop.work() as work:
        stepping.lease(work, leased.id, NOON)
        assert stranded(NOON, NOON) == [owed.id]
        assert stranded(NOON - GRACE, NOON) == []
        assert stranded(NOON, LATER) == [owed.id, leased.id]


def test_a_clock_that_is_set_back_holds_up_nothing_that_was_due(shop: Shop) -> None:
    made, taken, failed = (_owe(shop, lane) for lane in "abc")
    earlier = NOON - timedelta(hours=1)
    yesterday = NOON - LONGEST_PAUSE - timedelta(minutes=1)

    def stranded(now: datetime) -> list[str]:
        return [step.id for step in work.outbox.stranded(now - GRACE, now=now)]

    with shop.work() as work:
        reminding = {"now": NOON, "due_at": NOON + timedelta(days=30)}
        work.outbox.owe(StepKind.REMIND, "r", lane="r", **reminding)
        stepping.lease(work, taken.id, NOON)
        paused = stepping.lease(work, failed.id, NOON)
        again: Any = {"error": "E", "retry": True, "retry_after": None, "now": NOON}
        stepping.fail(work, failed.id, paused.fence, **again)
        assert stranded(NOON) == []
        assert stranded(earlier) == [made.id, taken.id]
        # A pause may well be an hour long, and never this long.
        assert stranded(yesterday) == [made.id, taken.id, failed.id]
        for step in (made, taken, failed):
            assert stepping.lease(work, step.id, yesterday).lease_until == yesterday + LEASE
        assert stranded(yesterday) == []


def test_clocks_of_two_machines_may_differ_a_little(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        stepping.lease(work, step.id, NOON)
        behind = NOON - timedelta(seconds=1)
        assert list(work.outbox.stranded(behind, now=behind)) == []
        with pytest.raises(StepRefused, match="another worker"):
            stepping.lease(work, step.id, behind)


@pytest.mark.parametrize(
    "trouble",
    [
        {"unclear": True, "retry": True, "retry_after": None},
        {"attempted": False, "retry": True, "retry_after": timedelta(seconds=3)},
        {"retry": True, "retry_after": None},
        {"retry": False, "retry_after": None},
    ],
    ids=["unclear", "asked to wait", "failed", "refused for good"],
)
def test_a_failure_that_is_reported_again_changes_nothing(
    shop: Shop, trouble: dict[str, Any]
) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        stepping.sending(work, step.id, taken.fence, NOON)
        stepping.fail(work, step.id, taken.fence, error="E", now=NOON, **trouble)
        once = work.outbox.get(step.id)
        stepping.fail(work, step.id, taken.fence, error="E", now=LATER, **trouble)
        assert work.outbox.get(step.id) == once
        assert once.lease_until is None
        assert once.attempts == (1 if trouble.get("attempted", True) else 0)


def test_a_step_that_was_given_back_is_not_said_to_be_sending_any_more(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        again: Any = {"error": "E", "retry": True, "retry_after": None, "now": NOON}
        stepping.fail(work, step.id, taken.fence, **again)
        with pytest.raises(StepRefused, match="given back"):
            stepping.sending(work, step.id, taken.fence, NOON)
        assert not work.outbox.get(step.id).unclear


def test_whoever_had_a_step_that_the_owner_revived_is_late(shop: Shop) -> None:
    step = _owe(shop)
    gone: Any = {"error": "gone", "retry": False, "retry_after": None, "now": NOON}
    with shop.work() as work:
        first = stepping.lease(work, step.id, NOON)
        stepping.fail(work, step.id, first.fence, **gone)
        stepping.revive(work, step.id, NOON)
        with pytest.raises(StepRefused, match="passed to another"):
            stepping.fail(work, step.id, first.fence, **gone)
        assert work.outbox.get(step.id).state is StepState.OWED


def test_a_step_that_failed_is_queued_for_when_it_is_due(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        failed: Any = {"error": "E", "retry": True, "retry_after": None, "now": NOON}
        stepping.fail(work, step.id, taken.fence, **failed)
        work.commit()
    queued = shop.queued[-1]
    assert (queued.id, queued.fence) == (step.id, 1)
    assert queued.due_at == NOON + timedelta(seconds=1)


def test_an_answer_is_stored_once_for_a_key(shop: Shop) -> None:
    first = Answered(fingerprint="f", status=202, body="{}")
    with shop.work() as work:
        assert work.answers.store("leads:bot", "k", first, NOON)
        assert not work.answers.store(
            "leads:bot", "k", Answered(fingerprint="g", status=200, body="[]"), NOON
        )
        assert work.answers.find("leads:bot", "k") == first
        assert work.answers.find("leads:owner", "k") is None
