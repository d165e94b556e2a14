"""Short answers, read in the light of the question that was asked."""

import re
from dataclasses import replace
from datetime import date

from bot.understanding.binding import as_structure
from bot.understanding.colours import colours_in
from bot.understanding.counting import COUNT_WORDS, count_of_them
from bot.understanding.dates import Calendar, month_alone, month_beside, when_in
from bot.understanding.guests import guests_in
from bot.understanding.lexicon import VENUES
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.measures import FOOT_M, sizes_in
from bot.understanding.money import budget_in
from bot.understanding.passage import TAKEN, Passage
from bot.understanding.postal import postal_code_in
from bot.understanding.reading import US, calendar_for, read, unit_m
from bot.understanding.slots import Slots, Structure
from bot.understanding.times import hours_in

ANSWERS = ("date", "time", "size", "count", "colours", "place", "setting", "support", "budget")


def read_answer(
    slot: str,
    text: str,
    *,
    reference_date: date,
    locale: str | None = US,
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
    calendar = calendar_for(reference_date, locale, lang, known)
    if slot == "size":
        return _size_answer(slots, passage, unit_m(passage, locale, lang), known)
    if slot == "count":
        return _count_answer(slots, passage, unit_m(passage, locale, lang))
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
# "Is that price final?" asks, and says no place; "can it be at the library?" names one.
_ASKS = re.compile(
    r"(?:^|(?<=[.?!;,¿\n]))\s*(?:(?:and|but|so|also|ok|okay|hey|y|pero|oye)\s)?(?:"
    r"(?:is|are|was|do|does|did|can|could|will|would|should|may|have|has)\s(?:it|that|this|these|"
    r"those|there|they|you|u|we|i|the|your|my|our|an?)\b|"
    r"(?:how|what|when|why|who|where|which)(?:\s(?:is|are|was|do|does|did|can|could|will|would|"
    r"should|much|many|long|far|soon|pays?|time|kind)\b|'?s\s(?:the|that|this|it|your)\b)|"
    r"(?:por que|para que|que|quien(?:es)?|cual(?:es)?|cuant[oa]s?|cuando|como|donde)\s(?!tal\b)\w|"
    r"(?<=¿)(?:\w+\s){0,3}?(?:es|son|esta|estan|hay|incluyen?|tienen?|tienes|puedo|pued\w+|podri\w+|"
    r"hac\w+|acept\w+|cobr\w+|cuesta\w*|sale)\b)[^.?!;\n]*"
)
_VENUE = re.compile(rf"\b(?:{'|'.join(sorted(VENUES))})\b")
_ROUND_NAME = " ,.;:!?\n-"


def _place_answer(slots: Slots, passage: Passage, calendar: Calendar) -> Slots:
    if _NOT_A_PLACE.match(passage.folded.strip()):
        return slots
    code, spans = postal_code_in(passage, calendar.locale)
    asked = (found for found in _ASKS.finditer(passage.folded) if not _VENUE.search(found[0]))
    rest = passage.without(spans).without(found.span() for found in asked)
    rest = rest.without(budget_in(passage).spans)
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
