"""What one message says, as values. Nothing here is guessed: unknown is `None` or empty."""

from dataclasses import dataclass, replace
from datetime import date, time
from decimal import Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Structure:
    """One thing to build, with its measures in metres as the client gave them.

    `placement` is where along it the garland lies (`one_side`, `centred`, `corner_to_corner`,
    `asymmetric`), `coverage` the share of it that is covered, `pattern` how the colours follow
    one another (`ombre`, `blocks`, `stripe`); None where nothing was said.
    """

    kind: str
    count: int = 1
    width_m: float | None = None
    height_m: float | None = None
    length_m: float | None = None
    uncounted: bool = False  # a plural without a number: "columns"
    placement: str | None = None
    coverage: float | None = None
    pattern: str | None = None

    @property
    def measured(self) -> bool:
        return any(side is not None for side in (self.width_m, self.height_m, self.length_m))


@dataclass(frozen=True, kw_only=True, slots=True)
class Extra:
    """What dresses the pieces: `flowers`, `greenery`, `sign`, `ribbon` or `fabric_cover`.

    `words` are what a sign says, or which flowers are meant.
    """

    kind: str
    count: int | None = None
    words: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Slots:
    """Everything one message states about an event and what to build for it.

    Attributes:
        lang: ISO 639-1 code of the language seen, None where there are no words.
        intent: what the client wants of us; one of `INTENTS`.
        occasion: one of the occasions of the lexicon, None when unsaid.
        event_date: the day of the event.
        event_month: the first of its month, where the month is all that was said.
        start_time: when the event (not the set-up) begins; local time of the event.
        end_time: when it ends; earlier than the start where it runs past midnight.
        structures: what to build, in the order said.
        colours: plain lower-case English colour words, in the order said.
        setting: "indoor" or "outdoor", only where sure.
        postal_code: as written, upper case.
        place: venue and town, in the client's own words.
        budget_min: least the client wants to spend, in their currency.
        budget_max: most the client wants to spend, in their currency.
        foils: digits one by one, words in letters as one string, shapes by name.
        guests: people expected.
        flags: what needs care; see `FLAGS`.
        fullness: "airy", "full" or "lush" where the client said so.
        extras: what dresses the pieces besides balloons and foils.
        floating: how many balloons are to float on helium, 0 for some, None where none are asked.
        unwanted: colours that the client does not want ("no pink").
        likened: what a size was likened to ("a garage door"), where no measure was given.
        several_events: more than one event is asked about at once.
        ambiguous: names of slots that were said in a way that must be asked about or confirmed.
    """

    lang: str | None = None
    intent: str = "other"
    occasion: str | None = None
    event_date: date | None = None
    event_month: date | None = None
    start_time: time | None = None
    end_time: time | None = None
    structures: tuple[Structure, ...] = ()
    colours: tuple[str, ...] = ()
    setting: str | None = None
    postal_code: str | None = None
    place: str | None = None
    budget_min: Decimal | None = None
    budget_max: Decimal | None = None
    foils: tuple[str, ...] = ()
    guests: int | None = None
    flags: tuple[str, ...] = ()
    fullness: str | None = None
    extras: tuple[Extra, ...] = ()
    floating: int | None = None
    unwanted: tuple[str, ...] = ()
    likened: str | None = None
    several_events: bool = False
    ambiguous: tuple[str, ...] = ()

    def with_flag(self, flag: str) -> "Slots":
        return self if flag in self.flags else replace(self, flags=(*self.flags, flag))


INTENTS = ("quote_request", "question", "change", "cancel", "complaint", "unsafe", "other")
FLAGS = ("unsafe_release", "hydrogen", "past_date", "implausible_size", "out_of_scope")
