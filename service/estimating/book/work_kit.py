"""What comes along to a job besides what is built: tools, spares, safety, ladders. Metres."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class KitSort(StrEnum):
    """What a thing is for."""

    TOOLS = "tools"
    SPARES = "spares"
    SAFETY = "safety"


class KitWhen(StrEnum):
    """For which jobs it comes along."""

    ALWAYS = "always"
    OUTDOORS = "outdoors"
    INDOORS = "indoors"
    LADDER = "with_ladder"
    FRAMES = "with_frames"
    FOILS = "with_foils"
    HELIUM = "with_helium"


class KitEach(StrEnum):
    """What it is counted by."""

    JOB = "job"
    PERSON = "person"


@dataclass(frozen=True, kw_only=True, slots=True)
class KitThing:
    """Something that comes along, so many of it for the job or for each person of the crew."""

    label: str
    sort: KitSort
    when: KitWhen = KitWhen.ALWAYS
    count: int = 1
    each: KitEach = KitEach.JOB


@dataclass(frozen=True, kw_only=True, slots=True)
class Ladder:
    """A ladder or platform, and up to which height [m] somebody on it works with both hands."""

    label: str
    reaches_m: float


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkKit:
    """Everything that the shop may take along."""

    things: tuple[KitThing, ...]
    ladders: tuple[Ladder, ...]

    def taken(self, given: Iterable[KitWhen]) -> tuple[KitThing, ...]:
        """What comes along to a job of which all this holds, in the book's order."""
        holds = frozenset(given) | {KitWhen.ALWAYS}
        return tuple(thing for thing in self.things if thing.when in holds)

    def ladder_to(self, height_m: float) -> Ladder | None:
        """The lowest ladder from which that height [m] is worked at; None where none reaches."""
        reaching = [ladder for ladder in self.ladders if ladder.reaches_m >= height_m]
        return min(reaching, key=lambda ladder: ladder.reaches_m, default=None)


def _things(
    sort: KitSort, *labels: str, when: KitWhen = KitWhen.ALWAYS, each: KitEach = KitEach.JOB
) -> tuple[KitThing, ...]:
    return tuple(KitThing(label=label, sort=sort, when=when, each=each) for label in labels)


_TOOLS, _SPARES, _SAFETY = KitSort.TOOLS, KitSort.SPARES, KitSort.SAFETY
_FOOT_M = 0.3048

USUAL_WORK_KIT = WorkKit(
    things=(
        *_things(_TOOLS, "balloon pump and its cord", "hand pump", "sizing box"),
        *_things(_TOOLS, "scissors", each=KitEach.PERSON),
        *_things(_TOOLS, "tape measure", "extension cord", "hand cart", "soft cloth"),
        *_things(_TOOLS, "level", when=KitWhen.FRAMES),
        *_things(_TOOLS, "straw to let a foil down again", when=KitWhen.FOILS),
        *_things(_TOOLS, "filler for the cylinder", "wrench", when=KitWhen.HELIUM),
        *_things(_SPARES, "bag of long 260 balloons", "spool of line", "roll of tape"),
        *_things(_SPARES, "handful of clips and bands", "sheet of adhesive dots"),
        *_things(_SPARES, "ribbon that does not conduct", when=KitWhen.HELIUM),
        *_things(_SPARES, "tie-down cords", when=KitWhen.OUTDOORS),
        *_things(_SAFETY, "work gloves", each=KitEach.PERSON),
        *_things(_SAFETY, "first aid kit"),
        *_things(_SAFETY, "broom and bags, so that broken balloons are picked up at once"),
        *_things(_SAFETY, "cord covers and marking tape: walkways and exits stay clear"),
        *_things(_SAFETY, "wind gauge", "light sheet for shade", when=KitWhen.OUTDOORS),
        *_things(_SAFETY, "cones to keep guests off the ladder", when=KitWhen.LADDER),
        *_things(_SAFETY, "straps to hold the cylinder upright", when=KitWhen.HELIUM),
    ),
    ladders=tuple(
        Ladder(label=f"stepladder {feet} ft", reaches_m=(feet + 4) * _FOOT_M) for feet in (4, 6, 8)
    ),
)
"""Where the book names none. Nobody stands on the two topmost steps of a stepladder; so somebody
works up to about four feet above its top ("How to choose the correct ladder height",
titanladders.co.uk, 2018)."""
