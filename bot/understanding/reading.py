"""From a message to its slots: each reader in turn takes the words it is surest of.

The order is the grammar: money before sizes, because "$300" is no length; foils before dates,
because "number 5" is no day; dates and times before sizes and counts, because "june 6" is no count
and "3-6pm" no size; places before colours, because "Rose Hall" is no colour.
"""

import re
from dataclasses import dataclass, replace
from datetime import date

from bot.understanding import safety
from bot.understanding.binding import as_structure, of_pieces
from bot.understanding.colours import colours_in, palette_in
from bot.understanding.counting import COUNT_WORDS, count_of_them
from bot.understanding.dates import Calendar, When, month_alone, month_beside, when_in
from bot.understanding.extras import extras_in, sign_spans
from bot.understanding.foils import foils_in
from bot.understanding.guests import guests_in
from bot.understanding.intent import Content, intent_of
from bot.understanding.language import language_of
from bot.understanding.lexicon import FULLNESS, VENUES
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.looks import looks_in
from bot.understanding.measures import FOOT_M, sizes_in
from bot.understanding.money import Budget, budget_in
from bot.understanding.occasions import occasion_in, several_events
from bot.understanding.passage import TAKEN, Passage, Phrases, Span
from bot.understanding.pieces import Pieces, pieces_in
from bot.understanding.places import Place, address_in, place_in
from bot.understanding.postal import postal_code_in
from bot.understanding.setting import setting_in
from bot.understanding.slots import Slots, Structure
from bot.understanding.times import Hours, hours_in
from bot.understanding.wishes import floating_in, likened_in

ANSWERS = ("date", "time", "size", "count", "colours", "place", "setting", "support", "budget")

_US = "en-US"
# Countries whose people write the month first; everyone else writes the day first.
_MONTH_FIRST = frozenset({"US", "PH", "FM", "MH", "PW"})
_FEET = frozenset({"US", "LR", "MM"})
_DATE_WORD = (
    r"(?:january|february|march|april|may|june|july|august|september|october|november|december|jan|"
    r"feb|mar|apr|jun|jul|aug|sept?|oct|nov|dec|[a-z]+day|\d)"
)
_TAKEN_BACK = re.compile(
    r"\b(?:instead of|rather than|en vez de|en lugar de)\s[^,.;!?\n]{1,40}?(?=\s(?:and|plus|also|"
    r"but|y|pero|make|do|use|go|we|can|could|please|lets|to)\b|[,.;!?\n]|$)|"
    r"\b(?:switch|change|swap|replace|cambi\w+)\s(?:out\s)?(?:the\s|my\s|our\s|el\s|la\s|"
    r"los\s)?[^,.;!?\n]{1,30}?(?=\s(?:to|for|with|por|a|al)\s)|"
    r"\b(?:from|del)\s[^,.;!?\n]{1,30}?(?=\s(?:to|al?)\s[^,.;!?\n]{1,30}(?:$|[,.;!?\n]))|"
    rf"\bnot\s(?:on\s|until\s|till\s|at\s)?(?:the\s)?{_DATE_WORD}[^,.;!?\n]{{0,14}}?(?=[,.;!?\n]|"
    rf"$|\s(?:but|"
    r"its|it's|sorry|anymore|any more)\b)|"
    r"\b(?:ya\s)?no\s(?:va a ser|va ser|es|son|sera|seran|seria|era|eran|el|las?|de|"
    r"a las)\s(?:el\s|la\s|a "
    r"las\s|de\s)?\d[^,.;!?\n]{0,18}?(?=[,.;!?\n]|$|\s(?:sino|es|son|mejor)\b)|\bel \d{1,2} no\b|"
    r"\bya no (?:es|va a ser|sera|va)\s(?:en|a)\s[^,.;!?\n]{1,30}(?=[,.;!?\n]|\s(?:sino|es|"
    r"ahora)\b|$)"
)
_MOVES = re.compile(
    r"\b(?:chang\w+|mov\w+|switch\w*|push\w*|resched\w+|updat\w+|cambi\w+|muev\w+|pas(?:ar|amos|"
    r"emos|aron|alo|ala|o|a)\b|bump\w*|"
    r"postpon\w+|pospon\w+)\b"
)
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


