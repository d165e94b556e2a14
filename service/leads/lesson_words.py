"""What finished jobs teach, in plain words to the owner."""

import math
from collections.abc import Mapping

from service.estimating import PriceBook, Support
from service.estimating.calibration import PACKING, SPREAD, Belief, breakage_of
from service.leads.calibrations import Decision, Moved, Verdict
from service.leads.lessons import SURE, Lesson
from service.leads.task_words import task_name

_BREAKAGE = breakage_of(0).removesuffix("0")

_VERDICTS: Mapping[Verdict, str] = {
    Verdict.USE: "taken",
    Verdict.LEAVE: "left as it was",
    Verdict.STOP: "back to the book",
    Verdict.GO_BACK: "taken back",
}


def name_of(subject: str) -> str:
    """ "Inflating", "Bursting (11 in)"."""
    if subject == PACKING:
        return "Balloons in a garland"
    if subject == SPREAD:
        return "The width of ranges"
    if subject.startswith(_BREAKAGE):
        return f"Bursting ({subject.removeprefix(_BREAKAGE)} in)"
    return task_name(subject)


def factor_said(subject: str, factor: float) -> str:
    """ "18% longer than the book", "as the book says"."""
    percent = round(100 * abs(factor - 1))
    if not percent:
        return "as the book says"
    return f"{percent}% {_way(subject, more=factor > 1)} than the book"


def finding(lesson: Lesson, book: PriceBook) -> str:
    """What the jobs say of it, in a sentence: "Inflating takes you 18% longer than the book"."""
    subject, factor = lesson.subject, lesson.learnt.factor
    percent = round(100 * abs(factor - 1))
    if subject.startswith(_BREAKAGE):
        return _bursts(subject, factor, book)
    if subject == PACKING:
        return f"Your garlands take {percent}% more balloons than the recipe counts"
    if subject == SPREAD:
        far, then = ("more", "wider") if factor > 1 else ("less", "narrower")
        return (
            f"Your jobs scatter {percent}% {far} about their plan than the book reckons with, so "
            f"that ranges should be {then}"
        )
    return f"{name_of(subject)} takes you {factor_said(subject, factor)}"


def rests_on(lesson: Lesson) -> str:
    """ "from 9 jobs; most likely between 10% and 27% longer"."""
    jobs = f"{lesson.learnt.jobs} {'job' if lesson.learnt.jobs == 1 else 'jobs'}"
    half = math.exp(SURE * lesson.learnt.sd)
    low, high = (_signed(lesson.learnt.factor * by) for by in (1 / half, half))
    return f"from {jobs}; most likely {low} to {high} against the book"


def on_supports(lesson: Lesson) -> str:
    """ "wall 5% longer, staircase 42% longer"; empty where all are much the same."""
    said = {name: _on(lesson.subject, belief) for name, belief in lesson.by_support.items()}
    if len(set(said.values())) < 2:
        return ""
    ranked = sorted(said, key=lambda name: (lesson.by_support[name].factor, name))
    return ", ".join(f"{_support(name)} {said[name]}" for name in ranked)


def decided(decision: Decision) -> str:
    """ "taken", "left as it was", …"""
    return _VERDICTS[decision.verdict]


def moved_said(moved: Moved, verdict: Verdict) -> str:
    """ "Inflating: as the book says → 18% longer than the book"."""
    before, after = (factor_said(moved.subject, each) for each in (moved.before, moved.after))
    if verdict is Verdict.LEAVE:
        return f"{name_of(moved.subject)}: {after} was offered; it stayed {_as_it_was(moved)}"
    return f"{name_of(moved.subject)}: {before} → {after}"


def _as_it_was(moved: Moved) -> str:
    said = factor_said(moved.subject, moved.before)
    return said if moved.before == 1.0 else f"at {said}"


def _way(subject: str, *, more: bool) -> str:
    if subject == PACKING:
        return "more" if more else "fewer"
    if subject == SPREAD:
        return "wider" if more else "narrower"
    if subject.startswith(_BREAKAGE):
        return "more" if more else "fewer"
    return "longer" if more else "less time"


def _bursts(subject: str, factor: float, book: PriceBook) -> str:
    size = book.size(int(subject.removeprefix(_BREAKAGE)))
    if size is None:
        return f"{name_of(subject)}: {factor_said(subject, factor)}"
    real, planned = (f"{100 * odds:.1f}" for odds in (factor * size.breakage, size.breakage))
    return f"Of 100 balloons of {size.size_class} in, {real} burst; the book says {planned}"


def _on(subject: str, belief: Belief) -> str:
    percent = round(100 * abs(belief.factor - 1))
    return f"{percent}% {_way(subject, more=belief.factor > 1)}" if percent else "as the book says"


def _support(name: str) -> str:
    known = {each.value for each in Support}
    return Support(name).words if name in known else name.replace("_", " ")


def _signed(factor: float) -> str:
    percent = round(100 * (factor - 1))
    return f"{'+' if percent > 0 else '−' if percent < 0 else '±'}{abs(percent)}%"
