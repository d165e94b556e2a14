"""The build sheet of a whole job."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import Brief, Estimate, Event, PriceBook, Task
from service.leads import words
from service.leads.shop_time import zone_of
from service.workshop.bench_time import kept_for, shared_out
from service.workshop.build_sheet.bags import bags_of
from service.workshop.build_sheet.naming import short_place
from service.workshop.build_sheet.pieces import piece_sheets
from service.workshop.build_sheet.values import BuildSheet, PieceSheet, Total
from service.workshop.fitted import how_many
from service.workshop.floats import with_spares

_BENCH = {
    Task.SIZING_AND_INFLATING: "Size and inflate",
    Task.TYING: "Tie balloons",
    Task.CLUSTERING: "Tie clusters",
    Task.LINE_BUILD: "Build on the line",
    Task.FOILS: "Foils",
    Task.ACCENTS: "Accents",
}

_AT_THE_BENCH = frozenset({"choking_hazard", "latex_allergy", "helium", "hot_cars"})
"""Cautions that whoever inflates has to mind; the others are for the site."""


def build_sheet(
    brief: Brief,
    estimate: Estimate,
    book: PriceBook,
    *,
    number: str,
    latest: Brief | None = None,
    leaves_at: datetime | None = None,
) -> BuildSheet:
    """What to make for a quote's brief, by its own estimate and price book.

    `latest` is what is known of the event and its place by now, where that is more; `leaves_at`
    when the crew drives off.
    """
    known = latest or brief
    zone = zone_of(book)
    begins_at = _begins_at(known.event, zone)
    pieces = tuple(piece_sheets(brief, estimate, book))
    return BuildSheet(
        number=number,
        place=short_place(known.site.place),
        day=known.event.date,
        begins_at=begins_at,
        leaves_at=leaves_at.astimezone(zone) if leaves_at else None,
        inflate_from=_before(begins_at, estimate.plan.ahead_h) if begins_at else None,
        fresh_h=estimate.plan.ahead_h,
        crew=estimate.plan.crew,
        making=tuple(_making(estimate)),
        pieces=pieces,
        totals=_pooled(pieces),
        bags=bags_of(brief, estimate, book),
        floats=tuple(_floats(brief, estimate)),
        extras=tuple(_extras(estimate)),
        cautions=tuple(each.text for each in estimate.cautions if each.code in _AT_THE_BENCH),
    )


def _begins_at(event: Event, zone: ZoneInfo) -> datetime | None:
    if event.date is None or event.start_time is None:
        return None
    return datetime.combine(event.date, event.start_time.replace(tzinfo=zone))


def _before(moment: datetime, hours: float) -> datetime:
    # Hours of a balloon's life pass by while the clocks are changed, too.
    earlier = moment.astimezone(UTC) - timedelta(hours=hours)
    return earlier.astimezone(moment.tzinfo)


def _making(estimate: Estimate) -> Iterator[tuple[str, float]]:
    for task, since, until in shared_out(estimate, kept_for(estimate)):
        yield _BENCH[task], (until - since) / timedelta(hours=1)


def _pooled(pieces: Sequence[PieceSheet]) -> tuple[Total, ...]:
    """All pieces together; what is sized differently stays apart."""
    counts: Counter[tuple[int, float, str]] = Counter()
    spares: Counter[tuple[int, float, str]] = Counter()
    for line in (line for piece in pieces for line in piece.balloons):
        key = line.size_class, line.box_m, line.colour
        counts[key] += line.count
        spares[key] += line.spares
    return tuple(
        Total(size_class=key[0], box_m=key[1], colour=key[2], count=count, spares=spares[key])
        for key, count in sorted(counts.items())
    )


def _floats(brief: Brief, estimate: Estimate) -> Iterator[str]:
    if not estimate.helium.needed:
        return
    for wanted, line in zip(brief.floating, estimate.helium.balloons, strict=True):
        weight = words.pounds(line.weight_kg)
        kind = line.label.removesuffix(" for helium")
        treated = ", treated" if wanted.treated else ""
        said = f"{line.count} × {kind}{treated}: {with_spares(line)}"
        yield f"{said}; at least {weight} of weight on each"
    for cylinder in estimate.helium.cylinders:
        yield f"helium: {cylinder.count} × {cylinder.label}"


def _extras(estimate: Estimate) -> Iterator[str]:
    """What is used up on the job as a whole, such as tape."""
    for each in estimate.fittings:
        if each.piece is None and each.code == "consumables":
            yield how_many(each.label, each.unit, each.count)
