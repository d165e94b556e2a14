"""Between the wire's form of briefs and estimates and the core's values."""

from typing import Protocol

from pydantic import TypeAdapter

from service import estimating as core
from service.contract import brief as wire_brief
from service.contract.estimate import Estimate as WireEstimate
from service.estimating.errors import Faults

_ESTIMATE = TypeAdapter(core.Estimate)


class Position(Protocol):
    """Degrees."""

    @property
    def latitude(self) -> float: ...

    @property
    def longitude(self) -> float: ...


class Places(Protocol):
    """Knows where a postal code lies."""

    def find(self, postal_code: str) -> Position | None:
        """The position of a postal code, None where it is not known."""
        ...


def brief_to_core(wire: wire_brief.Brief, places: Places) -> core.Brief:
    """The core's brief, its place resolved.

    Raises BriefError with every fault of every part.
    """
    faults = Faults()
    pieces, palette = [], []
    for index, piece in enumerate(wire.pieces):
        with faults.under(f"pieces[{index}]"):
            pieces.append(_piece(piece))
    for index, colour in enumerate(wire.palette):
        with faults.under(f"palette[{index}]"):
            palette.append(core.ColourShare(colour=colour.colour, share=colour.share))
    event, site, budget = core.Event(), core.Site(), None
    with faults.under("event"):
        event = core.Event(**dict(wire.event))
    with faults.under("site"):
        site = _site(wire.site, places)
    with faults.under("budget"):
        budget = core.Budget(**dict(wire.budget)) if wire.budget else None
    faults.raise_as(core.BriefError)
    return core.Brief(
        pieces=tuple(pieces),
        palette=tuple(palette),
        event=event,
        site=site,
        budget=budget,
        foils=tuple(wire.foils),
        notes=wire.notes,
    )


def brief_to_wire(brief: core.Brief) -> wire_brief.Brief:
    """The wire's brief, with the place as it was resolved."""
    return wire_brief.Brief.model_validate(brief)


def estimate_to_wire(estimate: core.Estimate) -> WireEstimate:
    """The wire's estimate."""
    return WireEstimate.model_validate(estimate)


def estimate_to_core(wire: WireEstimate) -> core.Estimate:
    """The core's estimate, as it was."""
    return _ESTIMATE.validate_python(wire.model_dump())


def estimate_to_json(estimate: core.Estimate) -> bytes:
    """The wire's JSON of an estimate; equal estimates give equal bytes."""
    return _ESTIMATE.dump_json(estimate)


def _piece(wire: wire_brief.Piece) -> core.Piece:
    given = dict(wire)
    given["support"] = core.Support(wire.support)
    given["fullness"] = core.Fullness(wire.fullness)
    given["build"] = core.Build(wire.build) if wire.build else None
    given["shape"] = core.Shape(wire.shape) if wire.shape else None
    return core.Piece(**given)


def _site(wire: wire_brief.Site, places: Places) -> core.Site:
    latitude, longitude = wire.latitude, wire.longitude
    if latitude is None and longitude is None and wire.postal_code:
        found = places.find(wire.postal_code)
        if found:
            latitude, longitude = found.latitude, found.longitude
    return core.Site(
        setting=core.Setting(wire.setting) if wire.setting else None,
        place=wire.place,
        postal_code=wire.postal_code,
        latitude=latitude,
        longitude=longitude,
    )
