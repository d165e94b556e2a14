import math
import random
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating.calibration import (
    AS_BOOKED,
    DRIVING,
    PACKING,
    UNCALIBRATED,
    Calibration,
    Hours,
    Observation,
    ObservationError,
    Packing,
    Prior,
    Taken,
    breakage_of,
    calibrate,
)
from service.estimating.errors import BookError

PRIOR = Prior(
    hours_sd=0.16, packing_sd=0.09, driving_sd=0.15, breakage={5: 0.025, 10: 0.02, 18: 0.04}
)
# So strong a belief in the book's spread that only the means are learnt.
SPREAD_KNOWN = replace(PRIOR, jobs=1e12)

PLANNED_H = {"tying": 0.6, "clustering": 0.9, "install": 1.6, "strike": 0.8}


def a_job(
    name: str,
    factors: Mapping[str, float],
    supports: Iterable[str] = ("hoop",),
    **noted: Any,
) -> Observation:
    """A job whose hours came to these factors on the book's, exactly."""
    hours = {
        task: Hours(planned_h=PLANNED_H[task], actual_h=PLANNED_H[task] * factor)
        for task, factor in factors.items()
    }
    return replace(Observation(job=name, supports=frozenset(supports), hours=hours), **noted)


def some_jobs(number: int, factor: float = 1.25, seed: int = 4) -> list[Observation]:
    """Jobs of a shop that takes `factor` times the book's hours, day and task scattering by it."""
    seeded = random.Random(seed)
    jobs = []
    for i in range(number):
        day = seeded.gauss(0, 0.9 * 0.16)
        factors = {
            task: factor * math.exp(day + seeded.gauss(0, 0.16)) for task in sorted(PLANNED_H)
        }
        supports = seeded.sample(["column", "hoop", "wall"], seeded.choice((1, 1, 2)))
        jobs.append(a_job(f"job {i:03}", factors, supports))
    return jobs


def test_no_job_leaves_the_book_at_its_word() -> None:
    assert calibrate(PRIOR, []) == UNCALIBRATED
    assert UNCALIBRATED.pace("install", ["hoop"]) == AS_BOOKED
    assert UNCALIBRATED.packing == UNCALIBRATED.driving == AS_BOOKED
    assert UNCALIBRATED.breakage(10, 0.02) == 0.02
    assert UNCALIBRATED.packing_width(0.09) == 0.09
    assert UNCALIBRATED.driving_width(0.15) == 0.15
    assert UNCALIBRATED.changes() == ()


def test_uncalibrated_a_job_of_several_tasks_scatters_by_about_the_books_spread() -> None:
    # Shared 0.9 x 0.2 = 0.18, own 0.2; six equal tasks: sqrt(0.18^2 + 0.2^2 / 6) = 0.198
    widths = UNCALIBRATED.widths("install", ["hoop"], 0.2)
    assert (widths.shared, widths.own) == pytest.approx((0.18, 0.2))
    assert math.sqrt(widths.shared**2 + widths.own**2 / 6) == pytest.approx(0.2, rel=0.02)


def test_one_job_of_one_task_moves_the_belief_as_the_conjugate_formula_says() -> None:
    # Prior variance 0.25^2 + 0.15^2 + 0.10^2 = 0.095, of one measured log 0.144^2 + 0.16^2
    # = 0.046336: weight 0.095 / 0.141336 = 0.672157.
    # ln 1.5 = 0.405465 x 0.672157 = 0.272536, e^ = 1.313291; variance 0.095 x 0.327843 = 0.031145.
    belief = calibrate(SPREAD_KNOWN, [a_job("one", {"install": 1.5})]).pace("install", ["hoop"])
    assert belief.factor == pytest.approx(1.313291, abs=1e-5)
    assert belief.sd == pytest.approx(math.sqrt(0.031145), abs=1e-5)


def test_shrinkage_is_the_exact_gaussian_conditional() -> None:
    jobs = some_jobs(7)
    # The joint Gaussian written out: all terms, then every measured logarithm.
    labels = sorted(
        {(), *((task,) for task in PLANNED_H)}
        | {(task, name) for job in jobs for task in PLANNED_H for name in job.supports}
    )
    sds = (PRIOR.all_sd, PRIOR.task_sd, PRIOR.support_sd)
    before = np.diag([sds[len(label)] ** 2 for label in labels])
    measured = [(job, task) for job in jobs for task in sorted(PLANNED_H)]
    design = np.zeros((len(measured), len(labels)))
    for row, (job, task) in enumerate(measured):
        design[row, labels.index(())] = design[row, labels.index((task,))] = 1
        for name in job.supports:
            design[row, labels.index((task, name))] = 1 / len(job.supports)
    same_job = np.array([[a is b for b, _ in measured] for a, _ in measured])
    noise = 0.16**2 * np.eye(len(measured)) + (0.9 * 0.16) ** 2 * same_job
    values = np.array([job.hours[task].log_ratio for job, task in measured])
    gain = before @ design.T @ np.linalg.inv(design @ before @ design.T + noise)
    mean, after = gain @ values, before - gain @ design @ before

    learnt = calibrate(SPREAD_KNOWN, jobs)
    for task in PLANNED_H:
        for name in ("column", "hoop", "wall"):
            at = np.array([float(label in ((), (task,), (task, name))) for label in labels])
            belief = learnt.pace(task, [name])
            assert math.log(belief.factor) == pytest.approx(at @ mean, abs=1e-9)
            assert belief.sd == pytest.approx(math.sqrt(at @ after @ at), abs=1e-9)


