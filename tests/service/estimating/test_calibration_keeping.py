import json
import math
import random
from dataclasses import replace

import pytest

from service.estimating.calibration import (
    AS_BOOKED,
    DRIVING,
    PACKING,
    SPREAD,
    UNCALIBRATED,
    Calibration,
    Hours,
    Lessons,
    Observation,
    Packing,
    Prior,
    Taken,
    breakage_of,
    calibrate,
    lessons_of,
    merge,
    plain,
    scatter,
)

PRIOR = Prior(hours_sd=0.16, packing_sd=0.09, driving_sd=0.15, breakage={10: 0.02, 18: 0.04})
TASKS = ("clustering", "install", "tying")
SUBJECTS = (*TASKS, PACKING, DRIVING, breakage_of(10), SPREAD)


def record(jobs: int, *, factor: float, scatter: float = 0.2, seed: int = 5) -> list[Observation]:
    """Jobs of a shop that takes `factor` times the book's hours on hoops, a fifth more on walls."""
    seeded = random.Random(seed)
    return [
        Observation(
            job=f"{number:02}",
            supports=frozenset({"wall" if number % 3 else "hoop"}),
            hours={
                task: Hours(
                    planned_h=1.0,
                    actual_h=factor
                    * (1.2 if number % 3 else 1.0)
                    * math.exp(seeded.gauss(0, scatter)),
                )
                for task in TASKS
            },
            drive=Hours(planned_h=1.0, actual_h=0.9 * factor),
            packing=Packing(planned=200, used=round(190 * factor)),
            balloons={10: Taken(taken=120, burst=seeded.randint(3, 7))},
        )
        for number in range(jobs)
    ]


LEARNT = calibrate(PRIOR, record(12, factor=1.2))
LATER = calibrate(PRIOR, record(30, factor=0.9, scatter=0.5, seed=8))


def figures(of: Lessons) -> dict[str, object]:
    """By subject, what estimates read of it."""
    used = Calibration(jobs=1, lessons=of)
    means = {
        **{task: (used.pace(task, ["wall"]), used.pace(task, ["hoop"])) for task in TASKS},
        PACKING: used.packing,
        DRIVING: used.driving,
        breakage_of(10): used.breakage(10, 0.02),
    }
    scales = [of.paces[task].scale if task in of.paces else 1.0 for task in TASKS]
    return means | {SPREAD: (of.shared_scale, of.packing.scale, of.driving.scale, *scales)}


@pytest.mark.parametrize("subject", SUBJECTS)
def test_a_subject_is_taken_and_nothing_else(subject: str) -> None:
    before, learnt = figures(Lessons()), figures(LEARNT.lessons)
    after = figures(merge(Lessons(), LEARNT.lessons, subject))
    assert after == before | {subject: learnt[subject]}
    assert after != before


@pytest.mark.parametrize("subject", SUBJECTS)
def test_what_was_taken_stays_when_another_is_taken_from_later_jobs(subject: str) -> None:
    first = merge(Lessons(), LEARNT.lessons, subject)
    for other in SUBJECTS:
        if other != subject:
            first = merge(first, LATER.lessons, other)
    assert figures(first) == figures(LATER.lessons) | {subject: figures(LEARNT.lessons)[subject]}


def test_all_of_it_taken_is_the_calibration_itself() -> None:
    lessons = Lessons()
    for subject in SUBJECTS:
        lessons = merge(lessons, LEARNT.lessons, subject)
    assert replace(lessons, any_task=LEARNT.lessons.any_task) == LEARNT.lessons
    # A task that no job noted was not taken with the others.
    assert Calibration(jobs=1, lessons=lessons).pace("foils", ["wall"]) == AS_BOOKED


@pytest.mark.parametrize("order", [SUBJECTS, tuple(reversed(SUBJECTS))])
def test_taken_and_given_up_again_the_book_s_word_stands(order: tuple[str, ...]) -> None:
    lessons = Lessons()
    for subject in SUBJECTS:
        lessons = merge(lessons, LEARNT.lessons, subject)
    for subject in order:
        lessons = merge(lessons, UNCALIBRATED.lessons, subject)
    assert lessons == Lessons()


def test_how_far_jobs_scatter_is_taken_apart_from_how_long_they_take() -> None:
    wild = LATER.lessons
    pace_only = Calibration(jobs=30, lessons=merge(Lessons(), wild, "install"))
    spread_only = Calibration(jobs=30, lessons=merge(Lessons(), wild, SPREAD))
    booked = UNCALIBRATED.widths("install", ["wall"], 0.16)
    doubt = pace_only.pace("install", ["wall"]).sd
    widths = pace_only.widths("install", ["wall"], 0.16)
    assert widths.own**2 + widths.shared**2 == pytest.approx(
        booked.own**2 + booked.shared**2 + doubt**2
    )
    assert spread_only.pace("install", ["wall"]) == AS_BOOKED
    assert spread_only.widths("install", ["wall"], 0.16).own > 1.5 * booked.own
    assert "install" not in {change.subject for change in spread_only.changes()}


def test_lessons_are_kept_to_the_last_digit() -> None:
    kept = json.loads(json.dumps(plain(LEARNT.lessons)))
    assert lessons_of(kept) == LEARNT.lessons
    assert lessons_of(json.loads(json.dumps(plain(Lessons())))) == Lessons()


def test_a_wild_shop_scatters_more_than_its_book_and_a_steady_one_less() -> None:
    wild = scatter(LATER.lessons, PRIOR, 30)
    steady = calibrate(PRIOR, record(30, factor=1.0, scatter=0.02))
    assert wild.factor > 1.3
    assert scatter(steady.lessons, PRIOR, 30).factor < 0.8
    assert scatter(Lessons(), PRIOR, 0).factor == 1.0
    # Ten jobs of the prior and thirty of the shop's: 1 / sqrt(2 x 40).
    assert wild.sd == pytest.approx(0.1118, abs=1e-4)
