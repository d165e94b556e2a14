"""From the form's fields to a brief, with every fault in words that help."""

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from service.estimating import (
    Brief,
    BriefError,
    Budget,
    ColourShare,
    Event,
    Piece,
    PriceBook,
    Setting,
    Site,
)
from service.leads import words
from service.leads.lead import Client
from service.pages.form.pieces import read_pieces
from service.pages.posted import Fault, Posted, read_amount
from service.pages.reaching import read_client

OCCASIONS = {
    "birthday": "a birthday",
    "wedding": "a wedding",
    "anniversary": "an anniversary",
    "engagement": "an engagement",
    "graduation": "a graduation",
    "retirement": "a retirement",
    "grand_opening": "an opening",
    "corporate": "a company or club event",
    "religious": "a religious celebration",
    "quinceanera": "a quinceañera",
    "gender_reveal": "a gender reveal",
    "baby_shower": "a baby shower",
    "bridal_shower": "a bridal shower",
    "prom": "a prom or school dance",
    "new_year": "New Year",
    "valentines": "Valentine's Day",
    "holiday": "another holiday",
    "other": "something else",
}
TRAP = "website"

_LONGEST_NOTES = 4000
_LONGEST_PLACE = 200
_LONGEST_POSTAL_CODE = 16
_LONGEST_WORD = 40
_MOST_COLOURS = 12
_MOST_FOILS = 40
_MOST_GUESTS = 100_000
_LARGEST_BUDGET = Decimal(1_000_000)
_FARTHEST = timedelta(days=3 * 366)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """What the form says. `brief` is None as long as there are faults."""

    brief: Brief | None
    client: Client
    faults: tuple[Fault, ...]


def read_form(sent: Posted, book: PriceBook, *, today: date) -> Reading:
    """The brief and the client, or every fault at once, in the order of the page."""
    faults: list[Fault] = []
    pieces = read_pieces(sent, faults)
    palette = _palette(sent, book, faults)
    foils = _foils(sent, book, faults)
    event = _event(sent, faults, today)
    site = _site(sent, faults)
    budget = _budget(sent, faults)
    notes = _short(sent, "notes", _LONGEST_NOTES, faults)
    client, client_faults = read_client(sent, book.shop)
    faults += client_faults
    if sent.text(TRAP):
        text = "This box is there to catch machines. If you are a person, please empty it."
        faults.append(Fault(field=TRAP, text=text))
    brief = None
    if not faults:
        brief = _brief(pieces, palette, foils, event, site, budget, notes, faults)
    return Reading(brief=brief, client=client, faults=tuple(faults))


def _brief(
    pieces: tuple[Piece, ...],
    palette: tuple[ColourShare, ...],
    foils: tuple[str, ...],
    event: Event,
    site: Site,
    budget: Budget | None,
    notes: str | None,
    faults: list[Fault],
) -> Brief | None:
    try:
        return Brief(
            pieces=pieces,
            palette=palette,
            event=event,
            site=site,
            budget=budget,
            foils=foils,
            notes=notes,
        )
    except BriefError:
        # Each part is sound by now, so together they are too much.
        text = "All pieces together are more than one crew can build. Ask for less, please."
        faults.append(Fault(field="p1-count", text=text))
        return None


def _palette(sent: Posted, book: PriceBook, faults: list[Fault]) -> tuple[ColourShare, ...]:
    ticked = [name for name in sent.every("colour") if book.colour(name) is not None]
    typed = _parts(sent.text("colours"))
    names = tuple(dict.fromkeys((*ticked, *(name.lower() for name in typed))))
    if len(names) > _MOST_COLOURS:
        text = f"That is {len(names)} colors; up to {_MOST_COLOURS} work well together."
        faults.append(Fault(field="colours", text=text))
    if any(len(name) > _LONGEST_WORD for name in names):
        text = "Name each color in a word or two, with commas between them."
        faults.append(Fault(field="colours", text=text))
    if any(not re.search(r"[^\W\d_]", name) for name in names):
        text = "Please write colors in words, such as “dusty rose, cream”."
        faults.append(Fault(field="colours", text=text))
    return tuple(ColourShare(colour=name) for name in names)


