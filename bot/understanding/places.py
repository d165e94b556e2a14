"""Where the event is: the venue's name or noun and the town, in the client's own words.

Without article, preposition or state: "at the Elm Street Library in Quincy MA 02169" is "Elm Street
Library, Quincy". A name counts after "at", "in" and the like, on its own between commas where it
holds a venue noun, or right before a postal code or a state. One's own home and its grounds are no
place, nor is a mere room of a house that is named beside it.
"""

import re
from dataclasses import dataclass

from bot.understanding.lexicon import PLAIN_VENUES, VENUES
from bot.understanding.lexicon import wheres as words_of
from bot.understanding.names import COMMON, STOPS
from bot.understanding.passage import TAKEN, Passage, Span
from bot.understanding.venues import Venues

_CUE = re.compile(
    r"(?<![\w'])(?:(?P<sure>(?:venue|location|address|where|place|hall|restaurant|town|city|lugar|"
    r"direccion|ubicacion)(?:\s(?:is|"
    r"es|will be|sera)|:)+(?:\s(?:at|in|en))?(?:\s(?:the|el|la))?|(?:its|it's|it is|event is|"
    r"party is|"
    r"reception is|ceremony is|held|hosted|party|wedding|shower|reception|event|fiesta|boda|es|"
    r"sera|va a "
    r"ser)\s(?:at|@|en)(?:\s(?:the|el|la))?)|"
    r"(?P<at>at|@|over at|inside|outside of|afuera de|dentro de)|(?P<town>in|near|"
    r"deliver(?:ed|y|ing)? (?:to|in)|come (?:out |over |down )?to|(?:go|going|out|over|travel|"
    r"drive|moved|changed|switched) to|em|en|"
    r"cerca de|hasta|"
    r"nan)|(?P<use>for|para|booked|rented|reserved|rentamos|apartamos))\s"
)
_LIVES = re.compile(
    r"\b(?:lives?|living|born|grew up|raised|vive|viven|vivo|stuck|esta|works?|interested|seen|"
    r"she's|"
    r"he's|he is|she is)\s$"
)
_WORKS = re.compile(
    r"\b(?:teach(?:es|er)?|works?|working|nurse|student|studies|enrolled|goes|trabaja\w*|"
    r"estudia\w*|"
    r"pagos?|pagar|payments?|pay)\s$"
)
_LIVES_FOR_TOWNS = re.compile(r"\b(?:lives?|living|born|grew up|raised|vive|viven|vivo|works?)\s$")
_ENOUGH_NAMES = 2  # the venue and its town


@dataclass(frozen=True, slots=True)
class Place:
    name: str | None
    spans: tuple[Span, ...]


def place_in(passage: Passage, postal_at: int | None, address: tuple[Span, ...] = ()) -> Place:
    """Venue and town. `postal_at` is where the postal code stands, if there is one; `address` is
    what `address_in` found, which other readers have masked since."""
    reading = _Reading(passage, passage.words(), postal_at, _shouted(passage.original))
    spans: list[Span] = list(address)
    if address:
        spans += reading.town_after_address(address[0][1])
    for match in _CUE.finditer(passage.folded):
        if len(spans) > _ENOUGH_NAMES:
            break
        if not any(start <= match.start() < end for start, end in spans):
            spans += reading.after_cue(match)
    if not any(reading.has_venue(span) for span in spans) and not address:
        spans += reading.alone(spans)
    if not any(reading.ends_at_code(span) for span in spans):
        spans += reading.town_before_code(spans)
    spans = reading.telling(sorted(set(spans)))[:_ENOUGH_NAMES]
    spans = [reading.with_state(span) for span in reading.with_house_before(spans)]
    return Place(_joined(passage.original, spans), tuple(spans))


def _joined(text: str, spans: list[Span]) -> str | None:
    """The names as they stand in the text where they stand together: "Elm Hall in Quincy MA"."""
    name = ""
    for index, (start, end) in enumerate(spans):
        gap = text[spans[index - 1][1] : start] if index else ""
        together = gap.lower() in (", ", " in ", " en ", " - ", " ")
        name += (gap if together else ", ") * bool(name) + text[start:end].strip(" .")
    return name or None


def _shouted(text: str) -> bool:
    """Is nearly everything in capitals, so that they tell nothing?"""
    letters = [char for char in text if char.isalpha()]
    return sum(map(str.isupper, letters)) > 0.6 * len(letters)


