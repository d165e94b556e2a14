"""What is kept of lessons: one subject taken from another's, and all of them as plain data.

Lessons that are in use are put together subject by subject, as the owner accepts them; what was not
accepted is as booked in them. So what was accepted stays, whatever later jobs say.
"""

import math
from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from service.estimating.calibration.applying import OWN_PART, SHARED_PART
from service.estimating.calibration.learning import Prior
from service.estimating.calibration.lessons import (
    AS_BOOKED,
    Bursts,
    Change,
    Lessons,
    Pace,
    Ratio,
    breakage_of,
)
from service.estimating.calibration.observations import DRIVING, PACKING
from service.estimating.shrinkage import Belief

SPREAD = "spread"
"""The subject of how far jobs scatter about what is planned: the width of every range."""

_BREAKAGE = breakage_of(0).removesuffix("0")


def merge(kept: Lessons, fresh: Lessons, subject: str) -> Lessons:
    """`kept`, but of `subject` what `fresh` says, which is the book's word where it says nothing.

    Subjects are those of `Change`, and SPREAD. How far a subject moves and how far its jobs
    scatter are taken apart: a task's scatter comes with SPREAD only.
    """
    if subject == SPREAD:
        return _with_spread(kept, fresh)
    if subject == PACKING:
        return replace(kept, packing=replace(fresh.packing, scale=kept.packing.scale))
    if subject == DRIVING:
        return replace(kept, driving=replace(fresh.driving, scale=kept.driving.scale))
    if subject.startswith(_BREAKAGE):
        return replace(kept, bursts=_with_bursts(kept, fresh, subject))
    return _with_pace(kept, fresh, subject)


def scatter(lessons: Lessons, prior: Prior, jobs: int) -> Change:
    """How far the hours of a whole job of all these tasks scatter, over the book's spread."""
    scales = [pace.scale for pace in lessons.paces.values()] or [1.0]
    part = OWN_PART**2 / len(scales) ** 2
    booked = SHARED_PART**2 + part * len(scales)
    learnt = (SHARED_PART * lessons.shared_scale) ** 2 + part * math.fsum(s * s for s in scales)
    # The sd of the logarithm of an sd that is known from so many degrees of freedom.
    doubt = 1 / math.sqrt(2 * (prior.jobs + jobs))
    return Change(subject=SPREAD, factor=math.sqrt(learnt / booked), sd=doubt, jobs=jobs)


def _with_pace(kept: Lessons, fresh: Lessons, task: str) -> Lessons:
    known, learnt = kept.paces.get(task), fresh.paces.get(task)
    scale = known.scale if known else 1.0
    pace = replace(learnt, scale=scale) if learnt else _as_booked(scale)
    paces = _tidy({**kept.paces, task: pace})
    # One figure for all tasks: those taken last rest on the most jobs.
    common = fresh.common_sd if learnt else kept.common_sd
    moved = any(pace.jobs for pace in paces.values())
    return replace(kept, paces=paces, common_sd=common if moved else 0.0)


def _with_spread(kept: Lessons, fresh: Lessons) -> Lessons:
    paces = {
        task: replace(
            kept.paces.get(task, _as_booked(1.0)),
            scale=fresh.paces[task].scale if task in fresh.paces else 1.0,
        )
        for task in {*kept.paces, *fresh.paces}
    }
    return replace(
        kept,
        paces=_tidy(paces),
        shared_scale=fresh.shared_scale,
        packing=replace(kept.packing, scale=fresh.packing.scale),
        driving=replace(kept.driving, scale=fresh.driving.scale),
    )


def _with_bursts(kept: Lessons, fresh: Lessons, subject: str) -> Mapping[int, Bursts]:
    size = int(subject.removeprefix(_BREAKAGE))
    others = {known: bursts for known, bursts in kept.bursts.items() if known != size}
    learnt = {size: fresh.bursts[size]} if size in fresh.bursts else {}
    return dict(sorted((others | learnt).items()))


def _as_booked(scale: float) -> Pace:
    return Pace(seen=AS_BOOKED, jobs=0, by_support={}, elsewhere=AS_BOOKED, scale=scale)


def _tidy(paces: Mapping[str, Pace]) -> Mapping[str, Pace]:
    """Without those that say nothing but the book's word, so that equal lessons are equal."""
    nothing = _as_booked(1.0)
    return {task: pace for task, pace in sorted(paces.items()) if pace != nothing}


def plain(lessons: Lessons) -> dict[str, Any]:
    """Lessons as mappings of texts and numbers, for a store that keeps these to the last digit."""
    bursts = {str(size): asdict(each) for size, each in lessons.bursts.items()}
    return asdict(replace(lessons, bursts={})) | {"bursts": bursts}


def lessons_of(kept: Mapping[str, Any]) -> Lessons:
    """The lessons that `plain` was given."""
    return Lessons(
        paces={task: _pace(each) for task, each in kept["paces"].items()},
        any_task=Belief(**kept["any_task"]),
        common_sd=kept["common_sd"],
        shared_scale=kept["shared_scale"],
        packing=_ratio(kept["packing"]),
        driving=_ratio(kept["driving"]),
        bursts={int(size): Bursts(**each) for size, each in kept["bursts"].items()},
    )


def _pace(kept: Mapping[str, Any]) -> Pace:
    return Pace(
        seen=Belief(**kept["seen"]),
        jobs=kept["jobs"],
        by_support={name: Belief(**on) for name, on in kept["by_support"].items()},
        elsewhere=Belief(**kept["elsewhere"]),
        scale=kept["scale"],
    )


def _ratio(kept: Mapping[str, Any]) -> Ratio:
    return Ratio(belief=Belief(**kept["belief"]), scale=kept["scale"], jobs=kept["jobs"])
