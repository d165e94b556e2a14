"""What a message says of the event, in the light of the open question."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from bot.dialogue import sayings
from bot.dialogue.questions import next_question
from bot.dialogue.state import State
from bot.understanding import Slots, read, read_answer

# Between a foot and a half and a hundred feet.
_SHORTEST_M, _LONGEST_M = 0.45, 30.48
_MOST_DAYS = 3
_NUMBER = re.compile(r"\D*(?P<number>\d{1,6})\D*")
_FACTS = (
    "occasion", "event_date", "event_month", "start_time", "end_time", "structures", "colours",
    "setting", "postal_code", "place", "budget_min", "budget_max", "foils", "guests", "fullness",
    "extras", "floating", "unwanted", "likened",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Reader:
    """Reads a client's messages. `locale` is theirs, BCP 47; `today` the shop's date."""

    state: State
    locale: str | None
    today: date

    def read(self, text: str) -> Slots:
        """What `text` says: the answer to the open question, and whatever else is in it."""
        plain = self._read(text)
        rest = _QUESTION.sub(" ", text).strip()
        if plain.intent == "question" and not is_useful(plain) and rest and rest != text.strip():
            # "A 6 ft hoop. Do you take a deposit?" tells of a hoop before it asks.
            plain = replace(self._read(rest), intent=plain.intent, lang=plain.lang)
        for slot in self._slots_in_question(text, plain):
            answer = self.answer(slot, text)
            if is_useful(answer) and not _overreaches(slot, text, plain):
                return _with_the_rest(answer, plain) if has_measure(text) else answer
        return self._with_bare_number(plain, text)

    def _read(self, text: str) -> Slots:
        return read(text, reference_date=self.today, locale=self.locale, known=self._known)

    def answer(self, slot: str, text: str) -> Slots:
        """`text` as an answer to a question about `slot`."""
        return read_answer(
            slot, text, reference_date=self.today, locale=self.locale, known=self._known
        )

    def plain(self, text: str) -> Slots:
        """What `text` says by itself."""
        return read(text, reference_date=self.today, locale=self.locale)

    def without_questions(self, text: str) -> Slots:
        """What `text` says beside what it asks."""
        return self.plain(_QUESTION.sub(" ", text))

    def days(self, text: str) -> tuple[date, ...]:
        """The days that an unclear date in `text` may mean, the likeliest first."""
        found = []
        locales = dict.fromkeys((self.locale or "en-US", "en-US", "en-GB"))
        for part in dict.fromkeys((text, *re.split(_OR, sayings.folded(text)))):
            for locale in locales:
                slots = read(part, reference_date=self.today, locale=locale, known=self._known)
                if slots.event_date is not None and slots.event_date >= self.today:
                    found.append(slots.event_date)
        return tuple(dict.fromkeys(found))[:_MOST_DAYS]

    def colours_refused(self, text: str, slots: Slots) -> tuple[str, ...]:
        """The colours that `text` takes away, in plain English."""
        found = list(slots.unwanted)
        for words in sayings.colour_words_refused(text):
            found += self._colours_in(words) or self._colours_in(words.split()[0])
        had = {colour.split()[-1]: colour for colour in self.state.draft.colours}
        return tuple(dict.fromkeys(had.get(one, one) for one in found))

    def _colours_in(self, words: str) -> tuple[str, ...]:
        return read_answer("colours", words, reference_date=self.today).colours[:1]

    @property
    def _known(self) -> Slots:
        # "The 13th" means the month that was talked about.
        draft = self.state.draft
        return Slots(event_date=draft.event_date, event_month=draft.event_month)

    @property
    def _question(self) -> str | None:
        question = next_question(self.state) if self.state.stage == "asking" else None
        return question.name if question is not None else None

    def _with_bare_number(self, slots: Slots, text: str) -> Slots:
        """ "80", where the number of guests, or of floating balloons, is asked for."""
        name = {"guests": "guests", "floating": "floating"}.get(self._question or "")
        number = _NUMBER.fullmatch(text)
        if name is None or number is None:
            return slots
        told: dict[str, Any] = {name: int(number["number"])}
        return Slots(lang=slots.lang, intent=slots.intent, **told)

    def _slots_in_question(self, text: str, plain: Slots) -> Iterator[str]:
        question = next_question(self.state) if self.state.stage == "asking" else None
        if question is not None and question.slot is not None:
            yield question.slot
        # "Make it 8 ft" may answer no open question, but means the size of what there is.
        unnamed = all(one.kind == "other" for one in plain.structures)
        measured = has_measure(text) or sayings.says("size_pair", text)
        if self.state.draft.pieces and unnamed and measured:
            yield "size"


_QUESTION = re.compile(r"[^.!?;\n]*\?")
_OR = re.compile(r"\s+(?:or|o)\s+")


def _with_the_rest(answer: Slots, plain: Slots) -> Slots:
    """The size that was asked for, and whatever else the client said in the same breath.

    A bare "7 by 4" says nothing else, though it could be read as a day: hence only where the
    size has its unit.
    """
    names = (field.name for field in fields(Slots))
    rest = {name: getattr(plain, name) for name in names if not getattr(answer, name)}
    return replace(answer, **rest)


def _overreaches(slot: str, text: str, plain: Slots) -> bool:
    """Whether a bare answer would take words that mean something else already."""
    if slot == "size":
        # In "two columns" the two is a count, in "it's june 12" the 12 a day.
        counts = any(one.count > 1 for one in plain.structures)
        return counts or (is_useful(plain) and not _is_size(text, plain))
    if slot == "count":
        return is_useful(plain) and not plain.structures
    if slot in ("date", "time"):
        # In "change the hoop to 7 ft" the 7 is neither a day nor an hour, nor is it in "7 guests".
        counts = any(one.count > 1 for one in plain.structures)
        figures = (plain.guests, plain.budget_max, plain.budget_min, plain.postal_code)
        return counts or any(figures) or bool(plain.foils) or has_measure(text)
    if slot == "place" and plain.place is None:
        # Any words can be a place, so those of another fact are not taken for one.
        other = plain.structures or plain.colours or plain.foils or plain.extras or plain.unwanted
        return bool(other) or plain.intent in ("change", "question", "cancel", "complaint")
    return False


def _is_size(text: str, plain: Slots) -> bool:
    bare = plain.postal_code is None and sayings.says("bare_size", text)
    named = any(not one.measured for one in plain.structures)
    return bare or named or has_measure(text)


def has_measure(text: str) -> bool:
    """Whether `text` has a figure that can only be a length."""
    return sayings.says("measure", text)


def is_useful(slots: Slots) -> bool:
    """Whether `slots` hold anything about the event."""
    return any(getattr(slots, name) not in (None, ()) for name in _FACTS)


def sides_of(slots: Slots) -> Iterator[float]:
    """Every measure that was said, in metres."""
    for one in slots.structures:
        yield from (side for side in (one.width_m, one.height_m, one.length_m) if side is not None)


def is_implausible(metres: float) -> bool:
    """Whether a measure must be a slip: no garland is longer than a few dozen feet, or shorter than
    its own thickness."""
    return not _SHORTEST_M <= metres <= _LONGEST_M
