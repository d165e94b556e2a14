"""From a message to its slots: each reader in turn takes the words it is surest of.

The order is the grammar: money before sizes, because "$300" is no length; foils before dates,
because "number 5" is no day; dates and times before sizes and counts, because "june 6" is no count
and "3-6pm" no size; places before colours, because "Rose Hall" is no colour.
"""

import re
from dataclasses import dataclass, replace
from datetime import date

from bot.understanding import safety
from bot.understanding.addresses import address_in
from bot.understanding.binding import of_pieces
from bot.understanding.colours import palette_in
from bot.understanding.dates import Calendar, When, when_in
from bot.understanding.extras import extras_in, sign_spans
from bot.understanding.foils import foils_in
from bot.understanding.guests import guests_in
from bot.understanding.intent import Content, intent_of
from bot.understanding.language import language_of
from bot.understanding.lexicon import FULLNESS
from bot.understanding.looks import looks_in
from bot.understanding.measures import FOOT_M, sizes_in
from bot.understanding.money import Budget, budget_in
from bot.understanding.occasions import occasion_in, several_events
from bot.understanding.passage import Passage, Phrases, Span
from bot.understanding.pieces import Pieces, pieces_in
from bot.understanding.places import Place, place_in
from bot.understanding.postal import postal_code_in
from bot.understanding.retractions import taken_back
from bot.understanding.setting import setting_in
from bot.understanding.slots import Slots, Structure
from bot.understanding.times import Hours, hours_in
from bot.understanding.wishes import floating_in, likened_in

US = "en-US"
# Countries whose people write the month first; everyone else writes the day first.
_MONTH_FIRST = frozenset({"US", "PH", "FM", "MH", "PW"})
_FEET = frozenset({"US", "LR", "MM"})
_NAME = re.compile(
    r"\b(?:my name is|name's|name is|me llamo|mi nombre es|this is|i'm|i am|im|soy|"
    r"de parte de)\s(?P<name>[^\W\d_]+(?:\s[^\W\d_]+)?)"
)
_FULLNESS: Phrases[str] = Phrases(FULLNESS)


@dataclass(frozen=True, slots=True)
class _Read:
    """Everything the readers said, before it is settled what the message is."""

    hazards: tuple[str, ...]
    orders: tuple[Span, ...]
    when: When
    hours: Hours
    pieces: Pieces
    budget: Budget
    place: Place
    slots: Slots


# What is longer than any channel's messages is no order, and takes long to look through.
_LONGEST = 4096


def read(
    text: str,
    *,
    reference_date: date,
    locale: str | None = US,
    known: Slots | None = None,
) -> Slots:
    """What one message says.

    Args:
        text: the client's message, any string at all; of a longer one the first 4,096 characters.
        reference_date: today where the client is; dates are read against it.
        locale: BCP 47 tag of the client; decides the order of numeric dates and the unit of bare
            figures. None takes it from the language of the message, day first for Spanish.
        known: what the conversation has settled so far; "the 13th" then stays in the known
            event's month, and "make it 8 ft" speaks of the piece named last (with the new measures
            only).
    """
    passage = Passage.of(text[:_LONGEST])
    lang = language_of(passage, locale)
    unnamed = known.structures[-1] if known and known.structures else None
    calendar = calendar_for(reference_date, locale, lang, known)
    found = _read(passage, lang, calendar, locale or US, unnamed)
    return _settled(passage, found, unnamed)


def calendar_for(
    reference: date, locale: str | None, lang: str | None, known: Slots | None
) -> Calendar:
    place = locale or ("es" if lang == "es" else US)
    country = place.upper().replace("_", "-").split("-")[-1]
    english = place[:2].lower() == "en"
    month_first = english and (country in _MONTH_FIRST or country == "EN")
    day = (known.event_date or known.event_month) if known else None
    return Calendar(reference, not month_first, place, day)


def unit_m(passage: Passage, locale: str | None, lang: str | None) -> float:
    """Metres per unit for a figure without one."""
    metric_first = re.search(r"\bmetros?\b|\d\s?m\b|\bcm\b", passage.folded) is not None
    if lang == "es" and (metric_first or (locale or "es").upper().split("-")[-1] not in _FEET):
        return 1.0
    country = (locale or US).upper().split("-")[-1]
    return FOOT_M if country in _FEET or country == "EN" or not metric_first else 1.0


def _read(
    passage: Passage,
    lang: str | None,
    calendar: Calendar,
    locale: str,
    unnamed: Structure | None,
) -> _Read:
    orders = safety.orders_in(passage)
    kept = passage.without(orders).without(taken_back(passage))
    address = address_in(kept)
    budget = budget_in(kept.without(address))
    rest = kept.without((*address, *budget.spans)).without(sign_spans(kept))
    foils, foil_spans = foils_in(rest)
    rest = rest.without(foil_spans)
    when = when_in(rest, calendar)
    rest = rest.without(when.spans)
    postal_code, postal_spans = postal_code_in(rest, locale)
    rest = rest.without(postal_spans)
    hours = hours_in(rest)
    rest = rest.without(hours.spans)
    guests, spans = guests_in(rest)
    rest = rest.without(spans)
    sizes = sizes_in(rest, unit_m(passage, locale, lang))
    of_these = of_pieces(sizes, rest.folded)
    rest = rest.without((size.start, size.end) for size in sizes)
    place = place_in(rest, postal_spans[0][0] if postal_spans else None, address)
    pieces = pieces_in(rest.without(place.spans), of_these, unnamed, looks_in(kept))
    setting, unsure_setting = setting_in(kept)
    extras = extras_in(kept.without(foil_spans))
    apart = (*foil_spans, *hours.spans, *place.spans, *extras.spans, *_names(kept))
    palette = palette_in(kept.without(apart), lang)
    slots = Slots(
        lang=lang,
        occasion=occasion_in(kept.without(place.spans), lang),
        event_date=when.day,
        event_month=when.month,
        start_time=hours.start,
        end_time=hours.end,
        structures=pieces.structures,
        colours=palette.wanted,
        setting=setting,
        postal_code=postal_code,
        place=place.name,
        budget_min=budget.least,
        budget_max=budget.most,
        foils=foils,
        guests=guests,
        fullness=_fullness(rest),
        extras=extras.found,
        floating=floating_in(kept),
        several_events=several_events(kept, lang, days=when.several),
        unwanted=palette.unwanted + _replaced(passage, palette.wanted, lang),
        likened=likened_in(kept),
        ambiguous=_ambiguous(when, hours, pieces, unsure_setting),
    )
    return _Read(safety.hazards_in(passage), orders, when, hours, pieces, budget, place, slots)