@given(seed=st.integers(0, 10_000))
def test_the_order_of_the_jobs_changes_no_bit(seed: int) -> None:
    jobs = some_jobs(5, seed=seed)
    shuffled = random.Random(seed).sample(jobs, len(jobs))
    turned = [replace(job, hours=dict(reversed(list(job.hours.items())))) for job in shuffled]
    assert repr(calibrate(PRIOR, turned)) == repr(calibrate(PRIOR, jobs))


@given(factor=st.floats(0.6, 1.8), tasks=st.integers(1, 4))
def test_beliefs_lie_between_the_book_and_what_was_measured(factor: float, tasks: int) -> None:
    measured = dict.fromkeys(list(PLANNED_H)[:tasks], factor)
    learnt = calibrate(PRIOR, [a_job(f"{i}", measured) for i in range(3)])
    for task in PLANNED_H:
        moved = math.log(learnt.pace(task, ["hoop"]).factor)
        assert 0 <= moved / math.log(factor) <= 1 if factor != 1 else moved == 0


@given(number=st.integers(1, 12))
def test_one_more_job_never_leaves_a_mean_less_certain(number: int) -> None:
    fewer = calibrate(SPREAD_KNOWN, some_jobs(number)).pace("install", ["hoop"])
    more = calibrate(SPREAD_KNOWN, some_jobs(number + 1)).pace("install", ["hoop"])
    assert more.sd <= fewer.sd + 1e-12


def test_many_jobs_that_agree_are_believed() -> None:
    learnt = calibrate(PRIOR, some_jobs(60))
    for task in PLANNED_H:
        belief = learnt.pace(task, ["hoop"])
        assert belief.factor == pytest.approx(1.25, rel=0.08)
        assert belief.sd < 0.06


def test_a_task_never_noted_follows_the_shops_general_pace_with_more_doubt() -> None:
    learnt = calibrate(PRIOR, some_jobs(12))
    known, unknown = learnt.pace("install", ["hoop"]), learnt.pace("foils", ["hoop"])
    assert 1.05 < unknown.factor < 1.4
    assert unknown.sd > known.sd


def test_what_is_slow_on_one_support_is_not_laid_on_the_others() -> None:
    slow = {"install": 1.6, "tying": 1.0}
    plain = {"install": 1.0, "tying": 1.0}
    jobs = [
        *(a_job(f"stairs {i}", slow, ["staircase"]) for i in range(8)),
        *(a_job(f"wall {i}", plain, ["wall"]) for i in range(8)),
    ]
    learnt = calibrate(PRIOR, jobs)
    stairs, wall = (learnt.pace("install", [name]).factor for name in ("staircase", "wall"))
    both = learnt.pace("install", ["wall", "staircase"]).factor
    assert stairs > 1.15 * wall
    assert wall < both < stairs
    assert both == pytest.approx(math.sqrt(stairs * wall))


def test_nine_tasks_of_one_day_are_not_nine_days() -> None:
    # All tasks 50 % over in one job: mostly one bad day. Over four jobs it is the shop.
    over = dict.fromkeys(PLANNED_H, 1.5)
    one = calibrate(SPREAD_KNOWN, [a_job("only", over)]).pace("tying", ["hoop"])
    four = calibrate(SPREAD_KNOWN, [a_job(f"{i}", over) for i in range(4)]).pace("tying", ["hoop"])
    assert one.factor < 1.38 < 1.44 < four.factor
    assert one.sd > 1.5 * four.sd


def test_a_steadier_shop_gets_narrower_widths_and_a_wilder_one_wider() -> None:
    steady = [a_job(f"{i}", dict.fromkeys(PLANNED_H, 1.1)) for i in range(20)]
    seeded = random.Random(9)
    wild = [
        a_job(f"{i}", {task: math.exp(seeded.gauss(0.1, 0.45)) for task in PLANNED_H})
        for i in range(20)
    ]
    booked = UNCALIBRATED.widths("install", ["hoop"], 0.16)
    narrow = calibrate(PRIOR, steady).widths("install", ["hoop"], 0.16)
    wide = calibrate(PRIOR, wild).widths("install", ["hoop"], 0.16)
    assert narrow.own < 0.75 * booked.own
    assert narrow.shared < 0.75 * booked.shared
    assert wide.own > 1.5 * booked.own


