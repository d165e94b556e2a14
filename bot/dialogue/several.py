"""Two events in one message: they are taken one at a time."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from bot.dialogue.reading import Reader
from bot.understanding import Slots

# Reading takes milliseconds: no more places to part a message are tried than these.
_MOST_PARTINGS = 8
_PARTING = re.compile(
    r"[.;!?\n]+\s*|,?\s+(?:and then|and also|and|plus|y luego|y tambien|y también|además|y)\s+"
)


# "Hi! We need balloons for two events:" announces events, and is none.
_OPENING = re.compile(r"[^:.!?\n]{0,80}[:.!?\n]+\s*")
_MOST_OPENINGS = 3


@dataclass(frozen=True, kw_only=True)
class Events:
    """The first event's slots and words, and the words that are left for the other."""

    first: Slots
    words: str
    rest: str


def told_apart(text: str, reader: Reader) -> Events | None:
    """The events of `text`; None where it cannot be seen where one ends."""
    best, most = None, 0
    for words, rest in _partings(_without_opening(text, reader)):
        first, other = reader.plain(words), reader.plain(rest)
        told = _told_of_event(other)
        # In "blue and white, and a retirement on July 3" the second "and" parts as much as the
        # first, and leaves each event its own.
        if _told_of_event(first) and told >= max(most, 1) and not first.several_events:
            best, most = Events(first=first, words=words, rest=rest), told
    return best


def on_two_days(text: str, slots: Slots, reader: Reader) -> bool:
    """Whether `text` has two pieces, each with a day of its own."""
    if len(slots.structures) < 2 or "event_date" not in slots.ambiguous:
        return False
    events = told_apart(text, reader)
    if events is None:
        return False
    both = (events.first, reader.plain(events.rest))
    days = {one.event_date for one in both if one.event_date and one.structures}
    return len(days) == len(both)


def _without_opening(text: str, reader: Reader) -> str:
    for _ in range(_MOST_OPENINGS):
        opening = _OPENING.match(text)
        if opening is None:
            break
        told = reader.plain(opening[0])
        if _told_of_event(told) or told.structures:
            break
        text = text[opening.end() :]
    return text


def _partings(text: str) -> Iterator[tuple[str, str]]:
    for count, match in enumerate(_PARTING.finditer(text)):
        if count == _MOST_PARTINGS:
            return
        yield text[: match.start()].strip(), text[match.end() :].strip()


def _told_of_event(slots: Slots) -> int:
    """How much is said that makes an event: its occasion, its day."""
    return (slots.occasion is not None) + ((slots.event_date or slots.event_month) is not None)