def _foils(sent: Posted, book: PriceBook, faults: list[Fault]) -> tuple[str, ...]:
    found = [foil for part in _parts(sent.text("foils")) for foil in _foil(part, book)]
    if len(found) > _MOST_FOILS or any(len(foil) > _LONGEST_WORD for foil in found):
        text = "That is more foil than fits one garland. Keep it to a number or a word or two."
        faults.append(Fault(field="foils", text=text))
    return tuple(found)


def _foil(part: str, book: PriceBook) -> tuple[str, ...]:
    """Digits one by one, shapes by name, anything else as one word."""
    if re.fullmatch(r"[0-9]+", part):
        return tuple(part)
    many = re.fullmatch(r"([0-9]{1,2})\s+(.+)", part)
    number, name = (int(many[1]), many[2]) if many else (1, part)
    for shape in (name.lower(), name.lower().removesuffix("s")):
        if shape in book.fittings.foils.shape_names:
            return (shape,) * number
    return (part,)


def _event(sent: Posted, faults: list[Fault], today: date) -> Event:
    occasion = sent.text("occasion")
    return Event(
        occasion=occasion if occasion in OCCASIONS else None,
        date=_date(sent, faults, today),
        start_time=_time(sent, faults),
        guests=_guests(sent, faults),
    )


def _date(sent: Posted, faults: list[Fault], today: date) -> date | None:
    text = sent.text("date")
    if not text:
        return None
    try:
        day = read_day(text)
    except ValueError:
        example = today + timedelta(days=60)
        hint = f"Write the day as month/day/year, such as {example:%m/%d/%Y}."
        faults.append(Fault(field="date", text=hint))
        return None
    if day < today:
        said = f"{words.day(day)} has already gone by. Which day is it?"
        faults.append(Fault(field="date", text=said))
    elif day > today + _FARTHEST:
        said = f"{words.day(day)} is further ahead than we plan. Please check the year."
        faults.append(Fault(field="date", text=said))
    return day


def read_day(text: str) -> date:
    """A day as browsers send it (2027-06-06) or as people here write it (6/6/2027)."""
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return date.fromisoformat(text)
    written = re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})", text)
    if written is None:
        raise ValueError(text)
    month, day, year = (int(part) for part in written.groups())
    return date(year, month, day)


def _time(sent: Posted, faults: list[Fault]) -> time | None:
    text = sent.text("time").lower().replace(".", "")
    if not text:
        return None
    for pattern in ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M%p", "%I %p", "%I%p"):
        try:
            # Only the time of day is wanted, which has no zone of its own.
            return datetime.strptime(text, pattern).time()  # noqa: DTZ007
        except ValueError:
            continue
    faults.append(Fault(field="time", text="Write the time like 3:00 PM."))
    return None


def _guests(sent: Posted, faults: list[Fault]) -> int | None:
    text = sent.text("guests").replace(",", "")
    if not text:
        return None
    if re.fullmatch(r"[0-9]{1,9}", text) and int(text) <= _MOST_GUESTS:
        return int(text)
    text = f"Give the number of guests as a whole number up to {_MOST_GUESTS:,}."
    faults.append(Fault(field="guests", text=text))
    return None


def _site(sent: Posted, faults: list[Fault]) -> Site:
    setting = sent.text("setting")
    return Site(
        setting=Setting(setting) if setting in set(Setting) else None,
        place=_short(sent, "place", _LONGEST_PLACE, faults),
        postal_code=_short(sent, "postal_code", _LONGEST_POSTAL_CODE, faults),
    )


def _budget(sent: Posted, faults: list[Fault]) -> Budget | None:
    text = sent.text("budget")
    if not text:
        return None
    amount = read_amount(text)
    if amount is None:
        said = "Write the budget like 450 or 1,450, or leave it empty."
    elif amount > _LARGEST_BUDGET:
        said = "That is more than we could ever use. Please check the amount."
    else:
        return Budget(max=amount.quantize(Decimal("0.01")))
    faults.append(Fault(field="budget", text=said))
    return None


def _short(sent: Posted, name: str, longest: int, faults: list[Fault]) -> str | None:
    text = sent.text(name)
    if len(text) > longest:
        said = f"Please keep this to {longest:,} characters; it has {len(text):,} now."
        faults.append(Fault(field=name, text=said))
    return text or None


def _parts(text: str) -> list[str]:
    """What stands between commas, line ends and "and"."""
    parts = re.split(r"[,;\n]|\s(?:and|&)\s", text)
    return [part for part in (" ".join(part.split()) for part in parts) if part]