def _replaced(passage: Passage, wanted: tuple[str, ...], lang: str | None) -> tuple[str, ...]:
    """The colours of "instead of pink" and "swap the gold for silver"."""
    spans = (passage.folded[start:end] for start, end in taken_back(passage))
    palettes = (palette_in(Passage.of(span), lang) for span in spans)
    names = (name for palette in palettes for name in (*palette.wanted, *palette.unwanted))
    return tuple(dict.fromkeys(name for name in names if name not in wanted))


def _names(passage: Passage) -> tuple[Span, ...]:
    """The client's own name: "my name is Rose Green" is no palette."""
    return tuple(
        found.span("name")
        for found in _NAME.finditer(passage.folded)
        if passage.original[found.start("name")].isupper()
    )


def _fullness(passage: Passage) -> str | None:
    hits = _FULLNESS.find(passage.words())
    return hits[0].value if hits else None


def _ambiguous(when: When, hours: Hours, pieces: Pieces, unsure_setting: bool) -> tuple[str, ...]:
    said = {
        "event_date": when.ambiguous,
        "start_time": hours.ambiguous,
        "structures": pieces.ambiguous,
        "setting": unsure_setting,
    }
    return tuple(name for name, unsure in said.items() if unsure)


def _settled(passage: Passage, found: _Read, unnamed: Structure | None) -> Slots:
    """Decides what the message is, and keeps what such a message may say."""
    slots = found.slots
    elsewhere = not found.hazards and safety.is_elsewhere(passage.without(found.orders))
    content = Content(
        unsafe=bool(found.hazards),
        orders=bool(found.orders),
        elsewhere=elsewhere,
        named_piece=bool(slots.structures),
        particular_piece=any(found.pieces.spoken),
        measured=any(piece.measured for piece in slots.structures),
        event=_tells_of_event(slots, found),
        only_when=_only_when(slots, found),
        brief=bool(slots.budget_max or slots.budget_min or slots.foils),
        told=_told(slots),
    )
    intent = intent_of(passage, content)
    slots = replace(slots, intent=intent)
    for flag, raised in (
        *((hazard, True) for hazard in found.hazards),
        ("past_date", found.when.past and intent != "complaint"),
        ("implausible_size", found.pieces.implausible),
        ("out_of_scope", elsewhere or bool(found.orders)),
    ):
        slots = slots.with_flag(flag) if raised else slots
    return _fitting(slots, found, unnamed)


def _told(slots: Slots) -> int:
    """How many slots of a brief the message fills, besides the pieces."""
    return sum(
        (
            bool(slots.occasion),
            slots.event_date is not None,
            slots.start_time is not None,
            bool(slots.colours),
            bool(slots.foils),
            slots.guests is not None,
            slots.budget_max is not None or slots.budget_min is not None,
            slots.place is not None or slots.postal_code is not None,
        )
    )


def _only_when(slots: Slots, found: _Read) -> bool:
    dated = slots.event_date or slots.start_time or found.when.ambiguous
    told = (slots.occasion, slots.structures, slots.colours, slots.foils, slots.guests)
    return bool(dated) and not any(told) and slots.budget_max is None


def _tells_of_event(slots: Slots, found: _Read) -> bool:
    told = (slots.occasion, slots.event_date, slots.start_time, slots.colours, slots.guests)
    return any(told) or found.when.ambiguous


def _fitting(slots: Slots, found: _Read, unnamed: Structure | None) -> Slots:
    """A complaint or an end asks for nothing to be built; a question names things in general."""
    if slots.intent == "complaint":
        day = None if found.when.past else slots.event_date
        slots = replace(slots, event_date=day, start_time=None, end_time=None)
    if slots.intent in ("complaint", "cancel"):
        return replace(slots, structures=(), colours=(), foils=(), extras=(), floating=None)
    if slots.intent == "change" and unnamed is None and not found.pieces.spans:
        return replace(slots, structures=())  # "make it 8 ft": of what, only the conversation knows
    if slots.intent == "question":
        return _asked_about(slots, found)
    return slots


def _asked_about(slots: Slots, found: _Read) -> Slots:
    """A question about an event keeps the pieces it names; one about the work in general ("is a
    7 ft arch enough for 6 people?") orders nothing and invites nobody."""
    if not (slots.occasion or slots.event_date or slots.colours):
        return replace(slots, structures=(), guests=None, extras=(), floating=None)
    pieces = zip(slots.structures, found.pieces.spoken, strict=True)
    return replace(slots, structures=tuple(piece for piece, spoken in pieces if spoken))