def test_widths_add_up_to_the_scatter_and_what_is_not_known_of_the_mean() -> None:
    learnt = calibrate(SPREAD_KNOWN, some_jobs(3))
    widths, doubt = learnt.widths("install", ["wall"], 0.16), learnt.pace("install", ["wall"]).sd
    scatter = (0.9 * 0.16) ** 2 + 0.16**2
    assert widths.shared**2 + widths.own**2 == pytest.approx(scatter + doubt**2)
    assert widths.shared > 0.9 * 0.16
    assert widths.own > 0.16


def test_one_wild_job_moves_hardly_more_than_none() -> None:
    usual = some_jobs(8)
    wild = a_job("job 900", dict.fromkeys(PLANNED_H, 6.0))
    ordinary = a_job("job 900", dict.fromkeys(PLANNED_H, 1.7))
    without, with_wild, with_ordinary = (
        calibrate(PRIOR, jobs).pace("install", ["hoop"]).factor
        for jobs in (usual, [*usual, wild], [*usual, ordinary])
    )
    assert with_wild / without == pytest.approx(1, abs=0.04)
    assert with_wild < with_ordinary


def test_a_first_job_that_is_wild_is_not_believed() -> None:
    learnt = calibrate(PRIOR, [a_job("first", dict.fromkeys(PLANNED_H, 6.0))])
    assert learnt.pace("install", ["hoop"]).factor < 1.5
    assert learnt.widths("install", ["hoop"], 0.16).shared < 0.5


def test_minutes_noted_as_hours_for_one_task_leave_the_other_tasks_alone() -> None:
    usual = some_jobs(8)
    typed = {**usual[3].hours, "tying": Hours(planned_h=0.6, actual_h=36.0)}
    before = calibrate(PRIOR, usual)
    after = calibrate(PRIOR, [*usual[:3], replace(usual[3], hours=typed), *usual[4:]])
    for task, most in (("install", 0.02), ("tying", 0.08)):
        changed = after.pace(task, ["hoop"]).factor / before.pace(task, ["hoop"]).factor
        assert changed == pytest.approx(1, abs=most)


def test_packing_and_driving_are_conjugate_too() -> None:
    # Packing: 0.1^2 / (0.1^2 + 0.09^2) = 0.552486 of ln 1.1 = 0.095310: 0.052658, e^ = 1.054069.
    # Driving: 0.2^2 / (0.2^2 + 0.15^2) = 0.64 of ln 1.25 = 0.223144: 0.142812, e^ = 1.153512.
    noted = a_job(
        "one",
        {},
        packing=Packing(planned=200, used=220),
        drive=Hours(planned_h=1.0, actual_h=1.25),
    )
    learnt = calibrate(SPREAD_KNOWN, [noted])
    assert learnt.packing.factor == pytest.approx(1.054069, abs=1e-6)
    assert learnt.driving.factor == pytest.approx(1.153512, abs=1e-6)
    # sqrt(0.09^2 + 0.1^2 x 0.447514) = 0.112139
    assert learnt.packing_width(0.09) == pytest.approx(0.112139, abs=1e-6)
    assert learnt.pace("install", ["hoop"]) == AS_BOOKED


def test_breakage_is_a_beta_that_counts_balloons_of_one_job_as_fewer() -> None:
    # 101 balloons count as 101 / (1 + 100 x 0.01) = 50.5, 6 bursts as 3:
    # (200 x 0.02 + 3) / (200 + 50.5) = 0.027944
    learnt = calibrate(PRIOR, [a_job("one", {}, balloons={10: Taken(taken=101, burst=6)})])
    assert learnt.breakage(10, 0.02) == pytest.approx(7 / 250.5)
    assert learnt.breakage(18, 0.04) == 0.04


def test_each_balloon_counts_in_full_where_bursts_are_independent() -> None:
    prior = replace(PRIOR, alike=0.0)
    learnt = calibrate(prior, [a_job("one", {}, balloons={10: Taken(taken=100, burst=5)})])
    assert learnt.breakage(10, 0.02) == pytest.approx((200 * 0.02 + 5) / 300)


def test_one_hot_afternoon_does_not_set_the_odds() -> None:
    cool = [a_job(f"{i}", {}, balloons={10: Taken(taken=120, burst=2)}) for i in range(6)]
    hot = a_job("hot", {}, balloons={10: Taken(taken=120, burst=60)})
    assert calibrate(PRIOR, [*cool, hot]).breakage(10, 0.02) < 0.025


