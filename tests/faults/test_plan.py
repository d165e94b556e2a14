"""A plan comes from its seed alone."""

from tests.faults import kinds
from tests.faults.plan import Plan, make

_EVERYTHING = frozenset({kinds.POSTGRES, kinds.MOUNTS, kinds.NAMESPACES})


def _plan(seed: int, *, faults: int = 1000, short: bool = False) -> Plan:
    return make(
        seed,
        faults=faults,
        chats=100,
        forms=100,
        every_s=1.0,
        allowed=_EVERYTHING,
        short=short,
    )


def test_the_same_seed_makes_the_same_plan_and_another_another() -> None:
    assert _plan(7) == _plan(7)
    assert _plan(7) != _plan(8)


def test_a_third_of_a_long_plan_kills_processes_of_ours() -> None:
    own = {"bot", "service", "replies", "replies-2", "deliveries", "chores", "upkeep", "scheduler"}
    kills = [f for f in _plan(7).faults if f.kind == "kill" and f.target in {*own, "everything"}]
    assert len(kills) >= 350


def test_a_long_plan_has_every_kind() -> None:
    planned = {(fault.kind, fault.target) for fault in _plan(7, faults=2000).faults}
    assert planned == {(kind.name, kind.target) for kind in kinds.KINDS}


def test_a_short_plan_has_every_kind_that_is_over_in_time() -> None:
    in_time = {(kind.name, kind.target) for kind in kinds.KINDS if not kind.long_only}
    plan = _plan(7, faults=len(in_time), short=True)
    assert {(fault.kind, fault.target) for fault in plan.faults} == in_time


def test_what_cannot_be_done_here_is_not_planned() -> None:
    plan = make(7, faults=500, chats=0, forms=0, every_s=1.0, allowed=frozenset())
    needy = {(kind.name, kind.target) for kind in kinds.KINDS if kind.needs}
    assert not needy & {(fault.kind, fault.target) for fault in plan.faults}
