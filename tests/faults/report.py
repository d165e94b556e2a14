"""What a run comes to, in figures."""

from collections import Counter
from collections.abc import Callable

from tests.faults import kinds
from tests.faults.checking import Verdict
from tests.faults.evidence import Evidence
from tests.faults.plan import Plan
from tests.faults.recovery import Recovery, apart_from_ends, of_each, recovery, slowest

_EXAMPLES = 12
_SLOWEST = 5
_NEEDS = (kinds.MOUNTS, kinds.NAMESPACES)


def report(
    plan: Plan,
    evidence: Evidence,
    verdict: Verdict,
    *,
    allowed: frozenset[str],
    tell: Callable[[str], None],
) -> None:
    """Tell each figure."""
    for need in _NEEDS:
        if need not in allowed:
            tell(f"left out here, for want of {need}: {_of_need(need)}")
    tell(f"seed {plan.seed}; {len(evidence.cuts)} faults, by kind (hit at work):")
    hits = Counter(f"{cut.kind} {cut.target}" for cut in evidence.cuts if cut.hit)
    for name, count in sorted(plan.tally.items(), key=lambda one: -one[1]):
        tell(f"  {count:5} {name}" + (f" ({hits[name]})" if hits[name] else ""))
    own = [c for c in evidence.cuts if c.kind == "kill" and "postgres" not in c.target and c.struck]
    missed = sum(not cut.struck for cut in evidence.cuts)
    tell(f"  of them {len(own)} kills of our own processes and Redis; {missed} found nobody")
    channels = Counter(story.channel for story in evidence.stories)
    tell("clients: " + ", ".join(f"{n} {name}" for name, n in sorted(channels.items())))
    tell(
        f"requests: {sum(s.confirmed is not None for s in evidence.stories)} accepted,"
        f" {sum(s.priced is not None for s in evidence.stories)} priced"
    )
    tell(
        f"the whole shop took {evidence.start_s:.1f} s to start,"
        f" its service {evidence.first_start_s:.1f} s"
    )
    _tell_recovery("all faults", recovery(evidence, evidence.cuts), tell)
    _tell_recovery("where not everything ended at once", apart_from_ends(evidence), tell)
    each = of_each(evidence, evidence.cuts)
    tell(
        f"  each thing outstanding at a fault: p50 {each.percentile(0.5):.1f} s,"
        f" p99 {each.percentile(0.99):.1f} s ({len(each.seconds)})"
    )
    for name in sorted({cut.kind for cut in evidence.cuts}):
        cuts = [cut for cut in evidence.cuts if cut.kind == name]
        _tell_recovery(f"  {name}", recovery(evidence, cuts), tell)
    tell("slowest, all in all:")
    for line in slowest(evidence, _SLOWEST):
        tell(f"    {line}")
    unheard = sum(not one.answered for one in evidence.posted)
    tell(
        f"may be doubled on Telegram: {len(verdict.excused)} messages of {len(evidence.posted)};"
        f" {unheard} answers lost, {verdict.cuts_between} faults that can excuse one;"
        f" a second copy of {verdict.exposed} messages would have been excused"
    )
    for name in ("lost", "doubled", "stuck", "contradictory"):
        found: list[str] = getattr(verdict, name)
        tell(f"{name}: {len(found)}")
        for example in found[:_EXAMPLES]:
            tell(f"    {example}")


def _of_need(need: str) -> str:
    return ", ".join(f"{k.name} {k.target}" for k in kinds.KINDS if k.needs == need)


def _tell_recovery(name: str, found: Recovery, tell: Callable[[str], None]) -> None:
    if found.seconds:
        tell(
            f"recovery, {name}: p50 {found.percentile(0.5):.1f} s,"
            f" p99 {found.percentile(0.99):.1f} s, longest {found.seconds[-1]:.1f} s"
            f" ({len(found.seconds)} met something outstanding)"
        )
