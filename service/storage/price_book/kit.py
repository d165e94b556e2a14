"""Entries about what comes along to a job: tools, spares, safety things, ladders."""

from typing import Annotated

from pydantic import Field

from service.estimating import book as core
from service.storage.price_book.fields import FOOT, Entry, Name, Positive, one_of

_SortName = Annotated[core.KitSort, one_of(core.KitSort)]
_WhenName = Annotated[core.KitWhen, one_of(core.KitWhen)]
_EachName = Annotated[core.KitEach, one_of(core.KitEach)]


class ThingEntry(Entry):
    """Something that comes along."""

    label: Name
    sort: _SortName
    when: _WhenName = core.KitWhen.ALWAYS
    count: int = Field(default=1, ge=1, le=100)
    each: _EachName = core.KitEach.JOB

    def value(self) -> core.KitThing:
        """As the core has it."""
        return core.KitThing(**dict(self))


class LadderEntry(Entry):
    """A ladder or platform: the height [ft] up to which somebody on it works."""

    label: Name
    reaches_ft: Positive

    def value(self) -> core.Ladder:
        """As the core has it."""
        return core.Ladder(label=self.label, reaches_m=self.reaches_ft * FOOT)


def _usual_things() -> list[ThingEntry]:
    return [
        ThingEntry(
            label=thing.label,
            sort=thing.sort,
            when=thing.when,
            count=thing.count,
            each=thing.each,
        )
        for thing in core.USUAL_WORK_KIT.things
    ]


def _usual_ladders() -> list[LadderEntry]:
    return [
        LadderEntry(label=ladder.label, reaches_ft=round(ladder.reaches_m / FOOT, 2))
        for ladder in core.USUAL_WORK_KIT.ladders
    ]


class WorkKitEntry(Entry):
    """All of it. A part that is left out is as usual, an empty list is empty."""

    things: list[ThingEntry] = Field(default_factory=_usual_things, max_length=200)
    ladders: list[LadderEntry] = Field(default_factory=_usual_ladders, max_length=50)

    def value(self) -> core.WorkKit:
        """As the core has it."""
        return core.WorkKit(
            things=tuple(thing.value() for thing in self.things),
            ladders=tuple(ladder.value() for ladder in self.ladders),
        )