@dataclass(frozen=True, slots=True)
class _Reading(Venues):
    """The names of places in a passage."""

    def after_cue(self, cue: re.Match[str]) -> list[Span]:
        """The name that follows "at", "in" and the like, with its town."""
        first = self._index(cue.end() - 1)
        if (
            first == len(self.words)
            or TAKEN in self.passage.folded[cue.end() - 1 : self.words[first].start]
        ):
            return []
        before = self.passage.folded[max(0, cue.start() - 14) : cue.start()]
        if _WORKS.search(before) or (cue["town"] and _LIVES_FOR_TOWNS.search(before)):
            return []
        article = first
        first = self._past_articles(first)
        part = self._is_part(first)
        if part:
            first = self._past_articles(first + 2)
        last = self._reach(first)
        if last is None or self.words[first].start - cue.end() > (40 if part else 16):
            return []
        cue_word = cue["town"] or cue["at"] or ""
        kept = self._trim(
            first,
            last,
            sure=bool(cue["sure"]),
            town=cue_word.startswith(words_of.TOWN_CUES) or bool(cue["sure"] and article == first),
            loose=cue_word not in ("to", "hasta") and article == first,
        )
        if cue["use"] and (kept is None or not self._is_venue_for(first, kept)):
            return []
        if kept is None or (_LIVES.search(before) and not self._named(first, kept)):
            return []
        return [self._span(first, kept), *self._town_after(kept)]

    def _is_part(self, first: int) -> bool:
        """ "the basement of St. Paul's": the house is the place."""
        if first + 2 >= len(self.words) or self._capital(first):
            return False
        part = self.words[first].text in words_of.ROOMS | words_of.HOME
        return part and self.words[first + 1].text in ("of", "de", "del")

    def _is_venue_for(self, first: int, last: int) -> bool:
        """ "two columns for the riverside community hall"; "for our shop" is no place."""
        plain = any(self.words[index].text in COMMON for index in range(first, last))
        return last > first and not plain and self.words[last].text in VENUES - PLAIN_VENUES

    def town_after_address(self, end: int) -> list[Span]:
        """ "12 Mill Street, Quincy": the town after the comma, in capitals or not."""
        first = self._index(end)
        if first >= len(self.words) or self.passage.folded[end : self.words[first].start] not in (
            ", ",
            " ",
            " in ",
            " en ",
        ):
            return []
        last = self._reach(first)
        if last is None or self.words[first].text in COMMON:
            return []
        capital = self._capital_end(first, last)
        if capital is not None:
            return [self._span(first, self._without_state(first, capital))]
        lone = self.passage.folded[end] == "," and last - first < 2
        return [self._span(first, last)] if lone and self._lone_name(first, last) else []

    def with_state(self, span: Span) -> Span:
        """With the state that follows it: "Stowe VT"."""
        after = self._index(span[1])
        if after < len(self.words) and self._state(after):
            gap = self.passage.folded[span[1] : self.words[after].start]
            if gap in (" ", ", ") and TAKEN not in gap:
                return span[0], self.words[after].end
        return span

    def with_house_before(self, spans: list[Span]) -> list[Span]:
        """With the house before a town or a street: "Vine & Barrel in Lodi", "Elm Living, 77 "
        "Oak St"."""
        venue = bool(spans) and self.has_venue(spans[0])
        street = bool(spans) and self.passage.original[spans[0][0]].isdigit()
        if not spans or self.shouted or (venue and not street):
            return spans
        last = self._index(spans[0][0]) - 1
        if last >= 0 and self.words[last].text in ("in", "en"):
            last -= 1
        elif last < 0 or self.passage.folded[self.words[last].end : spans[0][0]] != ", ":
            return spans
        first = last
        while first > 0 and self._capital(first - 1) and self._touch(first - 1):
            first -= 1
        texts = [self.words[index].text for index in range(first, last + 1)]
        article = first > 0 and self.words[first - 1].text in ("the", "at", "el", "la")
        named = (first < last or article) and all(map(self._capital, range(first, last + 1)))
        if not named or any(text in COMMON | STOPS for text in texts[:1]):
            return spans
        return [self._span(first, last), *spans][: _ENOUGH_NAMES + 1]

    def ends_at_code(self, span: Span) -> bool:
        return self.postal_at is not None and 0 <= self.postal_at - span[1] <= 6

    def town_before_code(self, taken: list[Span]) -> list[Span]:
        """Up to three words right before a postal code or a state: "…, Somerville MA 02143"."""
        for last in self._ends_before_code():
            if self.words[last].end <= max((end for _, end in taken), default=0):
                continue
            first = last
            while (
                first > 0
                and last - first < 2
                and self._touch(first - 1)
                and self._nameable(first - 1)
                and self._capital(first - 1) == self._capital(last)
            ):
                first -= 1
            if not self._nameable(last):
                continue
            named = not self.shouted and self._capital(first)
            if named or self._set_off(first, last):
                return [self._span(first, last)]
        return []

    def _ends_before_code(self) -> list[int]:
        """Where words stop right before the postal code, or before a state in capitals."""
        ends = []
        if self.postal_at is not None:
            last = self._index(self.postal_at) - 1
            if last >= 0 and self.passage.folded[self.words[last].end : self.postal_at] in (
                " ",
                ", ",
            ):
                ends.append(last - 1 if self._state(last) and last > 0 else last)
        for index in range(1, len(self.words)):
            gap = self.passage.folded[self.words[index - 1].end : self.words[index].start]
            short = self.words[index].end - self.words[index].start == 2
            loud = self.passage.original[slice(*self._span(index - 1, index - 1))].isupper()
            if (
                short
                and not loud
                and self._state(index)
                and gap in (" ", ", ")
                and self._closes(index)
            ):
                ends.append(index - 1)
        return ends

    def _set_off(self, first: int, last: int) -> bool:
        """In lower case only alone between a comma and the code."""
        if any(self.words[index].text in COMMON for index in range(first, last + 1)):
            return False
        before = self.passage.folded[: self.words[first].start].rstrip(" ")[-1:]
        return before in ("", ",", ".", ";", "\n", TAKEN) or self._next_text(first - 2) in (
            "in",
            "en",
        )

    def telling(self, spans: list[Span]) -> list[Span]:
        """Without what says no more: "the station" after "the fire station", the gym of a "
        "school."""
        text = self.passage.folded
        kept = [
            span
            for span in spans
            if not any(
                other < span and text[slice(*other)].endswith(text[slice(*span)]) for other in spans
            )
        ]
        named = [span for span in kept if self._is_named_venue(span)]
        if named:
            kept = [s for s in kept if s in named or not self._is_room_of(s, named)]
        return kept

    def _is_room_of(self, span: Span, named: list[Span]) -> bool:
        """ "gym at Maple Hollow Elementary", but not "boathouse in Cambridge"."""
        texts = [self.words[index].text for index in self._inside_words(span)]
        if not texts or texts[-1] not in words_of.ROOMS:
            return False
        following = next((other for other in named if other > span), None)
        if following is None:
            return True
        return " in " not in f" {self.passage.folded[span[1] : following[0]]} "