def read(
    text: str,
    *,
    reference_date: date,
    locale: str | None = _US,
    known: Slots | None = None,
) -> Slots:
    """What one message says.

    Args:
        text: the client's message, any string at all.
        reference_date: today where the client is; dates are read against it.
        locale: BCP 47 tag of the client; decides the order of numeric dates and the unit of bare
            figures. None takes it from the language of the message, day first for Spanish.
        known: what the conversation has settled so far; "the 13th" then stays in the known
            event's month, and "make it 8 ft" speaks of the piece named last (with the new measures
            only).
    """
    passage = Passage.of(text)
    lang = language_of(passage, locale)
    unnamed = known.structures[-1] if known and known.structures else None
    calendar = _calendar(reference_date, locale, lang, known)
    found = _read(passage, lang, calendar, locale or _US, unnamed)
    return _settled(passage, found, unnamed)


def _calendar(
    reference: date, locale: str | None, lang: str | None, known: Slots | None
) -> Calendar:
    place = locale or ("es" if lang == "es" else _US)
    country = place.upper().replace("_", "-").split("-")[-1]
    english = place[:2].lower() == "en"
    month_first = english and (country in _MONTH_FIRST or country == "EN")
    day = (known.event_date or known.event_month) if known else None
    return Calendar(reference, not month_first, place, day)


def _unit_m(passage: Passage, locale: str | None, lang: str | None) -> float:
    """Metres per unit for a figure without one."""
    metric_first = re.search(r"\bmetros?\b|\d\s?m\b|\bcm\b", passage.folded) is not None
    if lang == "es" and (metric_first or (locale or "es").upper().split("-")[-1] not in _FEET):
        return 1.0
    country = (locale or _US).upper().split("-")[-1]
    return FOOT_M if country in _FEET or country == "EN" or not metric_first else 1.0


def _read(
    passage: Passage,
    lang: str | None,
    calendar: Calendar,
    locale: str,
    unnamed: Structure | None,
) -> _Read:
    orders = safety.orders_in(passage)
    kept = passage.without(orders).without(_taken_back(passage))
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
    sizes = sizes_in(rest, _unit_m(passage, locale, lang))
    of_these = of_pieces(sizes, rest.folded)
    rest = rest.without((size.start, size.end) for size in sizes)
    place = place_in(rest, postal_spans[0][0] if postal_spans else None, address)
    pieces = pieces_in(rest.without(place.spans), of_these, unnamed, looks_in(kept))
    setting, unsure_setting = setting_in(kept)
    extras = extras_in(kept.without(foil_spans))
    apart = (*foil_spans, *place.spans, *extras.spans, *_names(kept))
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


def _taken_back(passage: Passage) -> tuple[Span, ...]:
    """ "instead of pink", and in a change "from june 6" before "to june 13"."""
    moves = bool(_MOVES.search(passage.folded))
    return tuple(
        found.span()
        for found in _TAKEN_BACK.finditer(passage.folded)
        if moves or not found.group().startswith(("from ", "del "))
    )


def _replaced(passage: Passage, wanted: tuple[str, ...], lang: str | None) -> tuple[str, ...]:
    """The colours of "instead of pink" and "swap the gold for silver"."""
    spans = (passage.folded[start:end] for start, end in _taken_back(passage))
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
        ("out_of_scope", elsewhere),
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
    told = (slots.occasion, slots.structures, slots.colours, slots.guests, slots.budget_max)
    return bool(dated) and not any(told)


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


