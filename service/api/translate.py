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
    """Knows where postal codes and towns lie."""

    def find(self, postal_code: str) -> Position | None:
        """The position of a postal code, None where it is not known."""
        ...

    def find_town(self, words: str, *, near: core.Shop) -> Position | None:
        """The position of the town that `words` name, None where they name none nearby."""
        ...


def brief_to_core(wire: wire_brief.Brief, places: Places, shop: core.Shop) -> core.Brief:
    """The core's brief, its place resolved as seen from the shop.

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
        site = _site(wire.site, places, shop)
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


def _site(wire: wire_brief.Site, places: Places, shop: core.Shop) -> core.Site:
    latitude, longitude = wire.latitude, wire.longitude
    if latitude is None and longitude is None:
        found = _position(wire, places, shop)
        if found:
            latitude, longitude = found.latitude, found.longitude
    return core.Site(
        setting=core.Setting(wire.setting) if wire.setting else None,
        place=wire.place,
        postal_code=wire.postal_code,
        latitude=latitude,
        longitude=longitude,
    )


def _position(wire: wire_brief.Site, places: Places, shop: core.Shop) -> Position | None:
    by_code = places.find(wire.postal_code) if wire.postal_code else None
    if by_code or not wire.place:
        return by_code
    return places.find_town(wire.place, near=shop)
