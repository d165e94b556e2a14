"""The sheet of a coming set-up for whoever builds it: what to make, to load and to mind.

Nothing here is about money or was said in confidence; a client's first name and phone are told
on the days of the job only.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from service.estimating import (
    Brief,
    Estimate,
    Expansion,
    PieceEstimate,
    PriceBook,
    Setting,
    Site,
    laid,
)
from service.leads import words
from service.leads.lead import Quote
from service.leads.price_books import PriceBooks, book_of
from service.leads.shop_time import today_at, zone_of
from service.workshop import set_ups
from service.workshop.build_sheet.recipe import letters_of
from service.workshop.clusters import named
from service.workshop.fitted import Item, items_of
from service.workshop.floats import in_colours
from service.workshop.load_list import LoadList, load_of
from service.workshop.set_ups import Contact, Job, SetUp

_STOOD_ON = frozenset({"wear", "hire"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Balloons:
    """Balloons of one size and colour: so many in the piece, so many to spare."""

    size: str
    colour: str
    count: int
    spares: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Build:
    """One kind of piece: its clusters, its balloons, and what is fitted to it."""

    title: str
    garland: str
    clusters: tuple[str, ...]
    balloons: tuple[Balloons, ...]
    fitted: tuple[Item, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """Everything that a set-up takes."""

    job: Job
    leaves_at: datetime
    where: tuple[str, ...]
    builds: tuple[Build, ...]
    floats: tuple[str, ...]
    sizing: tuple[str, ...]
    load: tuple[Item, ...]
    cautions: tuple[str, ...]
    contact: Contact | None


def sheet(set_up: SetUp, books: PriceBooks, *, now: datetime) -> Sheet:
    """The sheet of a set-up."""
    lead, hold = set_up.lead, set_up.hold
    book = books.current()
    brief, estimate = set_up.quote.brief, set_up.quote.estimate
    return Sheet(
        job=set_ups.listed(set_up),
        leaves_at=hold.stay.leaves_at,
        where=tuple(where(lead.brief.site)),
        builds=tuple(
            _build(index, set_up.quote, book_of(books, set_up.quote))
            for index in range(len(brief.pieces))
        ),
        floats=tuple(floats(brief, estimate)),
        sizing=tuple(_sizing(estimate.expansion)) if estimate.expansion else (),
        load=tuple(_load(load_of(set_up, books))),
        cautions=(*wind(estimate), *(caution.text for caution in estimate.cautions)),
        contact=set_ups.contact(hold, zone_of(book), today_at(now, book)),
    )


def where(site: Site) -> Iterator[str]:
    """What is known of the place besides its name."""
    if site.setting:
        yield "indoors" if site.setting == "indoor" else "outdoors"
    if site.access_from or site.access_until:
        since = f" from {words.clock(site.access_from)}" if site.access_from else ""
        until = f" until {words.clock(site.access_until)}" if site.access_until else ""
        yield f"the place is open{since}{until}"
    conditions = words.conditions(site)
    if conditions:
        yield conditions


def floats(brief: Brief, estimate: Estimate) -> Iterator[str]:
    """What is filled with helium, the weight on each, and the gas."""
    if not estimate.helium.needed:
        return
    for wanted, line in zip(brief.floating, estimate.helium.balloons, strict=True):
        weight = words.pounds(line.weight_kg)
        said = f"{words.floating(wanted)}: {in_colours(line)}"
        yield f"{said}, at least {weight} of weight on each"
    for cylinder in estimate.helium.cylinders:
        yield f"helium out of {cylinder.count} × {cylinder.label}"


def wind(estimate: Estimate) -> Iterator[str]:
    """From which gusts on to watch it and to take it down; nothing indoors."""
    if estimate.wind is None:
        return
    watch, act = map(words.mph, (estimate.wind.watch_at_m_s, estimate.wind.act_at_m_s))
    yield f"Watch the wind from gusts of {watch}; take everything down at {act}."
    yield estimate.wind.caution


def _load(found: LoadList) -> Iterator[Item]:
    """The load list in short: the bags as one line, everything else one by one."""
    bags = "bag" if found.bags == 1 else "bags"
    cars = "one car load" if len(found.loads) == 1 else f"{len(found.loads)} car loads"
    yield Item(text=f"{found.bags} {bags} of balloons, {cars}")
    for group in found.things:
        yield from group.items


def _build(index: int, quote: Quote, book: PriceBook) -> Build:
    piece, counted = quote.brief.pieces[index], quote.estimate.pieces[index]
    garland = words.feet(counted.garland_length_m)
    each = " on each" if counted.count > 1 else ""
    return Build(
        title=words.piece(piece),
        garland=f"{garland} of garland{each}, {words.feet(counted.line_length_m)} of line",
        clusters=tuple(_lettered(quote.brief, index, counted, book)) or tuple(_plain(counted)),
        balloons=tuple(
            Balloons(
                size=f"{line.size_class} in",
                colour=line.colour,
                count=line.count,
                spares=line.spares,
            )
            for line in counted.balloons
        ),
        fitted=tuple(
            # What a piece stands on says which piece it is for, and here it stands under it.
            items_of(
                replace(each, place="") if each.code in _STOOD_ON else each
                for each in quote.estimate.fittings
                if each.piece == index
            )
        ),
    )


def _lettered(brief: Brief, index: int, counted: PieceEstimate, book: PriceBook) -> Iterator[str]:
    """ "A: 7 quads of 2 cream 10 in, 1 gold 10 in and 1 sage 10 in", as the build sheet has it."""
    outdoors = brief.site.setting is Setting.OUTDOOR
    laid_out = laid(brief.pieces[index], counted, book, outdoors=outdoors)
    for place, letter in letters_of(counted, laid_out).items():
        kind = counted.cluster_types[place]
        parts = (f"{count} {colour} {size} in" for size, colour, count in kind.balloons)
        count = f"{letter.all} {named(kind.kind, letter.all)}"
        yield f"{letter.letter}: {count} of {words.listed(parts)}"


def _plain(counted: PieceEstimate) -> Iterator[str]:
    """The clusters of an estimate from before colours were laid out."""
    for kind, count in counted.clusters.items():
        yield f"{count} {named(kind, count)}"


def _sizing(expansion: Expansion) -> Iterator[str]:
    for line in expansion.sized:
        box = words.inches(line.in_workshop_m)
        yield f"{words.balloon_size(line.size_class)}: set the sizing box to {box}"
