"""How a run sheet is said, on a page and on paper."""

from collections.abc import Iterator
from datetime import date, datetime

from service.leads import words
from service.workshop.run_sheet.values import DayCaution, Person, RunSheet, Step, Stop

ASK = "not known: ask"
ON_THE_DAY = "told on the day"


def clock(moment: datetime, day: date) -> str:
    """ "3:00 PM"; with its weekday where it is not on the sheet's own day."""
    at = words.clock(moment.time())
    return at if moment.date() == day else f"{words.ENGLISH.weekday(moment)} {at}"


def until(step: Step, day: date) -> str:
    """ "to 3:00 PM"; empty for what takes no time."""
    return f"to {clock(step.ends_at, day)}" if step.ends_at > step.starts_at else ""


def whose(step: Step) -> str:
    """The jobs that a step is for, and the crew where there are several."""
    crew = (f"crew {step.crew}",) if step.crew else ()
    return ", ".join((*step.numbers, *crew))


def where(step: Step, sheet: RunSheet) -> str:
    """The places that a step is for, on a day that has several."""
    if len(sheet.stops) < 2:
        return ""
    places = {stop.number: stop.place.title for stop in sheet.stops}
    return "; ".join(places[number] for number in step.numbers if number in places)


def about(caution: DayCaution, sheet: RunSheet) -> str:
    """A caution, with its jobs where it is not about all of them."""
    everywhere = len(caution.numbers) == len(sheet.stops)
    return caution.text if everywhere else f"{', '.join(caution.numbers)}: {caution.text}"


def title(stop: Stop) -> str:
    """ "G1002: boathouse lawn, 02472"."""
    return f"{stop.number}: {stop.place.title}"


def does(stop: Stop) -> str:
    """ "set up, take down", and whether it may still fall through."""
    return ", ".join((*stop.does, *(() if stop.booked else ("not certain yet",))))


def person(who: Person | None) -> str:
    """ "Nora, +1 617 555 0100", as far as it is known and may be told."""
    if who is None:
        return ON_THE_DAY
    return ", ".join(filter(None, (who.name, who.phone))) or ASK


def due(stop: Stop) -> str:
    """What is still to be paid; empty where nothing is, or nobody is to know."""
    return words.money(stop.due, stop.currency) if stop.due else ""


def facts(stop: Stop) -> Iterator[tuple[str, str]]:
    """Everything of a job that is not told by the clock, under its labels."""
    place, sets_up = stop.place, "set up" in stop.does
    yield "What", stop.what
    yield "Promised", "; ".join(stop.promised)
    yield "Where", place.address or place.title
    yield "Parking", place.parking or ASK
    yield "The way in", place.access or (ON_THE_DAY if stop.client is None else ASK)
    yield "Ask for there", person(stop.at_place)
    yield "Client", person(stop.client)
    told = {
        "Still due": due(stop),
        "The place": "; ".join(place.more),
        "Notes": place.notes,
        "To load": stop.load if sets_up else "",
        "Made": "\n".join(stop.made) if sets_up else "",
        "Mind": "\n".join(stop.mind),
        "Bad weather": stop.weather or "",
        "Ask about": ", ".join(stop.unknown),
    }
    yield from ((label, text) for label, text in told.items() if text)
