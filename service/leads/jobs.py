"""Coming set-ups for whoever builds them: what to make, to load and to mind, when and where.

Nothing here is about money or was said in confidence; a client's first name and phone are told
on the days of the job only.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import (
    Brief,
    ClusterType,
    Estimate,
    Expansion,
    Piece,
    PieceEstimate,
    PriceBook,
    Site,
)
from service.leads import words
from service.leads.fitted import Item, how_many, items_of
from service.leads.lead import Hold, HoldState, NotFound, Quote
from service.leads.owner_words import summary_of
from service.leads.ports import UnitOfWork
from service.leads.shop_time import midnight, today_at, zone_of
from service.leads.stays import days

AHEAD = timedelta(days=60)
"""How far ahead helpers plan."""

EVER = timedelta(days=3650)
"""As far ahead as anything is booked."""

_CLUSTERS = {
    "duplet": ("duplet", "duplets"),
    "quad": ("quad", "quads"),
    "mini_quad": ("mini quad", "mini quads"),
    "cluster_of_six": ("cluster of six", "clusters of six"),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A set-up in the list of those that are coming; `booked` unless it may still fall through.

    `strikes_at` is None where nobody comes back to take it down, and assumed where nobody has said
    when the event ends.
    """

    hold_id: str
    lead_id: str
    number: str
    arrives_at: datetime
    ready_at: datetime
    strikes_at: datetime | None
    end_known: bool
    place: str
    what: str
    booked: bool


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
class Contact:
    """Whom to ask for on the day."""

    first_name: str | None
    phone: str | None


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


def coming(
    work: UnitOfWork, book: PriceBook, *, now: datetime, ahead: timedelta = AHEAD
) -> list[Job]:
    """Set-ups that are not over today, the next one first."""
    return [
        _job(work, hold, quote)
        for hold in _coming(work, book, now, ahead)
        if (quote := _quote(work, hold)) is not None
    ]


def sheet(
    work: UnitOfWork, book: PriceBook, hold_id: str, *, now: datetime, ahead: timedelta = AHEAD
) -> Sheet:
    """The sheet of a coming set-up. NotFound for any other: what is over is nobody's to read."""
    hold = next((each for each in _coming(work, book, now, ahead) if each.id == hold_id), None)
    quote = _quote(work, hold) if hold else None
    if hold is None or quote is None:
        raise NotFound("There is no such set-up among those that are coming.")
    brief, estimate = quote.brief, quote.estimate
    return Sheet(
        job=_job(work, hold, quote),
        leaves_at=hold.stay.leaves_at,
        where=tuple(_where(work.leads.get(hold.lead_id).brief.site)),
        builds=tuple(
            _build(index, piece, counted, estimate)
            for index, (piece, counted) in enumerate(
                zip(brief.pieces, estimate.pieces, strict=True)
            )
        ),
        floats=tuple(_floats(brief, estimate)),
        sizing=tuple(_sizing(estimate.expansion)) if estimate.expansion else (),
        load=tuple(_load(estimate)),
        cautions=tuple(_cautions(estimate)),
        contact=_contact(hold, zone_of(book), today_at(now, book)),
    )


def _coming(work: UnitOfWork, book: PriceBook, now: datetime, ahead: timedelta) -> list[Hold]:
    since = midnight(today_at(now, book), book)
    return work.holds.between(since, since + ahead)


def _quote(work: UnitOfWork, hold: Hold) -> Quote | None:
    # What was agreed last: it may have been priced afresh since the date was held.
    return work.quotes.latest(hold.lead_id, sent=True)


def _job(work: UnitOfWork, hold: Hold, quote: Quote) -> Job:
    lead, stay = work.leads.get(hold.lead_id), hold.stay
    site = lead.brief.site
    return Job(
        hold_id=hold.id,
        lead_id=lead.id,
        number=lead.number,
        arrives_at=hold.window.starts_at,
        ready_at=hold.window.ends_at,
        strikes_at=stay.strikes_at if stay.struck_at > stay.strikes_at else None,
        end_known=lead.brief.event.end_time is not None,
        place=", ".join(filter(None, (site.place, site.postal_code))) or "place not known yet",
        what=summary_of(quote.brief),
        booked=hold.state is HoldState.BOOKED,
    )


