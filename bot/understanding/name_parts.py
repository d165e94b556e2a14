"""What a word in a message may be to the name of a place: a capital, a noun, a town, a state."""

import re
from bisect import bisect_left
from dataclasses import dataclass

from bot.understanding.lexicon import (
    MONTHS,
    NUMBER_WORDS,
    OCCASIONS,
    SUPPORTS,
    VENUES,
    WEEKDAYS,
    en,
    es,
)
from bot.understanding.lexicon import wheres as words_of
from bot.understanding.passage import TAKEN, Passage, Span, Word

LONGEST_NAME = 8
BREAKS = (",", ".", ";", "!", "?", "\n", ")", TAKEN)
COLOURS = frozenset(en.COLOURS | en.SHY_COLOURS | en.COLOUR_MODIFIERS | frozenset(es.COLOURS))
# Words that mean something else in this trade: never a town in lower case.
COMMON = (
    COLOURS
    | frozenset(en.COLOUR_SPELLINGS)
    | words_of.NO_TOWNS
    | frozenset(MONTHS)
    | frozenset(WEEKDAYS)
    | frozenset(NUMBER_WORDS)
    | frozenset(word for phrase in (*OCCASIONS, *SUPPORTS) for word in phrase.split())
) - words_of.BEGIN_TOWNS
STOPS = words_of.STOPS | frozenset(MONTHS) | frozenset(WEEKDAYS)


@dataclass(frozen=True, slots=True)
class Parts:
    """The words of a passage, one by one.

    `postal_at` is where the postal code stands; `shouted` is set where nearly everything is in
    capitals, so that they tell nothing.
    """

    passage: Passage
    words: list[Word]
    postal_at: int | None
    shouted: bool

    def _tints(self, index: int) -> bool:
        """The colour of a house, in its name: "red barn"; "white room" is no name."""
        following = index + 1
        if self.words[index].text in VENUES:
            return True
        homely = words_of.HOME | words_of.PREMISES | words_of.ROOMS
        return (
            following < len(self.words)
            and self._touch(index)
            and self._venue(following)
            and self.words[following].text not in homely
        )

    def _is_y(self, index: int) -> bool:
        """ "the Y" is a gym; Spanish "y" has no English article."""
        return self.words[index].text == "y" and index > 0 and self.words[index - 1].text == "the"

    def _numbered(self, index: int) -> bool:
        """ "VFW Post 118", "Bistro 22", but "Elm Hall" and then 2 columns."""
        if index == 0:
            return False
        opens = self._capital(index - 1) and self._venue(index - 1)
        begins = index < 2 or not (self._touch(index - 2) and self._capital(index - 2))
        return self.words[index - 1].text in words_of.NUMBERED or (
            opens and begins and not self.shouted
        )

    def _of_town(self, index: int) -> bool:
        """ "Petersham town common"."""
        follows = index + 1 < len(self.words) and self._touch(index)
        return follows and self.words[index].text == "town" and self._venue(index + 1)

    def _is_house(self, index: int) -> bool:
        """A venue noun that is more than a room of one: "the Barn", "social hall", "Tap Room"."""
        if self._is_public(index):
            return True
        room = self.words[index].text in words_of.ROOMS
        named = index > 0 and self._named(index - 1, index) and self._touch(index - 1)
        return self._venue(index) and (not room or (named and self._capital(index)))

    def _leads_to_name(self, index: int) -> bool:
        """ "(the Barn) at Willow Creek", "(community center) on Fulton"."""
        following = index + 1
        named = following < len(self.words) and self._capital(following) and not self.shouted
        return named and self._touch(index) and self.words[following].text not in STOPS

    def _touch(self, index: int) -> bool:
        gap = self.passage.folded[self.words[index].end : self.words[index + 1].start]
        short = self.words[index].end - self.words[index].start <= 2
        short = short or self.words[index].text == "sts"
        return gap in (" ", "-", " & ", "' ") or (gap == ". " and short)  # "St. Ann's"

    def _is_public(self, index: int) -> bool:
        """ "opera house", "boat house": nobody's home."""
        public = self.words[index].text == "house" and index > 0 and self._touch(index - 1)
        return public and self.words[index - 1].text in words_of.PUBLIC_HOUSES

    def _named(self, first: int, last: int) -> bool:
        return not self.shouted and any(map(self._capital, range(first, last + 1)))

    def _next_text(self, index: int) -> str:
        if index + 1 >= len(self.words):
            return ""
        gap = self.passage.folded[self.words[index].end : self.words[index + 1].start]
        return self.words[index + 1].text if TAKEN not in gap else ""

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
        return not rest or rest[0] in (*BREAKS, "(", "-", ":", "/") or not rest[0].isalnum()

    def _span(self, first: int, last: int) -> Span:
        end = self.words[last].end
        if self._of_possessive(last):
            end -= 2
        return self.words[first].start, end

    def _of_possessive(self, index: int) -> bool:
        """ "Dunmore Library's kickoff"."""
        word = self.words[index]
        if not word.text.endswith("s") or word.text[:-1] not in VENUES:
            return False
        possessive = self.passage.folded[word.start : word.end].endswith("'s")
        return possessive and self._capital(index)

    def _followed_by_code(self, last: int) -> bool:
        end = self.words[last].end
        if self.postal_at is not None and 0 <= self.postal_at - end <= 3:
            return True
        following = re.match(r",?\s([a-z]{2,13})\b", self.passage.folded[end : end + 16])
        return bool(following) and last + 1 < len(self.words) and self._state(last + 1)

    def _nameable(self, index: int) -> bool:
        text = self.words[index].text
        if text.isdecimal() or (text in COMMON and not self._capital(index)):
            return False
        return text not in STOPS and text not in ("in", "en", "near") and text not in COLOURS

    def _index(self, position: int) -> int:
        """The first word that starts at a position or after it."""
        return bisect_left(self.words, position, key=lambda word: word.start)

    def _venue(self, index: int) -> bool:
        """A venue noun; "High" and "Square" only in capitals."""
        text = self.words[index].text
        in_capitals = self._capital(index) and not self.shouted
        of_town = index > 0 and self.words[index - 1].text in ("town", "village", "city")
        capital_venue = text in words_of.CAPITAL_VENUES and in_capitals
        if self._is_y(index) or self._of_possessive(index):
            return True
        return text in VENUES or capital_venue or (text in words_of.TOWN_GROUNDS and of_town)
