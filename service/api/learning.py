"""What finished jobs teach, the owner's decisions on it, and how near estimates come."""

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import learning as wire
from service.contract.estimate import Problem
from service.leads import learning as core
from service.leads import lesson_words
from service.leads.accuracy import TARGET, accuracy
from service.leads.calibrations import CalibrationVersion, Verdict
from service.leads.lead import OWNER
from service.leads.lessons import Lesson
from service.leads.ports import Ports, UnitOfWork

router = APIRouter(tags=["owner"], dependencies=[Depends(allow(Role.OWNER))])

_STALE: dict[int | str, dict[str, object]] = {
    409: {"model": Problem, "description": "It has changed in the meantime."}
}


@router.get("/calibration")
def read_calibration(ports: Given) -> wire.Calibration:
    """What the finished jobs teach, subject by subject, and what of it is in use."""
    with ports.read() as work:
        return _calibration(work, ports)


@router.post(
    "/calibration",
    responses=_STALE | {404: {"model": Problem, "description": "Nothing was learnt of that."}},
)
def decide_lesson(body: wire.LessonDecision, ports: Given) -> wire.Calibration:
    """Go by a lesson from the next estimate on, leave it, or stop going by it."""
    core.learn_ahead(ports)
    with ports.work() as work:
        core.decide(
            work,
            ports,
            subject=body.subject,
            verdict=Verdict(body.verdict),
            seen=body.seen,
            who=OWNER,
            now=ports.clock(),
        )
        answer = _calibration(work, ports)
        work.commit()
        return answer


@router.get("/calibration/versions")
def list_versions(ports: Given) -> list[wire.Decided]:
    """Every decision, the newest first."""
    with ports.read() as work:
        return [_decided(each) for each in work.calibrations.every()]


@router.post("/calibration/versions/{seq}/take-back", responses=_STALE)
def take_decision_back(seq: int, body: wire.TakeBack, ports: Given) -> wire.Calibration:
    """Have everything as it was before that decision, as a new one."""
    core.learn_ahead(ports)
    with ports.work() as work:
        core.take_back(work, ports, seq, seen=body.seen, who=OWNER, now=ports.clock())
        answer = _calibration(work, ports)
        work.commit()
        return answer


@router.get("/accuracy")
def read_accuracy(ports: Given) -> wire.Accuracy:
    """Real costs against what was told beforehand, overhead left out."""
    with ports.read() as work:
        finished = work.actuals.since(None)
    found = accuracy(finished, currency=ports.price_books.current().shop.currency)
    seen = found.coverage
    return wire.Accuracy(
        currency=found.currency,
        enough=found.enough,
        coverage=wire.Coverage(
            jobs=seen.jobs,
            within=seen.within,
            below=seen.below,
            above=seen.above,
            share=seen.share,
            low=seen.low,
            high=seen.high,
            target=TARGET,
        ),
        unmeasured=found.unmeasured,
        losses=wire.Losses.model_validate(found.losses),
        months=[wire.Month.model_validate(each) for each in found.months],
        misses=[wire.Miss.model_validate(each) for each in found.misses],
    )


def _calibration(work: UnitOfWork, ports: Ports) -> wire.Calibration:
    known = core.learning(work, ports)
    return wire.Calibration(
        jobs=known.jobs,
        version=known.applied.version,
        newest=known.seq,
        lessons=[_lesson(each, ports) for each in known.lessons],
    )


def _lesson(lesson: Lesson, ports: Ports) -> wire.Lesson:
    return wire.Lesson(
        subject=lesson.subject,
        text=lesson_words.finding(lesson, ports.price_books.current()),
        stands=lesson.stands.value,
        factor=lesson.learnt.factor,
        sd=lesson.learnt.sd,
        jobs=lesson.learnt.jobs,
        in_use=lesson.in_use,
        refused=lesson.refused,
        by_support={name: belief.factor for name, belief in sorted(lesson.by_support.items())},
        seen=lesson.key,
    )


def _decided(version: CalibrationVersion) -> wire.Decided:
    decision = version.decision
    return wire.Decided(
        seq=version.seq,
        version=version.calibration.version,
        made_at=version.made_at,
        made_by=version.made_by,
        verdict=decision.verdict.value,
        moves=[wire.Moved.model_validate(each) for each in decision.moves],
    )
