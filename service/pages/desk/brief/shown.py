"""A brief as the fields of the desk's form: feet and inches, percent, degrees Fahrenheit, mph."""

from collections.abc import Callable, Iterator, Mapping
from datetime import time
from decimal import Decimal

from service.estimating import Brief, Budget, Event, Floating, Piece, Site
from service.leads.lead import Client, Lead
from service.pages.form.supports import METRES_PER_INCH

MEASURES = ("width", "height", "length", "sag", "rise", "run", "drop")
"""What is asked in feet and inches."""

METRES_PER_FOOT = 0.3048
M_S_PER_MPH = 0.44704


def fields_of(lead: Lead) -> Mapping[str, str]:
    """Every field of the form by its name; a field that is not there is empty."""
    return {
        name: value
        for name, value in (*_of_brief(lead.brief), *_of_client(lead.client))
        if value != ""
    }


def _of_brief(brief: Brief) -> Iterator[tuple[str, str]]:
    for number, piece in enumerate(brief.pieces, 1):
        yield from _of_piece(f"p{number}-", piece)
    for number, colour in enumerate(brief.palette, 1):
        yield f"c{number}-colour", colour.colour
        yield f"c{number}-share", _percent(colour.share)
    for number, floating in enumerate(brief.floating, 1):
        yield from _of_floating(f"f{number}-", floating)
    yield "foils", ", ".join(brief.foils)
    yield from _of_event(brief.event)
    yield from _of_site(brief.site)
    yield from _of_budget(brief.budget)
    yield "keeps", {None: "", True: "yes", False: "no"}[brief.client_keeps]
    yield "notes", brief.notes or ""


def _of_piece(at: str, piece: Piece) -> Iterator[tuple[str, str]]:
    yield f"{at}support", piece.support.value
    yield f"{at}count", str(piece.count)
    yield f"{at}fullness", piece.fullness.value
    yield f"{at}placement", piece.placement.value
    yield f"{at}coverage", _percent(piece.coverage)
    yield f"{at}pattern", piece.pattern.value
    yield f"{at}build", piece.build.value if piece.build else ""
    yield f"{at}size_class", str(piece.size_class or "")
    yield f"{at}sized", "" if piece.sized_m is None else _plain(piece.sized_m / METRES_PER_INCH)
    yield f"{at}shape", piece.shape.value if piece.shape else ""
    yield f"{at}steps", str(piece.steps or "")
    yield f"{at}assumed", "1" if piece.measures_assumed else ""
    for name in MEASURES:
        yield from _of_measure(at + name, getattr(piece, f"{name}_m"))
    for number, accent in enumerate(piece.accents, 1):
        yield f"{at}a{number}-kind", accent.kind.value
        yield f"{at}a{number}-count", str(accent.count or "")
        yield f"{at}a{number}-words", accent.words or ""


def _of_measure(at: str, metres: float | None) -> Iterator[tuple[str, str]]:
    if metres is not None:
        feet, inches = divmod(round(metres / METRES_PER_INCH, 1), 12)
        yield f"{at}-ft", str(int(feet))
        yield f"{at}-in", _plain(inches)


def _of_floating(at: str, floating: Floating) -> Iterator[tuple[str, str]]:
    yield f"{at}kind", floating.kind.value
    yield f"{at}size", str(floating.size_class)
    yield f"{at}count", str(floating.count)
    yield f"{at}treated", "1" if floating.treated else ""


def _of_event(event: Event) -> Iterator[tuple[str, str]]:
    yield "occasion", event.occasion or ""
    yield "date", event.date.isoformat() if event.date else ""
    yield "time", _clock(event.start_time)
    yield "end", _clock(event.end_time)
    yield "guests", "" if event.guests is None else str(event.guests)


def _of_site(site: Site) -> Iterator[tuple[str, str]]:
    yield "setting", site.setting.value if site.setting else ""
    yield "place", site.place or ""
    yield "postal_code", site.postal_code or ""
    yield "access_from", _clock(site.access_from)
    yield "access_until", _clock(site.access_until)
    yield "elevation", _of(site.elevation_m, lambda metres: metres / METRES_PER_FOOT)
    yield "temperature", _of(site.temperature_c, lambda celsius: celsius * 9 / 5 + 32)
    yield "gust", _of(site.gust_m_s, lambda speed: speed / M_S_PER_MPH)
    yield "beaufort", "" if site.beaufort is None else str(site.beaufort)
    yield "ground", site.ground.value if site.ground else ""


def _of_budget(budget: Budget | None) -> Iterator[tuple[str, str]]:
    if budget is not None:
        yield "budget_min", _amount(budget.min)
        yield "budget_max", _amount(budget.max)


def _of_client(client: Client) -> Iterator[tuple[str, str]]:
    yield "name", client.name or ""
    yield "email", client.email or ""
    yield "phone", client.phone or ""


def _percent(share: float | None) -> str:
    return "" if share is None else _plain(share * 100)


def _of(value: float | None, turned: Callable[[float], float]) -> str:
    return "" if value is None else _plain(turned(value))


def _plain(value: float) -> str:
    """To a tenth, and without a tenth where there is none."""
    return f"{round(value, 1):g}" if abs(value) < 1e5 else f"{value:.0f}"


def _amount(amount: Decimal | None) -> str:
    return "" if amount is None else f"{amount:f}"


def _clock(value: time | None) -> str:
    return f"{value:%H:%M}" if value else ""
