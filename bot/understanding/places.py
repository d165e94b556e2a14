"""Where the event is: the venue's name or noun and the town, in the client's own words.

Without article, preposition or state: "at the Elm Street Library in Quincy MA 02169" is "Elm Street
Library, Quincy". A name counts after "at", "in" and the like, on its own between commas where it
holds a venue noun, or right before a postal code or a state. One's own home and its grounds are no
place, nor is a mere room of a house that is named beside it.
"""

import re
from bisect import bisect_left
from dataclasses import dataclass

from rapidfuzz.distance import OSA

from bot.understanding.lexicon import (
    MONTHS,
    NUMBER_WORDS,
    OCCASIONS,
    PLAIN_VENUES,
    SUPPORTS,
    VENUES,
    WEEKDAYS,
    en,
    es,
)
from bot.understanding.lexicon import wheres as words_of
from bot.understanding.passage import TAKEN, Passage, Span, Word


@dataclass(frozen=True, slots=True)
class Place:
    name: str | None
    spans: tuple[Span, ...]


_CUE = re.compile(
    r"(?<![\w'])(?:(?P<sure>(?:venue|location|address|where|place|hall|restaurant|lugar|"
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
    r"nan)|(?P<use>for|para))\s"
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
_STREET = (
    r"street|avenue|ave|road|rd|boulevard|blvd|drive|dr|lane|ln|highway|hwy|turnpike|parkway|pkwy|"
    r"st(?=\.?\s?(?:[,;\n)]|$|in\b|apt|unit|near|zip|\d))"
)
# Also other things than streets: only in capitals.
_STREET_IN_CAPITALS = r"way|court|ct|place|pl|terrace|circle|square|sq|pike"
_ADDRESS = re.compile(
    r"(?<![\w$#.,/:'-])\d{1,5}[a-z]?\s(?:[nsew]\.?\s)?(?P<name>(?:(?:[^\W\d_][\w']*|\d{1,3}(?:st|"
    r"nd|rd|"
    rf"th))\.?\s){{1,3}}?)(?:{_STREET}|(?P<shy>{_STREET_IN_CAPITALS}))\b\.?|"
    r"\b(?:calle|avenida|av\.|calzada|carrera|boulevard|blvd\.?)\s(?:[^\W\d_][\w.]*\s){1,4}?"
    r"(?:#|no\.?|num\.?|numero)?\s?\d{1,5}\b"
)
_SEGMENT = re.compile(rf"(?:\bst\.\s|[^,.;:!?\n()\"{TAKEN}])+")
_LONGEST_NAME = 6
_BREAKS = (",", ".", ";", "!", "?", "\n", ")", TAKEN)
_ENOUGH_NAMES = 2  # the venue and its town

_COLOURS = frozenset(en.COLOURS | en.SHY_COLOURS | en.COLOUR_MODIFIERS | frozenset(es.COLOURS))
# Words that mean something else in this trade: never a town in lower case.
_COMMON = (
    _COLOURS
    | frozenset(en.COLOUR_SPELLINGS)
    | words_of.NO_TOWNS
    | frozenset(MONTHS)
    | frozenset(WEEKDAYS)
    | frozenset(NUMBER_WORDS)
    | frozenset(word for phrase in (*OCCASIONS, *SUPPORTS) for word in phrase.split())
) - words_of.BEGIN_TOWNS
_STOPS = words_of.STOPS | frozenset(MONTHS) | frozenset(WEEKDAYS)


def address_in(passage: Passage) -> tuple[Span, ...]:
    """ "12 May Street": no date, no count; the first only."""
    for found in _ADDRESS.finditer(passage.folded):
        shy = found["shy"] and not passage.original[found.start("shy")].isupper()
        named = found["name"] is None or not _STREET_BREAKS & set(found["name"].split())
        if named and not shy:
            return ((found.start(), found.end()),)
    return ()


_STREET_BREAKS = words_of.STOPS - frozenset(("the", "general", "town", "silver", "gold"))


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


def _is_slip(word: str) -> bool:
    """ "grean" and "lavendar" are colours misspelt and no towns."""
    return any(
        word[0] == colour[0] and len(colour) > 4 and OSA.distance(word, colour, score_cutoff=1) <= 1
        for colour in _COLOURS
    )


def _shouted(text: str) -> bool:
    """Is nearly everything in capitals, so that they tell nothing?"""
    letters = [char for char in text if char.isalpha()]
    return sum(map(str.isupper, letters)) > 0.6 * len(letters)


@dataclass(frozen=True, slots=True)
class _Reading:
    passage: Passage
    words: list[Word]
    postal_at: int | None
    shouted: bool

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

    def _past_articles(self, first: int) -> int:
        while first < len(self.words) and self.words[first].text in words_of.SKIPPED:
            first += 1
        return first

    def _is_part(self, first: int) -> bool:
        """ "the basement of St. Paul's": the house is the place."""
        if first + 2 >= len(self.words) or self._capital(first):
            return False
        part = self.words[first].text in words_of.ROOMS | words_of.HOME
        return part and self.words[first + 1].text in ("of", "de", "del")

    def _is_venue_for(self, first: int, last: int) -> bool:
        """ "two columns for the riverside community hall"; "for our shop" is no place."""
        plain = any(self.words[index].text in _COMMON for index in range(first, last))
        return last > first and not plain and self.words[last].text in VENUES - PLAIN_VENUES

    def _reach(self, first: int) -> int | None:
        """The last word of a name that begins at `first`."""
        last = None
        for index in range(first, min(first + _LONGEST_NAME, len(self.words))):
            word = self.words[index]
            if last is not None and not self._touch(index - 1):
                break
            own = last is not None and self._capital(index) and word.text in words_of.SKIPPED
            if word.text in _STOPS and not (self._links(first, last, index) or own):
                break
            if word.text.isdecimal() and not self._numbered(index):
                break
            if word.text in _COLOURS and not (self._capital(index) or word.text in VENUES):
                break
            if word.text in words_of.CONNECTORS and self._links(first, last, index):
                continue
            last = index
        return last

    def _links(self, first: int, last: int | None, index: int) -> bool:
        """Does a small word hold a name together: "Chapel of the Good Shepherd", "salon El Sol"?"""
        if last is None or self.words[index].text not in words_of.CONNECTORS:
            return False
        at, room = self.words[index].text in ("at", "on"), self.words[last].text in words_of.ROOMS
        if at and (room or not self._venue(last)):
            return False  # "the Barn at Willow Creek", "community center on Fulton"
        if self.words[index].text in ("at", "on"):
            following = index + 1
            named = following < len(self.words) and self._capital(following) and not self.shouted
            return named and self._touch(index) and self.words[following].text not in _STOPS
        following = index + 1
        while following < len(self.words) and self.words[following].text in words_of.CONNECTORS:
            following += 1
        if following >= len(self.words) or not all(map(self._touch, range(index - 1, following))):
            return False
        opened = any(self.words[i].text in words_of.OPENS for i in range(first, last + 1))
        spanish = self.words[index].text in ("el", "la", "los", "las", "de", "del", "y")
        capital = self._capital(following) and not self.shouted
        nameable = self.words[following].text not in _COMMON | _STOPS | words_of.SKIPPED
        return (capital and (opened or self._capital(last))) or (opened and spanish and nameable)

    def _numbered(self, index: int) -> bool:
        """ "VFW Post 118", "Studio 54"."""
        return index > 0 and self.words[index - 1].text in (
            "post",
            "studio",
            "pier",
            "lodge",
            "local",
        )

    def _touch(self, index: int) -> bool:
        gap = self.passage.folded[self.words[index].end : self.words[index + 1].start]
        short = self.words[index].end - self.words[index].start <= 2
        return gap in (" ", "-", " & ", "' ") or (gap == ". " and short)  # "St. Ann's"

    def _trim(self, first: int, last: int, *, sure: bool, town: bool, loose: bool) -> int | None:
        """Where the name really ends, None where it is no name."""
        capital = self._capital_end(first, last)
        venues = [i for i in range(first, last + 1) if self._venue(i)]
        if venues:
            return self._venue_end(first, last, venues, capital)
        if capital is not None and not self._is_other(first, capital):
            return (
                self._without_state(first, capital) if self._is_no_state(first, capital) else None
            )
        if not loose or self.words[first].text in _COMMON | PLAIN_VENUES:
            return None
        if (town or sure) and self._state(last) and last > first:
            return last - 1
        if (
            last - first < 3
            and (sure or town)
            and (self._followed_by_code(last) or self._lone_name(first, last))
        ):
            return self._without_state(first, last)
        return None

    def _venue_end(
        self, first: int, last: int, venues: list[int], capital: int | None
    ) -> int | None:
        """Where a name with a venue noun in it ends: "Hotel Miramonte", "elm street library"."""
        head, end = venues[0], venues[-1]
        if capital is not None and capital >= end:
            return None if self._is_home(first, capital) else capital
        if self.words[head].text in words_of.OPENS and last > head:
            opened = self._opened_end(head, last)
            if opened > head:
                return opened
        if (
            capital is not None
            and capital > first
            and capital < head
            and not self._near(capital, end)
        ):
            return capital
        return None if self._is_home(first, end) else self._capital_run(end, last)

    def _near(self, capital: int, end: int) -> bool:
        """ "Saint Alban's church": the noun belongs to the name before it."""
        return end - capital == 1

    def _opened_end(self, head: int, last: int) -> int:
        """The end of a name that its noun opens: "salon los olivos", "parque Lincoln"."""
        end = head
        for index in range(head + 1, last + 1):
            text = self.words[index].text
            if text in words_of.CONNECTORS:
                continue
            named = self._capital(index) and not self.shouted
            unnamed = text in _COMMON | words_of.SKIPPED or text in VENUES or index - head > 4
            if (unnamed and not named) or any(map(str.isdecimal, text)):
                break
            end = index
        spanish = self.words[head].text in es.VENUES or self.words[head].text in words_of.OPENS_LOW
        closes = self._closes(end) or self._next_text(end) in words_of.AFTER_NAMES
        named = any(self._capital(i) and not self.shouted for i in range(head + 1, end + 1))
        return end if named or (spanish and closes and end - head <= 4) else head

    def _is_home(self, first: int, end: int) -> bool:
        """One's own house, grounds and rooms, which are no place, unless they bear a name."""
        bare = first == end and self.words[end].text in words_of.PREMISES
        renewed = any(self.words[i].text in words_of.NO_NAMES for i in range(first, end))
        if bare or renewed:
            return not self._capital(first) or self.shouted
        if self.words[end].text not in words_of.HOME:
            return False
        owned = first > 0 and self.words[first - 1].text in words_of.OWNERS
        named = end > first and self._capital(first) and not self.shouted
        belongs = "'s" in self.passage.folded[self.words[first].start : self.words[end].end]
        return owned or belongs or not named

    def _capital_end(self, first: int, last: int) -> int | None:
        """The last word of the run of capitals that begins at `first`."""
        if self.shouted or not self._capital(first):
            return None
        end = first
        for index in range(first + 1, last + 1):
            if self._capital(index) or self.words[index].text.isdecimal():
                end = index
            elif self.words[index].text not in words_of.CONNECTORS:
                break
        return end

    def _is_other(self, first: int, last: int) -> bool:
        """A person's day or an occasion in capitals is no town."""
        only = self.words[first].text
        return first == last and (only in _COMMON or only in words_of.SKIPPED)

    def _is_no_state(self, first: int, last: int) -> bool:
        return first < last or not self._state(first) or self._followed_by_code(last)

    def _lone_name(self, first: int, last: int) -> bool:
        """A lower-case word after "in" that ends there: "in quincy", "en cicero on june 6"."""
        texts = [self.words[index].text for index in range(first, last + 1)]
        if any(text in _COMMON or len(text) < 4 or not text.isalpha() for text in texts[:1]):
            return False
        if any(text in _COMMON or _is_slip(text) for text in texts):
            return False
        return self._closes(last) or self._next_text(last) in words_of.AFTER_NAMES

    def _named(self, first: int, last: int) -> bool:
        return not self.shouted and any(map(self._capital, range(first, last + 1)))

    def _next_text(self, index: int) -> str:
        if index + 1 >= len(self.words):
            return ""
        gap = self.passage.folded[self.words[index].end : self.words[index + 1].start]
        return self.words[index + 1].text if TAKEN not in gap else ""

    def _capital_run(self, end: int, last: int) -> int:
        while end < last and self._capital(end + 1) and not self.shouted:
            end += 1
        return end

    def _without_state(self, first: int, last: int) -> int:
        return last - 1 if last > first and self._state(last) else last

    def _state(self, index: int) -> bool:
        word = self.words[index]
        upper = self.passage.original[word.start : word.end].isupper() and not self.shouted
        return word.text in words_of.STATES and (
            upper or word.text not in words_of.STATES_LIKE_WORDS
        )

    def _capital(self, index: int) -> bool:
        return self.passage.original[self.words[index].start].isupper()

    def _closes(self, index: int) -> bool:
        rest = self.passage.folded[self.words[index].end :][:2].strip(" ")
        return not rest or rest[0] in (*_BREAKS, "(", "-", ":", "/") or not rest[0].isalnum()

    def _span(self, first: int, last: int) -> Span:
        return self.words[first].start, self.words[last].end

    def _followed_by_code(self, last: int) -> bool:
        end = self.words[last].end
        if self.postal_at is not None and 0 <= self.postal_at - end <= 3:
            return True
        following = re.match(r",?\s([a-z]{2,13})\b", self.passage.folded[end : end + 16])
        return bool(following) and last + 1 < len(self.words) and self._state(last + 1)

    def _town_after(self, last: int) -> list[Span]:
        """The town in "VFW hall, Quincy 02169"."""
        first = last + 1
        if first >= len(self.words):
            return []
        gap = self.passage.folded[self.words[last].end : self.words[first].start]
        if gap not in (", ", " - ") or self.words[first].text in words_of.STATES:
            return []
        end = self._reach(first)
        if end is None or end - first > 2 or self._is_other(first, end):
            return []
        if any(self.words[index].text in _COMMON for index in range(first, end + 1)):
            return []
        named = all(self._capital(index) for index in range(first, end + 1))
        coded = self._followed_by_code(end)
        if not (coded or (named and self._closes(end) and not self.shouted)):
            return []
        return [self._span(first, self._without_state(first, end))]

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
        if last is None or self.words[first].text in _COMMON:
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
        named = first < last and all(map(self._capital, range(first, last + 1)))
        if not named or any(text in _COMMON | _STOPS for text in texts[:1]):
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
        if any(self.words[index].text in _COMMON for index in range(first, last + 1)):
            return False
        before = self.passage.folded[: self.words[first].start].rstrip(" ")[-1:]
        return before in ("", ",", ".", ";", "\n", TAKEN) or self._next_text(first - 2) in (
            "in",
            "en",
        )

    def _nameable(self, index: int) -> bool:
        text = self.words[index].text
        if text.isdecimal() or (text in _COMMON and not self._capital(index)):
            return False
        return text not in _STOPS and text not in ("in", "en", "near") and text not in _COLOURS

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

    def _is_named_venue(self, span: Span) -> bool:
        inside = self._inside_words(span)
        return self._named(inside[0], inside[-1]) and not self.shouted

    def _is_room_of(self, span: Span, named: list[Span]) -> bool:
        """ "gym at Maple Hollow Elementary", but not "boathouse in Cambridge"."""
        texts = [self.words[index].text for index in self._inside_words(span)]
        if texts[-1] not in words_of.ROOMS:
            return False
        following = next((other for other in named if other > span), None)
        if following is None:
            return True
        return " in " not in f" {self.passage.folded[span[1] : following[0]]} "

    def has_venue(self, span: Span) -> bool:
        return any(self.words[index].text in VENUES for index in self._inside_words(span))

    def _inside_words(self, span: Span) -> list[int]:
        first = self._index(span[0])
        last = first
        while last + 1 < len(self.words) and self.words[last + 1].start < span[1]:
            last += 1
        return list(range(first, last + 1))

    def alone(self, taken: list[Span]) -> list[Span]:
        """A venue that stands by itself between commas: ", Innovation Center,"."""
        found = []
        for segment in _SEGMENT.finditer(self.passage.folded):
            begin, end = self._index(segment.start()), self._index(segment.end())
            free = [i for i in range(begin, end) if not self._taken(i, taken)]
            span = self._venue_among(free)
            if span:
                found.append(span)
        capitals = [span for span in found if self._is_named_venue(span)]
        if not found:
            return []
        best = (capitals or found)[0]
        return [best, *self._town_after(self._inside_words(best)[-1])]

    def _index(self, position: int) -> int:
        """The first word that starts at a position or after it."""
        return bisect_left(self.words, position, key=lambda word: word.start)

    def _taken(self, index: int, spans: list[Span]) -> bool:
        return any(start <= self.words[index].start < end for start, end in spans)

    def _venue_among(self, inside: list[int]) -> Span | None:
        if not inside:
            return None
        first = inside[0]
        while first < inside[-1] and self.words[first].text in words_of.SKIPPED:
            first += 1
        last = self._reach(first)
        if last is not None:
            end = self._whole_venue(first, last, owned=first > inside[0])
            if end is not None:
                return self._span(first, end)
        found = (self._opened_venue(i) or self._capital_venue(i) for i in inside)
        return next(filter(None, found), None)

    def _opened_venue(self, index: int) -> Span | None:
        """ "gerente del restaurante La Noria": a noun with the name in capitals after it."""
        if self.words[index].text not in words_of.OPENS & es.VENUES or self.shouted:
            return None
        last = self._reach(index)
        end = self._opened_end(index, last) if last is not None else index
        return self._span(index, end) if end > index and self._named(index + 1, end) else None

    def _venue(self, index: int) -> bool:
        """A venue noun; "High" and "Square" only in capitals."""
        text = self.words[index].text
        in_capitals = self._capital(index) and not self.shouted
        return text in VENUES or (in_capitals and text in words_of.CAPITAL_VENUES)

    def _whole_venue(self, first: int, last: int, *, owned: bool) -> int | None:
        ends, opens = self.words[last].text, self.words[first].text
        if opens in words_of.OPENS and last > first:
            end = self._opened_end(first, last)
            if end > first:
                return end
        core = next((i for i in range(last, first - 1, -1) if self._venue(i)), first)
        if core < last and self._named_tail(core + 1, last):
            ends = self.words[core].text
        if ends not in VENUES or core - first > 3 or self._is_home(first, core) or owned:
            return None
        texts = [self.words[index].text for index in range(first, core)]
        if any(text in words_of.NO_NAMES or text in _COMMON for text in texts):
            return None
        if ends in PLAIN_VENUES and not (last > first and self._capital(last)):
            return last if first == last and self._set_apart(first) else None
        following = self._next_text(last)
        return last if self._closes(last) or following in words_of.AFTER_VENUES else None

    def _named_tail(self, first: int, last: int) -> bool:
        """ "… on Fulton": small words and capitals."""
        return all(
            self._capital(index) or self.words[index].text in words_of.CONNECTORS
            for index in range(first, last + 1)
        )

    def _set_apart(self, index: int) -> bool:
        """ ", gym," is a place; "gym party" is none."""
        before = self.passage.folded[: self.words[index].start].rstrip(" ")[-1:]
        after = self.passage.folded[self.words[index].end :][:2].strip(" ")[:1]
        return before in _BREAKS and after in ("", *_BREAKS)

    def _capital_venue(self, index: int) -> Span | None:
        """A capitalised name that ends in a venue noun, wherever it stands."""
        if not self._venue(index) or not self._capital(index) or self.shouted:
            return None
        first = index
        lowest = max(0, index - _LONGEST_NAME)
        while first > lowest and self._capital(first - 1) and self._touch(first - 1):
            first -= 1
        while first < index and self.words[first].text in words_of.SKIPPED | _STOPS:
            first += 1
        last = self._capital_end(first, self._reach(first) or index)
        return self._span(first, max(index, last or index)) if first < index else None
