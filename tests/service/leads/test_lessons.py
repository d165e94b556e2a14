import math
from datetime import UTC, datetime
from functools import cache

import pytest

from service.estimating import UNCALIBRATED, Calibration, Hours, Observation, Prior, calibrate
from service.estimating.calibration import PACKING, SPREAD, Belief, Change, Packing
from service.leads.calibrations import CalibrationVersion, Decision, Moved, Verdict
from service.leads.lessons import Lesson, Stands, lessons_of_shop, refused_in

PRIOR = Prior(hours_sd=0.16, packing_sd=0.09, driving_sd=0.15, breakage={10: 0.02})


def lesson(factor: float, sd: float = 0.03, jobs: int = 9, **more: object) -> Lesson:
    learnt = Change(subject="tying", factor=factor, sd=sd, jobs=jobs)
    return Lesson(**{"subject": "tying", "learnt": learnt} | more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("seen", "stands"),
    [
        (lesson(1.18), Stands.OFFERED),
        (lesson(0.85), Stands.OFFERED),
        # Too little to be worth it, though sure.
        (lesson(1.02, sd=0.001), Stands.AS_BOOKED),
        # Much, but as likely an accident.
        (lesson(1.18, sd=0.10), Stands.TOO_EARLY),
        # Far off, but in two jobs only.
        (lesson(1.60, sd=0.10, jobs=2), Stands.TOO_EARLY),
        (lesson(1.0, sd=0.05), Stands.AS_BOOKED),
        (lesson(1.18, in_use=1.18), Stands.IN_USE),
        # More jobs moved it by less than they can tell.
        (lesson(1.18, in_use=1.14), Stands.IN_USE),
        (lesson(1.18, in_use=1.05), Stands.OFFERED),
        (lesson(1.0, in_use=1.18), Stands.OFFERED),
        (lesson(1.0, sd=0.0, jobs=0, in_use=1.18), Stands.IN_USE),
        (lesson(1.18, refused=1.18), Stands.LEFT),
        (lesson(1.18, refused=1.15), Stands.LEFT),
        (lesson(1.18, refused=1.08), Stands.OFFERED),
        (lesson(1.18, refused=1.18, in_use=1.18), Stands.IN_USE),
    ],
)
def test_a_lesson_is_offered_where_it_says_something_new_and_sure(
    seen: Lesson, stands: Stands
) -> None:
    assert seen.stands is stands


def test_one_support_that_moved_is_enough() -> None:
    on = {"wall": Belief(factor=1.3, sd=0.05), "hoop": Belief(factor=0.9, sd=0.05)}
    assert lesson(1.0).stands is Stands.AS_BOOKED
    assert lesson(1.0, by_support=on).stands is Stands.OFFERED
    assert lesson(1.0, by_support=on, used_on={"wall": 1.3, "hoop": 0.9}).stands is Stands.AS_BOOKED


def test_its_key_changes_with_all_that_is_shown_of_it() -> None:
    keys = {
        each.key
        for each in (
            lesson(1.18),
            lesson(1.19),
            lesson(1.18, jobs=10),
            lesson(1.18, in_use=1.1),
            lesson(1.18, refused=1.18),
        )
    }
    assert len(keys) == 5
    assert lesson(1.18).key == lesson(1.18).key


def version(seq: int, verdict: Verdict, *moves: tuple[str, float, float]) -> CalibrationVersion:
    moved = [Moved(subject=name, before=before, after=after) for name, before, after in moves]
    return CalibrationVersion(
        seq=seq,
        calibration=UNCALIBRATED,
        made_at=datetime(2027, 1, seq, tzinfo=UTC),
        made_by="owner",
        decision=Decision(verdict=verdict, moves=tuple(moved)),
    )


def test_what_was_left_stopped_or_taken_back_was_refused_until_it_is_taken() -> None:
    newest_first = [
        version(5, Verdict.GO_BACK, ("install", 0.9, 1.0), ("strike", 1.2, 1.0)),
        version(4, Verdict.USE, ("tying", 1.0, 1.2)),
        version(3, Verdict.STOP, ("drive", 1.3, 1.0)),
        version(2, Verdict.LEAVE, ("tying", 1.0, 1.15)),
        version(1, Verdict.LEAVE, ("install", 1.0, 0.8), ("finish", 1.0, 1.1)),
    ]
    assert refused_in(newest_first) == {"install": 0.9, "strike": 1.2, "drive": 1.3, "finish": 1.1}


@cache
def learnt() -> Calibration:
    jobs = [
        Observation(
            job=f"{number}",
            supports=frozenset({"wall" if number % 2 else "hoop"}),
            hours={
                "tying": Hours(planned_h=1.0, actual_h=1.5),
                "install": Hours(planned_h=1.0, actual_h=1.6 if number % 2 else 1.0),
            },
            packing=Packing(planned=200, used=170),
        )
        for number in range(10)
    ]
    return calibrate(PRIOR, jobs)


def test_a_shop_sees_every_subject_beside_what_it_goes_by() -> None:
    in_use = learnt().only("tying")
    found = {each.subject: each for each in lessons_of_shop(learnt(), in_use, [], PRIOR)}
    assert found.keys() == {"tying", "install", PACKING, SPREAD}
    assert found["tying"].in_use == found["tying"].learnt.factor
    assert found["tying"].stands is Stands.IN_USE
    assert found["install"].in_use == 1.0
    assert found["install"].stands is Stands.OFFERED
    wall, hoop = (found["install"].by_support[name].factor for name in ("wall", "hoop"))
    assert wall > 1.2 * hoop
    # The recipe's clusters are laid all the same.
    assert found[PACKING].learnt.factor == 1.0


def test_the_largest_change_comes_first() -> None:
    sizes = [
        abs(math.log(each.learnt.factor))
        for each in lessons_of_shop(learnt(), UNCALIBRATED, [], PRIOR)
    ]
    assert sizes == sorted(sizes, reverse=True)


def test_what_is_in_use_of_a_task_that_no_job_notes_any_more_is_listed() -> None:
    (tying, *_) = lessons_of_shop(UNCALIBRATED, learnt().only("tying"), [], PRIOR)
    assert (tying.learnt.jobs, tying.stands) == (0, Stands.IN_USE)
