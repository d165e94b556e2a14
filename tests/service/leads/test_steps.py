"""Pauses between attempts: after a failure, and where the outside left it open."""

from service.leads.steps import (
    GRACE,
    LEASE,
    MAX_ATTEMPTS,
    MOST_DOUBTS,
    pause_after,
    pause_in_doubt,
)
from service.storage.queue import SWEEP_EVERY, UNSWEPT_S
from workers.queues import RENEW_LEASE_EVERY_S


def test_pauses_grow_and_end() -> None:
    pauses = [pause_after(n) for n in range(1, MAX_ATTEMPTS)]
    assert None not in pauses
    assert pauses == sorted(p for p in pauses if p is not None)
    assert pause_after(MAX_ATTEMPTS) is None


def test_what_is_left_open_is_tried_seldom_and_not_for_ever() -> None:
    pauses = [pause_in_doubt(n) for n in range(1, MOST_DOUBTS + 1)]
    assert [p and p.total_seconds() for p in pauses] == [60, 300, None]


def test_a_step_is_taken_again_within_ten_seconds_of_any_kill() -> None:
    # Its worker dies right after it renewed the lease, and so does whoever sweeps, right after it
    # swept: the service notices, looking once a second. Two seconds are left for a worker to come
    # up and take it.
    unswept_s = max(UNSWEPT_S + 1, SWEEP_EVERY.total_seconds() + 1)
    assert LEASE.total_seconds() + unswept_s <= 8
    # What Redis has lost is under no lease.
    assert GRACE.total_seconds() + unswept_s <= 8


def test_a_lease_outlives_two_lost_renewals() -> None:
    assert LEASE.total_seconds() > 3 * RENEW_LEASE_EVERY_S