def test_a_size_that_the_book_no_longer_has_is_passed_over() -> None:
    noted = a_job("one", {}, balloons={11: Taken(taken=50, burst=10)})
    assert calibrate(PRIOR, [noted]).breakage(11, 0.02) == 0.02


def learnt_of_everything() -> Calibration:
    jobs = [
        replace(
            job,
            packing=Packing(planned=200, used=230),
            drive=Hours(planned_h=1.0, actual_h=0.9),
            balloons={10: Taken(taken=120, burst=6)},
        )
        for job in some_jobs(6)
    ]
    return calibrate(PRIOR, jobs)


def test_changes_name_what_moved_by_how_much_and_on_how_many_jobs() -> None:
    changes = learnt_of_everything().changes()
    assert {change.subject for change in changes} == {
        *PLANNED_H,
        PACKING,
        DRIVING,
        breakage_of(10),
    }
    sizes = [abs(math.log(change.factor)) for change in changes]
    assert sizes == sorted(sizes, reverse=True)
    assert all(change.jobs == 6 and change.sd > 0 for change in changes)


def test_a_change_tells_the_factor_on_the_supports_as_they_came() -> None:
    learnt = calibrate(PRIOR, [a_job(f"{i}", {"install": 1.5}, ["wall"]) for i in range(4)])
    (change,) = learnt.changes()
    assert change.factor == pytest.approx(learnt.pace("install", ["wall"]).factor)


@pytest.mark.parametrize("refused", ["install", PACKING, DRIVING, breakage_of(10)])
def test_a_refused_change_leaves_the_book_there_and_the_rest_as_learnt(refused: str) -> None:
    before = learnt_of_everything()
    after = before.without(refused)

    def figures(of: Calibration) -> dict[str, object]:
        return {
            **{task: of.pace(task, ["hoop"]) for task in PLANNED_H},
            PACKING: of.packing,
            DRIVING: of.driving,
            breakage_of(10): of.breakage(10, 0.02),
        }

    assert figures(after)[refused] == figures(UNCALIBRATED)[refused]
    kept = {name: figure for name, figure in figures(before).items() if name != refused}
    assert {name: f for name, f in figures(after).items() if name != refused} == kept
    assert refused not in {change.subject for change in after.changes()}


def test_only_the_accepted_changes_are_applied() -> None:
    learnt = learnt_of_everything().only("install")
    assert [change.subject for change in learnt.changes()] == ["install"]
    assert learnt.pace("install", ["hoop"]).factor > 1.05
    assert learnt.pace("tying", ["hoop"]) == learnt.pace("foils", ["hoop"]) == AS_BOOKED
    assert learnt.packing == AS_BOOKED
    assert learnt.breakage(10, 0.02) == 0.02


def test_every_fault_of_an_entry_is_told_at_once() -> None:
    with pytest.raises(ObservationError) as refused:
        Hours(planned_h=0.0, actual_h=-1.0)
    assert [problem.field for problem in refused.value.problems] == ["planned_h", "actual_h"]
    assert "above 0" in str(refused.value)


@pytest.mark.parametrize("hours", [0.0, -0.5, math.nan, math.inf, 5000.0])
def test_hours_that_cannot_be_are_refused(hours: float) -> None:
    with pytest.raises(ObservationError, match="leave it out"):
        Hours(planned_h=1.0, actual_h=hours)


def test_more_bursts_than_balloons_are_refused() -> None:
    with pytest.raises(ObservationError, match="give 0 to 5"):
        Taken(taken=5, burst=6)


def test_no_balloons_are_refused() -> None:
    with pytest.raises(ObservationError, match="at least 1"):
        Packing(planned=0, used=10)


def test_a_job_without_name_or_support_or_with_the_drive_among_its_hours_is_refused() -> None:
    with pytest.raises(ObservationError) as refused:
        Observation(
            job="", supports=frozenset(), hours={DRIVING: Hours(planned_h=1.0, actual_h=1.0)}
        )
    assert [p.field for p in refused.value.problems] == ["job", "supports", "hours.drive"]


def test_the_same_job_twice_is_refused() -> None:
    job = a_job("regatta", {"install": 1.2})
    with pytest.raises(ObservationError, match="regatta is noted 2 times"):
        calibrate(PRIOR, [job, job])


def test_a_prior_that_cannot_be_is_refused_with_every_fault() -> None:
    with pytest.raises(BookError) as refused:
        Prior(hours_sd=0.0, packing_sd=0.1, driving_sd=-1.0, breakage={10: 1.5})
    fields = [problem.field for problem in refused.value.problems]
    assert fields == ["hours_sd", "driving_sd", "breakage.10"]


def test_supports_are_asked_in_any_order() -> None:
    learnt = calibrate(PRIOR, some_jobs(5))
    one, other = (learnt.pace("tying", names) for names in (("hoop", "wall"), ("wall", "hoop")))
    assert one == other
