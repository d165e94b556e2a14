"""How soon things go on after a fault.

What is outstanding at a fault: every turn that was accepted and not yet answered, and every
confirmed request without its price, at the moment at which it began, or accepted while it lasted.
What it takes such a thing to go on is the time until it was answered: from the kill, or, of a fault
that lasts, from its end (0 where it went on during it). A fault's recovery is that of the slowest.
Faults that strike meanwhile count in, so that this is an upper bound.

Left out are chats in which the Bot API took a message and its answer was lost, or let one wait in
vain: a message that may be out is sent again seldom, on purpose. And what a client on Telegram
waits while the Bot API hangs is the Bot API's: it is taken off.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from tests.faults.evidence import Cut, Evidence, Story


@dataclass(frozen=True, kw_only=True)
class Recovery:
    """Seconds, one for each fault that met something outstanding, in rising order."""

    seconds: tuple[float, ...]
    untouched: int

    def percentile(self, share: float) -> float:
        """The value that this share of faults stays within, NaN for none."""
        if not self.seconds:
            return float("nan")
        return self.seconds[min(int(share * len(self.seconds)), len(self.seconds) - 1)]


def recovery(evidence: Evidence, cuts: Sequence[Cut]) -> Recovery:
    """How soon all went on after each of `cuts`."""
    return _of_slowest(evidence, _spans(evidence), cuts)


def _of_slowest(evidence: Evidence, spans: Sequence["_Span"], cuts: Sequence[Cut]) -> Recovery:
    struck = [cut for cut in cuts if cut.struck]
    slowest = [max(waits) for cut in struck if (waits := _waits(evidence, spans, cut))]
    return Recovery(seconds=tuple(sorted(slowest)), untouched=len(struck) - len(slowest))


def apart_from_ends(evidence: Evidence) -> Recovery:
    """The same for all faults but the ends of everything, and without whoever met one of those.

    After one, all processes have to start on the same processors, one waiting for the other.
    """
    ends = [cut for cut in evidence.cuts if cut.target == "everything"]
    spans = [
        span
        for span in _spans(evidence)
        if not any(span.start <= max(end.ended, end.back) and span.end > end.began for end in ends)
    ]
    return _of_slowest(evidence, spans, [cut for cut in evidence.cuts if cut not in ends])


def of_each(evidence: Evidence, cuts: Sequence[Cut]) -> Recovery:
    """The same for each thing that was outstanding at any of `cuts`, by itself."""
    spans = _spans(evidence)
    waits = [wait for cut in cuts if cut.struck for wait in _waits(evidence, spans, cut)]
    return Recovery(seconds=tuple(sorted(waits)), untouched=0)


def slowest(evidence: Evidence, count: int) -> list[str]:
    """What took longest to be answered, with how many faults began meanwhile."""
    spans = sorted(_spans(evidence), key=lambda span: span.start - span.end)
    return [
        f"{span.client}, {span.what}: {span.end - span.start:.1f} s from accepted to answered,"
        f" {sum(span.start < cut.began < span.end for cut in evidence.cuts)} faults meanwhile"
        for span in spans[:count]
    ]


@dataclass(frozen=True, kw_only=True)
class _Span:
    """From accepted to answered."""

    client: str
    what: str
    start: float
    end: float
    telegram: bool


def _waits(evidence: Evidence, spans: Sequence[_Span], cut: Cut) -> list[float]:
    return [
        _without_hanging(evidence, span, cut.ended)
        for span in spans
        if span.start <= cut.ended and span.end > cut.began
    ]


def _without_hanging(evidence: Evidence, span: _Span, since: float) -> float:
    """Seconds from `since` to the span's end, without those of the Bot API."""
    wait = span.end - since
    if span.telegram:
        wait -= sum(max(0.0, min(b, span.end) - max(a, since)) for a, b in evidence.hung)
    return max(0.0, wait)


def _spans(evidence: Evidence) -> list[_Span]:
    """Everything that was answered, without what may be out."""
    return [
        _Span(
            client=story.client,
            what=what,
            start=start,
            end=end,
            telegram=story.channel == "telegram",
        )
        for story in evidence.stories
        if story.chat_id not in evidence.doubtful
        for what, start, end in _of(story)
    ]


def _of(story: Story) -> list[tuple[str, float, float]]:
    spans = [(t.what, t.accepted, t.answered) for t in story.turns if t.accepted and t.answered]
    if story.confirmed is not None and story.priced is not None:
        spans.append(("price", story.confirmed, story.priced))
    return spans
