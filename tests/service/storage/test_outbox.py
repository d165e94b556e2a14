"""Owed steps under leases, on SQLite and PostgreSQL."""

from datetime import timedelta

import pytest

from service.leads import stepping
from service.leads.repositories import Answered
from service.leads.steps import LEASE, MAX_ATTEMPTS, Step, StepKind, StepRefused, StepState
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
        assert not taken.maybe_done
        stepping.sending(work, step.id, taken.fence, NOON)
        assert stepping.lease(work, step.id, LATER).maybe_done


def test_a_step_that_kills_every_worker_is_given_up(shop: Shop) -> None:
    step = _owe(shop)
    now = NOON
    with shop.work() as work:
        for _ in range(MAX_ATTEMPTS):
            assert not stepping.bury_if_spent(work, step.id, now)
            stepping.lease(work, step.id, now)
            now += LEASE
        assert stepping.bury_if_spent(work, step.id, now)
        assert work.outbox.get(step.id).state is StepState.DEAD


def test_a_last_attempt_under_way_is_not_buried(shop: Shop) -> None:
    step = _owe(shop)
    now = NOON
    with shop.work() as work:
        for _ in range(MAX_ATTEMPTS):
            taken = stepping.lease(work, step.id, now)
            now += LEASE
        assert not stepping.bury_if_spent(work, step.id, now - LEASE / 2)
        stepping.finish(work, stepping.held(work, step.id, taken.fence))
        assert not stepping.bury_if_spent(work, step.id, now + LEASE)


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
        assert given_back.maybe_done


def test_a_slow_send_keeps_its_lease_by_saying_so(shop: Shop) -> None:
    step = _owe(shop)
    with shop.work() as work:
        taken = stepping.lease(work, step.id, NOON)
        stepping.sending(work, step.id, taken.fence, NOON + LEASE / 2)
        with pytest.raises(StepRefused, match="another worker"):
            stepping.lease(work, step.id, NOON + LEASE)


def test_the_sweep_finds_what_is_due_and_under_no_lease(shop: Shop) -> None:
    owed, leased = _owe(shop, "a"), _owe(shop, "b")
    shop.queued.clear()
    with shop.work() as work:
        stepping.lease(work, leased.id, NOON)
        assert stepping.sweep(work, NOON) == 1
        work.commit()
    assert [step.id for step in shop.queued] == [owed.id]
    with shop.work() as work:
        assert stepping.sweep(work, LATER) == 2


def test_an_answer_is_stored_once_for_a_key(shop: Shop) -> None:
    first = Answered(fingerprint="f", status=202, body="{}")
    with shop.work() as work:
        assert work.answers.store("leads:bot", "k", first, NOON)
        assert not work.answers.store(
            "leads:bot", "k", Answered(fingerprint="g", status=200, body="[]"), NOON
        )
        assert work.answers.find("leads:bot", "k") == first
        assert work.answers.find("leads:owner", "k") is None
