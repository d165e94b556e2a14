"""What belongs together: the hall of a house, the house in a town or a street."""

import re
from dataclasses import dataclass

from bot.understanding.lexicon import wheres as words_of
from bot.understanding.name_parts import COMMON, STOPS
from bot.understanding.passage import Span
from bot.understanding.towns import Towns

_OF_HOUSE = re.compile(r" (?:at|of|del?|en)(?: (?:the|el|la))? $")
_ON_A_STREET = re.compile(
    r" on (?:[^\W\d_]+ ){1,2}(?:street|st|avenue|ave|road|rd|lane|boulevard|blvd)\b|"
    r" on the [^\W\d_]+ river\b"
)
ENOUGH_NAMES = 2  # the venue and its town


@dataclass(frozen=True, slots=True)
class Houses(Towns):
    """Names of places put together, and those left out that say no more."""

    def with_house_before(self, spans: list[Span]) -> list[Span]:
        """With the house before a town or a street: "Vine & Barrel in Lodi", "Elm Living, 77 "
        "Oak St"."""
        if not spans or self.shouted:
            return spans
        street = self._is_street(spans[0])
        last = self._last_before(spans[0], street=street)
        if last is None or (self.has_venue(spans[0]) and not street):
            return spans
        in_town = self.passage.folded[: spans[0][0]].endswith(" in ")
        house = self._low_house(last) if in_town else None
        if house is None:
            house = self._opened_before(last)
        if house is None and self._numbered(last) and self.words[last].text.isdecimal():
            house = self._noun_phrase(last - 1)  # "station 6 on Harmon Ave"
        if house is None:
            house = self._named_house(last)
        return spans if house is None else [self._span(house, last), *spans][: ENOUGH_NAMES + 1]

    def _last_before(self, span: Span, *, street: bool) -> int | None:
        """The word before "in" and the like, or before the comma, that leads to a town."""
        last = self._index(span[0]) - 1
        if last >= 0 and self.words[last].text in ("in", "en", "on", *("at",) * street):
            last -= 1
        elif last < 0 or self.passage.folded[self.words[last].end : span[0]] != ", ":
            return None
        return last if last >= 0 else None

    def _named_house(self, last: int) -> int | None:
        """The first word of a name in capitals, or of a noun phrase, that ends at `last`."""
        homely = words_of.HOME | words_of.PREMISES
        if self._noun_phrase(last) < last:
            homely = words_of.HOME  # "barre studio on 3rd street"
        if self._is_house(last) and self.words[last].text not in homely:
            first = self._noun_phrase(last)
            return None if self._is_ones_own(first) else first
        first = self._capitals_before(last)
        while first < last and self.words[first].text in words_of.SKIPPED:
            first += 1
        texts = {self.words[index].text for index in range(first, last + 1)}
        article = first > 0 and self.words[first - 1].text in ("the", "at", "el", "la")
        named = (first < last or article) and all(map(self._capital, range(first, last + 1)))
        other = texts & (STOPS | words_of.TITLES) or texts <= COMMON
        return first if named and not other else None

    def _opened_before(self, last: int) -> int | None:
        """The noun of "Salón de eventos Quetzal (, Av. Reforma 120)"."""
        for head in range(last - 1, max(-1, last - 5), -1):
            if self.words[head].text in words_of.OPENS and self._reach(head) == last:
                return head if self._opened_end(head, last) == last else None
        return None

    def _is_ones_own(self, first: int) -> bool:
        """ "our new (yoga studio)"."""
        before = first - 1
        while before > 0 and self.words[before].text in words_of.NO_NAMES - words_of.OWNED:
            before -= 1
        return before >= 0 and self.words[before].text in words_of.OWNED

    def _low_house(self, last: int) -> int | None:
        """The first word of a name in lower case that ends at `last` and says where rather than
        what: "jump zone (in peabody)", "at the museum of printing (in haverhill)"."""
        first = last
        while first > 0 and last - first < 3 and self._touch(first - 1):
            if not (self._is_low(first - 1) or self._of_house(first - 1)):
                break
            first -= 1
        texts = [self.words[index].text for index in range(first, last + 1)]
        if len(texts) < 2 or not self._is_low(last) or not self._is_low(first):
            return None
        before = self.words[first - 1].text if first else ""
        apart = first == 0 or not self._touch(first - 1)
        if "of" in texts:
            return first if apart or before in ("the", "at") else None
        led = before in ("at", "its", "venue", "is") or (
            before == "the" and first > 1 and self.words[first - 2].text in ("at", "its", "is")
        )
        return first if apart or led else None

    def _is_low(self, index: int) -> bool:
        """A word in lower case that may be part of a name."""
        text = self.words[index].text
        common = COMMON | STOPS | words_of.SKIPPED | words_of.NO_HOUSES | words_of.NO_LONE_NAMES
        plain = text in common | words_of.KIN | words_of.PERSONS | words_of.OWNERS
        verb = text.endswith(("ing", "ed")) and not self._of_house(index - 1)
        return not (plain or verb or self._capital(index) or not text.isalpha() or len(text) < 3)

    def _of_house(self, index: int) -> bool:
        """The "of" of "museum of printing"."""
        return index > 0 and self.words[index].text == "of" and self._is_house(index - 1)

    def _is_street(self, span: Span) -> bool:
        return any(map(str.isdigit, self.passage.original[slice(*span)]))

    def _capitals_before(self, last: int) -> int:
        """The first of the words in capitals that end at `last`."""
        first = last
        while first > 0 and self._capital(first - 1) and self._touch(first - 1):
            first -= 1
        return first

    def _noun_phrase(self, last: int) -> int:
        """The first word of a venue's noun phrase: "social hall", "Old Mill barn"."""
        first = last
        while first > 0 and last - first < 3 and self._touch(first - 1):
            text = self.words[first - 1].text
            plain = text in COMMON | STOPS | words_of.SKIPPED | words_of.NO_NAMES
            plain = plain and not (first == last and text in words_of.PURPOSES)
            if plain and not (self._capital(first - 1) and text not in words_of.SKIPPED):
                break
            first -= 1
        return first

    def with_hall_before(self, span: Span) -> Span:
        """ "social hall at Temple Beth Ami", "club house at Linden Pool": more than a room."""
        before = self.passage.folded[: span[0]]
        linked = _OF_HOUSE.search(before)
        if linked is None or not self._is_named_venue(span):
            return span
        last = self._index(linked.start()) - 1
        if last < 0 or not self._is_house(last):
            return span
        apart = self.passage.folded[self.words[last].end : span[0]] != linked.group()
        home = self.words[last].text in words_of.HOME | words_of.PREMISES - {"auditorium"}
        home = home and not (last > 0 and self._touch(last - 1) and self._venue(last - 1))
        return span if apart or home else (self.words[self._noun_phrase(last)].start, span[1])

    def with_street_after(self, span: Span) -> Span:
        """ "Tavolo on Main St"."""
        street = _ON_A_STREET.match(self.passage.folded, span[1])
        return (span[0], street.end()) if street and not self.shouted else span

    def named_instead(self, spans: list[Span]) -> list[Span]:
        """ "Pell Mansion, Newton. … garland at the mansion": the name tells more."""
        text = self.passage.folded
        if len(spans) != 1 or self._is_named_venue(spans[0]):
            return spans
        named = self.alone(spans)
        noun = text[slice(*spans[0])]
        fuller = bool(named) and self._is_named_venue(named[0])
        return named if fuller and text[slice(*named[0])].endswith(f" {noun}") else spans

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