def read_answer(
    slot: str,
    text: str,
    *,
    reference_date: date,
    locale: str | None = _US,
    known: Slots | None = None,
) -> Slots:
    """What a message says, as the answer to a question about one slot.

    `slot` is one of `ANSWERS`. Everything `read` finds is kept, and where it leaves the slot asked
    about empty, bare answers are read in its light: for "size" a figure without a unit is in feet
    (metres for metric locales) and two figures are width by height, for "time" a bare figure is an
    hour, for "date" a day of the month or a month, for "count" a figure is a number of pieces, for
    "budget" the most to spend, for "place" what was not said of anything else is a place, for
    "colours" words that are colours only among colours count.

    Raises:
        ValueError: `slot` is not one of `ANSWERS`.
    """
    if slot not in ANSWERS:
        raise ValueError(f"No answer is read for {slot!r}; use one of {', '.join(ANSWERS)}.")
    slots = read(text, reference_date=reference_date, locale=locale, known=known)
    passage = Passage.of(text)
    lang = slots.lang
    calendar = _calendar(reference_date, locale, lang, known)
    if slot == "size":
        return _size_answer(slots, passage, _unit_m(passage, locale, lang), known)
    if slot == "count":
        return _count_answer(slots, passage, _unit_m(passage, locale, lang))
    if slot == "time" and slots.start_time is None:
        return _time_answer(slots, passage)
    if slot == "date" and slots.event_date is None:
        return _date_answer(slots, passage, calendar)
    if slot == "budget" and slots.budget_max is None and slots.budget_min is None:
        budget = budget_in(passage, asked=True)
        return replace(slots, budget_min=budget.least, budget_max=budget.most)
    if slot == "place" and slots.place is None:
        return _place_answer(slots, passage, calendar)
    if slot == "setting" and slots.setting is None:
        said = _IN_OR_OUT.match(passage.folded)
        return replace(slots, setting=("indoor" if said["inside"] else "outdoor") if said else None)
    if slot == "support" and not slots.structures:
        kinds = [kind for pattern, kind in _SHAPES_OF_SUPPORT if pattern.search(passage.folded)]
        return replace(slots, structures=tuple(Structure(kind=kind) for kind in kinds[:1]))
    if slot == "colours" and not slots.colours:
        asked = Passage.of(f"colours: {text}")
        return replace(slots, colours=colours_in(asked, lang))
    return slots


_IN_OR_OUT = re.compile(
    r"\W*(?:(?P<inside>in|dentro|adentro)|out|fuera|afuera)\b(?!\s(?:\w+\s)*or\b)"
)
_SHAPES_OF_SUPPORT = (
    (
        re.compile(r"\b(?:free\s?-?standing|by itself|on its own|nothing|sola?)\b"),
        "freestanding_arch",
    ),
    (re.compile(r"\b(?:round|circular|redond[oa])\b(?!\stop)"), "hoop"),
    (re.compile(r"\b(?:square|rectang\w+|cuadrad[oa]|round top|arched)\b"), "arch_frame"),
)


def _size_answer(slots: Slots, passage: Passage, unit_m: float, known: Slots | None) -> Slots:
    if any(piece.measured and piece.kind != "other" for piece in slots.structures):
        return slots
    of_them, spans = count_of_them(passage)
    rest = passage.without(spans).without(guests_in(passage)[1])
    sizes = sizes_in(rest, unit_m, bare=True)
    named = slots.structures or (known.structures if known else ())
    kind = named[0].kind if named else "other"
    count = of_them or (named[0].count if named else 1)
    if not sizes and not of_them:
        return slots
    piece = replace(as_structure(kind, sizes), count=count)
    vague = ("structures",) if any(size.vague for size in sizes) else ()
    # The figures were read as a size; "about 6" and "3/4" are then no hour and no day.
    return replace(
        slots,
        event_date=None,
        start_time=None,
        ambiguous=vague,
        structures=(piece, *slots.structures[1:]),
    )


def _time_answer(slots: Slots, passage: Passage) -> Slots:
    hours = hours_in(passage, asked=True)
    unsure = ("start_time",) if hours.ambiguous and "start_time" not in slots.ambiguous else ()
    return replace(
        slots,
        start_time=hours.start,
        end_time=slots.end_time or hours.end,
        ambiguous=slots.ambiguous + unsure,
    )


_BARE_DAY = re.compile(r"\D*?\b(?P<day>[0-3]?\d)(?:st|nd|rd|th)?\b\D*")
_SHORT_DAY = re.compile(r"\s*(?P<word>sat|sun|mon|tues?|wed|thur?s?|fri)\b[\s.!]*")