def _where(site: Site) -> Iterator[str]:
    if site.setting:
        yield "indoors" if site.setting == "indoor" else "outdoors"
    if site.access_from or site.access_until:
        since = f" from {words.clock(site.access_from)}" if site.access_from else ""
        until = f" until {words.clock(site.access_until)}" if site.access_until else ""
        yield f"the place is open{since}{until}"
    conditions = words.conditions(site)
    if conditions:
        yield conditions


def _build(index: int, piece: Piece, counted: PieceEstimate, estimate: Estimate) -> Build:
    garland = words.feet(counted.garland_length_m)
    each = " on each" if counted.count > 1 else ""
    return Build(
        title=words.piece(piece),
        garland=f"{garland} of garland{each}, {words.feet(counted.line_length_m)} of line",
        clusters=tuple(map(_cluster, counted.cluster_types)) or tuple(_plain(counted)),
        balloons=tuple(
            Balloons(
                size=f"{line.size_class} in",
                colour=line.colour,
                count=line.count,
                spares=line.spares,
            )
            for line in counted.balloons
        ),
        fitted=tuple(items_of(each for each in estimate.fittings if each.piece == index)),
    )


def _cluster(kind: ClusterType) -> str:
    """ "7 quads of 2 cream 10 in, 1 gold 10 in and 1 sage 10 in"."""
    parts = (f"{count} {colour} {size} in" for size, colour, count in kind.balloons)
    return f"{_named(kind.kind, kind.count)} of {words.listed(parts)}"


def _plain(counted: PieceEstimate) -> Iterator[str]:
    """The clusters of an estimate from before colours were laid out."""
    for kind, count in counted.clusters.items():
        yield _named(kind, count)


def _named(kind: str, count: int) -> str:
    one, many = _CLUSTERS.get(kind, (kind.replace("_", " "),) * 2)
    return f"{count} {one if count == 1 else many}"


def _floats(brief: Brief, estimate: Estimate) -> Iterator[str]:
    if not estimate.helium.needed:
        return
    for wanted, line in zip(brief.floating, estimate.helium.balloons, strict=True):
        weight = words.pounds(line.weight_kg)
        yield f"{words.floating(wanted)}, at least {weight} of weight on each"
    for cylinder in estimate.helium.cylinders:
        yield f"helium out of {cylinder.count} × {cylinder.label}"


def _sizing(expansion: Expansion) -> Iterator[str]:
    for line in expansion.sized:
        box = words.inches(line.in_workshop_m)
        yield f"{words.balloon_size(line.size_class)}: set the sizing box to {box}"


def _load(estimate: Estimate) -> Iterator[Item]:
    """What goes into the car: the bags, then everything that is fitted, then the spares."""
    counts: dict[tuple[str, str], int] = {}
    for each in estimate.fittings:
        counts[each.label, each.unit] = counts.get((each.label, each.unit), 0) + each.count
    load = estimate.load
    bags = "bag" if load.bags == 1 else "bags"
    cars = "one car load" if load.car_loads == 1 else f"{load.car_loads} car loads"
    yield Item(text=f"{load.bags} {bags} of balloons, {cars}")
    for (label, unit), count in counts.items():
        yield Item(text=how_many(label, unit, count))
    spares = sum(line.spares for piece in estimate.pieces for line in piece.balloons)
    if spares:
        yield Item(text=f"{spares} spare balloons")


def _cautions(estimate: Estimate) -> Iterator[str]:
    if estimate.wind:
        watch, act = (
            words.mph(speed) for speed in (estimate.wind.watch_at_m_s, estimate.wind.act_at_m_s)
        )
        yield f"Watch the wind from gusts of {watch}; take everything down at {act}."
        yield estimate.wind.caution
    yield from (caution.text for caution in estimate.cautions)


def _contact(hold: Hold, zone: ZoneInfo, today: date) -> Contact | None:
    if today not in _days_of(hold, zone):
        return None
    name = (hold.client.name or "").split()
    return Contact(first_name=name[0] if name else None, phone=hold.client.phone)


def _days_of(hold: Hold, zone: ZoneInfo) -> Sequence[date]:
    """The days on which the job keeps somebody busy at the place."""
    return days(hold.stay.leaves_at, hold.stay.returns_at, zone)
