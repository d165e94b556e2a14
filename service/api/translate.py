"""Between the wire's form of briefs and estimates and the core's values."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

from pydantic import TypeAdapter

from service import estimating as core
from service.contract import brief as wire_brief
from service.contract.estimate import Estimate as WireEstimate
from service.contract.estimate import Price as WirePrice
from service.contract.options import Option as WireOption
from service.estimating import (
    Accent,
    AccentKind,
    Faults,
    Floating,
    FloatKind,
    Ground,
    Option,
    Pattern,
    Placement,
)
from service.leads.locating import Places, located

_Given = TypeVar("_Given")
_Made = TypeVar("_Made")

_ESTIMATE = TypeAdapter(core.Estimate)


def brief_to_core(wire: wire_brief.Brief, places: Places, shop: core.Shop) -> core.Brief:
    """The core's brief, its place resolved as seen from the shop.

    Raises BriefError with every fault of every part.
    """
    faults = Faults()
    pieces = _each(wire.pieces, "pieces", faults, _piece)
    palette = _each(wire.palette, "palette", faults, _colour)
    floating = _each(wire.floating, "floating", faults, _floating)
    event, site, budget = core.Event(), core.Site(), None
    with faults.under("event"):
        event = core.Event(**vars(wire.event))
    with faults.under("site"):
        site = _site(wire.site, places, shop)
    with faults.under("budget"):
        budget = core.Budget(**vars(wire.budget)) if wire.budget else None
    faults.raise_as(core.BriefError)
    return core.Brief(
        pieces=pieces,
        palette=palette,
        event=event,
        site=site,
        budget=budget,
        foils=tuple(wire.foils),
        floating=floating,
        client_keeps=wire.client_keeps,
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


def for_anybody(estimate: core.Estimate) -> core.Estimate:
    """The estimate without what the shop pays, earns and buys: what a client may see."""
    nothing = Decimal(0)
    fittings = (replace(each, unit_cost=nothing, cost=nothing) for each in estimate.fittings)
    return replace(
        estimate,
        shopping=replace(
            estimate.shopping,
            lines=(),
            orders=(),
            from_stock=(),
            filled=(),
            left_over=(),
            cost=nothing,
            used_cost=nothing,
            leftover_value=nothing,
        ),
        fittings=tuple(fittings),
        cost_lines=(),
        cost=replace(estimate.cost, low=nothing, likely=nothing, high=nothing),
        drivers=(),
        explanation=(),
    )


def estimate_to_json(estimate: core.Estimate) -> bytes:
    """The wire's JSON of an estimate; equal estimates give equal bytes."""
    return _ESTIMATE.dump_json(estimate)


def option_to_wire(option: Option, *, whole: bool) -> WireOption:
    """The wire's option, with its `whole` estimate or the figures that one chooses by."""
    return WireOption(
        changes=list(option.changes),
        fits=option.fits,
        brief=brief_to_wire(option.brief),
        price=WirePrice.model_validate(option.estimate.price),
        balloons_total=option.estimate.balloons_total,
        estimate=estimate_to_wire(option.estimate) if whole else None,
    )


def _each(
    given: Iterable[_Given], field: str, faults: Faults, make: Callable[[_Given], _Made]
) -> tuple[_Made, ...]:
    """Every part that can be made; what is wrong with the others is noted under its index."""
    made = []
    for index, part in enumerate(given):
        with faults.under(f"{field}[{index}]"):
            made.append(make(part))
    return tuple(made)


def _piece(wire: wire_brief.Piece) -> core.Piece:
    faults = Faults()
    accents = _each(wire.accents, "accents", faults, _accent)
    given = vars(wire) | {
        "support": core.Support(wire.support),
        "fullness": core.Fullness(wire.fullness),
        "placement": Placement(wire.placement),
        "pattern": Pattern(wire.pattern),
        "build": core.Build(wire.build) if wire.build else None,
        "shape": core.Shape(wire.shape) if wire.shape else None,
        "accents": accents,
    }
    with faults.under(""):
        piece = core.Piece(**given)
    faults.raise_as(core.BriefError)
    return piece


def _accent(wire: wire_brief.Accent) -> Accent:
    return Accent(kind=AccentKind(wire.kind), count=wire.count, words=wire.words)


def _colour(wire: wire_brief.ColourShare) -> core.ColourShare:
    return core.ColourShare(colour=wire.colour, share=wire.share)


def _floating(wire: wire_brief.Floating) -> Floating:
    return Floating(**vars(wire) | {"kind": FloatKind(wire.kind)})


def _site(wire: wire_brief.Site, places: Places, shop: core.Shop) -> core.Site:
    given = vars(wire) | {
        "setting": core.Setting(wire.setting) if wire.setting else None,
        "ground": Ground(wire.ground) if wire.ground else None,
    }
    return located(core.Site(**given), places, shop)