def _date_answer(slots: Slots, passage: Passage, calendar: Calendar) -> Slots:
    day = _BARE_DAY.fullmatch(passage.folded)
    beside = month_beside(passage, calendar) if day else None
    if beside:  # the day did not fit its month, and fits no other
        return replace(slots, event_month=beside)
    if day and not re.search(r"\bor\b|\bo\b", passage.folded):
        found = calendar.next_of_month(int(day["day"]))
        return replace(slots, event_date=found, start_time=None)
    month = month_alone(passage, calendar)
    if month:
        return replace(slots, event_month=month)
    if _SHORT_DAY.fullmatch(passage.folded):
        return replace(slots, event_date=when_in(Passage.of(f"on {passage.folded}"), calendar).day)
    return slots


def _count_answer(slots: Slots, passage: Passage, unit_m: float) -> Slots:
    said = _A_COUNT.search(passage.folded)
    if said is None or any(piece.count > 1 for piece in slots.structures):
        return slots
    kind = slots.structures[0].kind if slots.structures else "other"
    word = said["count"]
    count = int(word) if word.isdecimal() else COUNT_WORDS[word]
    # "Two of them, taller, 9": what follows the count is a size.
    rest = passage.without([(0, said.end())])
    sizes = sizes_in(rest, unit_m, bare=True) if _SIZE_AFTER.match(rest.folded, said.end()) else []
    counted = replace(as_structure(kind, sizes), count=count)
    return replace(slots, structures=(counted,), event_date=None, start_time=None)


_A_COUNT = re.compile(
    rf"\b(?P<count>\d{{1,2}}|{'|'.join(COUNT_WORDS)})\b(?!\s?(?:ft|feet|foot|'|\"|in\b|cm|m\b|"
    rf"[ap]m))"
)
_SIZE_AFTER = re.compile(r"[^\d]*?(?:,|\btall\w*|\bhigh\w*)[^\d]{0,16}\d")
_NOT_A_PLACE = re.compile(
    r"^(?:not sure|no idea|unsure|dont know|don't know|idk|tbd|skip|later|no se|aun no|"
    r"todavia no|ni idea|yes|no|si|ok|maybe|perhaps|quizas)\b"
)
_NO_NAME = listed(
    """
    a an the at in on it its is will be to for of from by near and or so we i my our
    en el la los las un una de es sera y o al del are
    """
)
# Money, courtesy and the setting name no place.
_SAID_BESIDE = listed(
    """
    budget presupuesto dollars dollar bucks usd dolares pesos max maximum about around
    spend under up less than
    thanks thank you thx gracias muchas please porfavor favor por hello hi hey hola
    okay great perfect cool sure lol sorry hmm um uh
    indoor indoors outdoor outdoors inside outside interior exterior adentro afuera
    """
)
_VENUE = re.compile(rf"\b(?:{'|'.join(sorted(VENUES))})\b")
_ROUND_NAME = " ,.;:!?\n-"


def _place_answer(slots: Slots, passage: Passage, calendar: Calendar) -> Slots:
    if _NOT_A_PLACE.match(passage.folded.strip()):
        return slots
    code, spans = postal_code_in(passage, calendar.locale)
    rest = passage.without(spans).without(budget_in(passage).spans)
    rest = rest.without(when_in(rest, calendar).spans)
    rest = rest.without(hours_in(rest).spans)
    rest = rest.without(guests_in(rest)[1])
    rest = rest.without((size.start, size.end) for size in sizes_in(rest, FOOT_M))
    runs = (run.span() for run in re.finditer(rf"[^{TAKEN}]+", rest.folded))
    names = (_name_of(passage.original[start:end]) for start, end in runs)
    name = next(filter(None, names), None)
    if name and (slots.occasion or slots.fullness) and not _VENUE.search(name.lower()):
        name = None  # "a birthday" and "extra full" are no places
    return replace(slots, place=name, postal_code=slots.postal_code or code)


def _name_of(text: str) -> str | None:
    """The place in what is left of an answer, without the small words around it."""
    words = Passage.of(text).words()
    if len(words) > _LONGEST_PLACE or all(word.text in _NO_NAME | _SAID_BESIDE for word in words):
        return None
    while words and words[-1].text in _NO_NAME | _SAID_BESIDE:
        words.pop()
    while words and words[0].text in _NO_NAME:
        words.pop(0)
    name = text[words[0].start : words[-1].end].strip(_ROUND_NAME)
    return name if any(char.isalpha() for char in name) else None


_LONGEST_PLACE = 8
