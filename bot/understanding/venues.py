"""Venues that stand by themselves in a message, without a word such as "at" before them."""

import re
from dataclasses import dataclass

from bot.understanding.lexicon import PLAIN_VENUES, VENUES, es
from bot.understanding.lexicon import wheres as words_of
from bot.understanding.name_parts import BREAKS, COMMON, LONGEST_NAME, STOPS
from bot.understanding.names import Names
from bot.understanding.passage import TAKEN, Span

SEGMENT = re.compile(rf"(?:\b(?:sts?|ss|mt)\.\s|(?! - )[^,.;:!?\n()\"{TAKEN}])+")


@dataclass(frozen=True, slots=True)
class Venues(Names):
    """The venues of a passage, and the towns right after them."""

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
        named = all(self._capital(index) for index in range(first, end + 1))
        texts = {self.words[index].text for index in range(first, end + 1)}
        if texts <= COMMON or (texts & COMMON and not named):
            return []
        coded = self._followed_by_code(end)
        if not (coded or (named and self._ends(end) and not self.shouted)):
            return []
        return [self._span(first, self._without_state(first, end))]

    def _ends(self, index: int) -> bool:
        """At a stop, or before "on June 6"."""
        return self._closes(index) or self._next_text(index) in words_of.AFTER_NAMES

    def _is_named_venue(self, span: Span) -> bool:
        inside = self._inside_words(span)
        return bool(inside) and self._named(inside[0], inside[-1]) and not self.shouted

    def has_venue(self, span: Span) -> bool:
        return any(self.words[index].text in VENUES for index in self._inside_words(span))

    def _inside_words(self, span: Span) -> list[int]:
        first = self._index(span[0])
        if first == len(self.words) or self.words[first].start >= span[1]:
            return []
        last = first
        while last + 1 < len(self.words) and self.words[last + 1].start < span[1]:
            last += 1
        return list(range(first, last + 1))

    def alone(self, taken: list[Span]) -> list[Span]:
        """A venue that stands by itself between commas: ", Innovation Center,"."""
        found = []
        for segment in SEGMENT.finditer(self.passage.folded):
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
            owned = any(self.words[i].text in words_of.OWNED for i in range(inside[0], first))
            end = self._whole_venue(first, last, owned=owned)
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

    def _whole_venue(self, first: int, last: int, *, owned: bool) -> int | None:
        ends, opens = self.words[last].text, self.words[first].text
        if opens in words_of.OPENS and last > first:
            end = self._opened_end(first, last)
            if end > first:
                return end
        core = next((i for i in range(last, first - 1, -1) if self._venue(i)), first)
        if core < last and self._named_tail(core + 1, last):
            ends = self.words[core].text
        longest = 5 if opens in words_of.SAINTS else 3  # "Sts. Peter and Paul church hall"
        house = (ends in VENUES or self._is_y(core)) and core - first <= longest
        if not house or owned or self._is_home(first, core):
            return None
        unnamed = words_of.NO_NAMES | COMMON
        plain = (i for i in range(first, core) if self.words[i].text in unnamed)
        if not all(self._bears(i) or (i > first and self._venue(i)) for i in plain):
            return None
        if ends in PLAIN_VENUES and not (last > first and self._capital(last)):
            return last if first == last and self._set_apart(first) else None
        following = self._next_text(last)
        return last if self._closes(last) or following in words_of.AFTER_VENUES else None

    def _bears(self, index: int) -> bool:
        """A small word inside a name: "Sisters of Mercy convent"."""
        linked = self.words[index].text in words_of.CONNECTORS
        return linked and self._named(index - 1, index - 1) and self._named(index + 1, index + 1)

    def _is_room(self, index: int) -> bool:
        return self.words[index].text in words_of.ROOMS

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
        return before in BREAKS and after in ("", *BREAKS)

    def _after_capitals(self, index: int) -> bool:
        """ "Grand Alder ballroom"."""
        if index > 1 and self._touch(index - 1) and self._capital(index - 1):
            before = self.passage.folded[: self.words[index - 1].start].rstrip(" ")
            single = self.words[index - 2].text == "the" or before.endswith(",")
            if single and self.words[index].text not in words_of.HOME | words_of.ROOMS:
                return self.words[index - 1].text not in COMMON  # "the Hilliard hotel"
        two = index > 1 and self._touch(index - 1) and self._touch(index - 2)
        named = two and self._capital(index - 1) and self._capital(index - 2)
        return named and not self._is_home(index - 2, index)

    def _capital_venue(self, index: int) -> Span | None:
        """A capitalised name that ends in a venue noun, wherever it stands."""
        if not self._venue(index) or self.shouted:
            return None
        if not self._capital(index) and not self._after_capitals(index):
            return None
        first = index
        lowest = max(0, index - LONGEST_NAME)
        while first > lowest and self._capital(first - 1) and self._touch(first - 1):
            first -= 1
        while first < index and self.words[first].text in words_of.SKIPPED | STOPS:
            first += 1
        reach = self._reach(first) or index
        last = self._capital_end(first, reach) or index
        if last + 1 < reach and self._venue(last + 1) and self._numbered(last + 2):
            last += 2  # "Shawnee Park pavilion 2"
        while self._venue(last) and last + 1 <= reach and self._is_room(last + 1):
            last += 1  # "Belton High School gym"
        return self._span(first, max(index, last)) if first < index else None
