"""Every kind of fault strikes a running shop while clients ask, and nothing comes of it.

A short run of `deploy/faults`. GARLANDRY_FAULTS_SEED picks another plan.
"""

import asyncio
import os

import pytest

from tests.faults.checking import check
from tests.faults.kinds import KINDS
from tests.faults.plan import make
from tests.faults.recovery import apart_from_ends
from tests.faults.run import ground, print_line, run

pytestmark = [pytest.mark.whole, pytest.mark.timeout(240)]

_SEED = int(os.environ.get("GARLANDRY_FAULTS_SEED", "20270110"))
_EVERY_S = 0.5
_PATIENCE_S = 60.0
# The bar; what was killed has to start first.
_GOES_ON_WITHIN_S = 10.0


def test_every_kind_of_fault_costs_nobody_an_answer() -> None:
    with ground(postgres=False) as here:
        for kind in KINDS:
            if kind.needs in here.lacks:
                print_line(f"left out, for want of {kind.needs}: {kind.name} {kind.target}")
        short = [k for k in KINDS if not k.long_only and k.needs not in here.lacks]
        plan = make(
            _SEED,
            faults=len(short),
            chats=12,
            forms=8,
            every_s=_EVERY_S,
            allowed=here.allows,
            short=True,
        )
        work = run(plan, here, patience_s=_PATIENCE_S, tell=print_line)
        evidence = asyncio.run(work)
    assert {(cut.kind, cut.target) for cut in evidence.cuts} == {
        (kind.name, kind.target) for kind in short
    }
    verdict = check(evidence)
    assert verdict.lost == []
    assert verdict.doubled == []
    assert verdict.stuck == []
    assert verdict.contradictory == []
    found = apart_from_ends(evidence)
    assert found.seconds
    # Of some thirty faults the 99th in a hundred is the worst one; the long run tells that.
    assert found.percentile(0.9) < _GOES_ON_WITHIN_S + evidence.first_start_s
