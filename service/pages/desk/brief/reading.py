"""From the desk's form to a brief and its client, with every fault beside its field."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from service.estimating import (
    Brief,
    BriefError,
    Budget,
    ColourShare,
    Event,
    Floating,
    FloatKind,
    Ground,
    PriceBook,
    Setting,
    Site,
)
from service.leads.lead import Client, Lead
from service.leads.words import ENGLISH
from service.pages.desk.brief.pieces import read_pieces
from service.pages.desk.brief.shown import M_S_PER_MPH, METRES_PER_FOOT, fields_of
from service.pages.desk.brief.typed import Typed
from service.pages.form import looks
from service.pages.form.days import day_of_event
from service.pages.posted import Posted, Refusals, read_amount
from service.pages.reaching import LONGEST_NAME, international, is_email

_LONGEST_COLOUR = 40
_LONGEST_OCCASION = 60
_LONGEST_PLACE = 200
_LONGEST_POSTAL_CODE = 16
_LONGEST_NOTES = 4000
_MOST_COLOURS = 12
_MOST_FLOATING = 500
_MOST_GUESTS = 100_000
_LARGEST_BUDGET = Decimal(1_000_000)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """What the form says; `brief` is None as long as there are `faults`, which go by field."""

    brief: Brief | None
    client: Client
    faults: dict[str, str]


def read_brief(sent: Posted, lead: Lead, book: PriceBook, *, today: date) -> Reading:
    """The changed brief of a lead, or every fault at once."""
    typed = Typed(sent, fields_of(lead), Refusals(ENGLISH))
    before = lead.brief
    parts: dict[str, Any] = {
        "pieces": read_pieces(typed, before.pieces),
        "palette": _palette(typed, before.palette),
        "foils": before.foils if typed.same("foils") else looks.foils(sent, book, typed.refusals),
        "floating": _floating(typed, before.floating),
        "event": _event(typed, before.event, today),
        "site": _site(typed, before.site),
        "budget": _budget(typed, before.budget),
        "client_keeps": {"yes": True, "no": False}.get(sent.text("keeps")),
        "notes": typed.text("notes", _LONGEST_NOTES, before.notes),
    }
    client = _client(typed, lead.client, book)
    brief = None if typed.refusals.faults else _made(typed, parts)
    faults: dict[str, str] = {}
    for fault in typed.refusals.faults:
        faults.setdefault(fault.field, fault.text)
    return Reading(brief=brief, client=client, faults=faults)


def _made(typed: Typed, parts: dict[str, Any]) -> Brief | None:
    try:
        return Brief(**parts)
    except BriefError as error:
        for problem in error.problems:
            field = {"pieces": "p1-support", "palette": "c1-colour"}.get(problem.field, "f1-kind")
            typed.refuse(field, f"{problem.detail[:1].upper()}{problem.detail[1:]}.")
        return None


def _palette(typed: Typed, before: tuple[ColourShare, ...]) -> tuple[ColourShare, ...]:
    found = []
    for number in typed.counted("c{n}-colour"):
        was = before[number - 1] if 1 <= number <= len(before) else None
        name = typed.text(f"c{number}-colour", _LONGEST_COLOUR, was.colour if was else None) or ""
        share = typed.number(
            f"c{number}-share", was.share if was else None, 1, 100, lambda percent: percent / 100
        )
        found.append(ColourShare(colour=name, share=share))
    if len(found) > _MOST_COLOURS:
        typed.refuse("c1-colour", f"Up to {_MOST_COLOURS} colors, please.")
    return tuple(found)


def _floating(typed: Typed, before: tuple[Floating, ...]) -> tuple[Floating, ...]:
    found = []
    for number in typed.counted("f{n}-kind"):
        at = f"f{number}-"
        was = before[number - 1] if 1 <= number <= len(before) else None
        kind = typed.one_of(f"{at}kind", FloatKind, was.kind if was else None)
        size = typed.whole(f"{at}size", was.size_class if was else None, 1, 36)
        count = typed.whole(f"{at}count", was.count if was else None, 1, _MOST_FLOATING)
        if kind is None:
            typed.refuse(f"{at}kind", "Choose one from the list.")
            continue
        usual = 18 if kind.foil else 11
        try:
            found.append(
                Floating(
                    kind=kind,
                    size_class=size or usual,
                    count=count or 1,
                    treated=bool(typed.sent.text(f"{at}treated")),
                )
            )
        except BriefError as error:
            for problem in error.problems:
                typed.refuse(f"{at}size", f"{problem.detail[:1].upper()}{problem.detail[1:]}.")
    return tuple(found)


def _event(typed: Typed, before: Event, today: date) -> Event:
    sent = typed.sent
    day = before.date if typed.same("date") else day_of_event(sent, typed.refusals, today)
    return Event(
        occasion=typed.text("occasion", _LONGEST_OCCASION, before.occasion),
        date=day,
        start_time=typed.clock("time", before.start_time),
        end_time=typed.clock("end", before.end_time),
        guests=typed.whole("guests", before.guests, 0, _MOST_GUESTS),
    )


def _site(typed: Typed, before: Site) -> Site:
    said: dict[str, Any] = {
        "setting": typed.one_of("setting", Setting, before.setting),
        "place": typed.text("place", _LONGEST_PLACE, before.place),
        "postal_code": typed.text("postal_code", _LONGEST_POSTAL_CODE, before.postal_code),
        "access_from": typed.clock("access_from", before.access_from),
        "access_until": typed.clock("access_until", before.access_until),
        "elevation_m": typed.number(
            "elevation", before.elevation_m, -1400, 16_000, lambda feet: feet * METRES_PER_FOOT
        ),
        "temperature_c": typed.number(
            "temperature", before.temperature_c, -20, 130, lambda degrees: (degrees - 32) * 5 / 9
        ),
        "gust_m_s": typed.number("gust", before.gust_m_s, 0, 130, lambda mph: mph * M_S_PER_MPH),
        "beaufort": typed.whole("beaufort", before.beaufort, 0, 12),
        "ground": typed.one_of("ground", Ground, before.ground),
    }
    if not typed.same("place", "postal_code"):
        # Where that lies has to be found afresh.
        said |= {"latitude": None, "longitude": None}
    try:
        return replace(before, **said)
    except BriefError as error:
        for problem in error.problems:
            typed.refuse(problem.field, f"{problem.detail[:1].upper()}{problem.detail[1:]}.")
        return before


def _budget(typed: Typed, before: Budget | None) -> Budget | None:
    if typed.same("budget_min", "budget_max"):
        return before
    found: dict[str, Decimal | None] = {}
    for name in ("min", "max"):
        text = typed.sent.text(f"budget_{name}")
        amount = read_amount(text) if text else None
        found[name] = amount
        if text and (amount is None or amount > _LARGEST_BUDGET):
            typed.refuse(f"budget_{name}", "Write it like 450 or 1,450, or leave it empty.")
    if found["min"] is None and found["max"] is None:
        return None
    try:
        return Budget(**found)
    except BriefError:
        typed.refuse("budget_min", "The lower figure is above the upper one; swap them.")
        return None


def _client(typed: Typed, before: Client, book: PriceBook) -> Client:
    email, number = typed.sent.text("email"), typed.sent.text("phone")
    if email and not typed.same("email") and not is_email(email):
        typed.refuse("email", "That doesn't look like an email address.")
    phone = before.phone
    if not typed.same("phone"):
        phone = international(number, book.shop) if number else None
        if number and phone is None:
            typed.refuse("phone", "That phone number doesn't work. Give it with its area code.")
    name = typed.text("name", LONGEST_NAME, before.name)
    return Client(name=name, email=email or None, phone=phone)
