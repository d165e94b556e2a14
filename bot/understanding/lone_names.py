"""Names that stand alone and whose words tell nothing: ", Trinity Lutheran, 12 ft"."""

import re
from dataclasses import dataclass
from itertools import pairwise

from bot.understanding.lexicon import wheres as words_of
from bot.understanding.name_parts import BREAKS, COMMON, STOPS
from bot.understanding.passage import TAKEN, Span
from bot.understanding.venues import SEGMENT, Venues

_ON_STREET = re.compile(
    r"(?:\b(?:on|along|en la|en)|[,.])\s(?P<street>pier\s\d{1,2}|(?:calle|avenida)\s[^\W\d_]+|"
    r"(?:[^\W\d_]+\s){1,2}(?:street|st|"
    r"avenue|ave|road|rd|lane|boulevard|blvd|island|common|square|campus|wharf|pond)\b|\d{1,3}(?:st|nd|rd|th)\s(?:street|st|avenue|ave)\b)"
)
_BEGINS = re.compile(r"(?:^|[.!?\n]\s?)([^\W\d_])")


@dataclass(frozen=True, slots=True)
class LoneNames(Venues):
    """Streets and names in capitals, where nothing surer is said of the place."""

    def on_street(self) -> list[Span]:
        """ "block party on Cedar Street"."""
        for found in _ON_STREET.finditer(self.passage.folded):
            inside = self._inside_words(found.span("street"))
            counted = found["street"][0].isdecimal()
            if inside and (counted or self._named(inside[0], inside[-1])):
                return [found.span("street")]
        return []

    def with_street_before(self, spans: list[Span]) -> list[Span]:
        """The street alone, or before the quarter: "calle Allende, colonia Centro"."""
        street = self.on_street()
        if not spans:
            return street
        joined = bool(street) and self.passage.folded[street[0][1] : min(spans)[0]] == ", "
        return [*street, *spans] if joined else spans

    def lone_names(self) -> list[Span]:
        """Capitals that stand alone and mean nothing else: "…, Trinity Lutheran, 12 ft …"."""
        if self.shouted:
            return []
        segments = list(SEGMENT.finditer(self.passage.folded))
        opening = self._opening(segments[0]) if segments else []
        if opening:
            return opening
        for before, segment in pairwise(segments):
            words = list(range(self._index(segment.start()), self._index(segment.end())))
            if words and self._is_lone_name(words) and not self._of_person(before, segment):
                return [self._span(words[0], words[-1]), *self._town_after(words[-1])]
        return []

    def _opening(self, segment: re.Match[str]) -> list[Span]:
        """ "Our Lady of Lourdes, Taunton. First communion …" opens the message."""
        words = list(range(self._index(segment.start()), self._index(segment.end())))
        if not 1 < len(words) < 6 or self.words[words[0]].text not in words_of.OPEN_MESSAGES:
            return []
        texts = {self.words[index].text for index in words[1:]} - words_of.CONNECTORS
        others = COMMON | STOPS | words_of.NO_LONE_NAMES
        small = words_of.CONNECTORS
        capital = all(self._capital(i) or self.words[i].text in small for i in words)
        if not capital or texts & others - words_of.IN_LONE_NAMES:
            return []
        return [self._span(words[0], words[-1]), *self._town_after(words[-1])]

    def _is_lone_name(self, words: list[int]) -> bool:
        texts = {self.words[index].text for index in words}
        capital = all(self._capital(i) or self.words[i].text in words_of.CONNECTORS for i in words)
        loud = self.passage.original[slice(*self._span(words[0], words[-1]))].isupper()
        other = texts & (COMMON | STOPS | words_of.NO_LONE_NAMES)
        if (
            not capital
            or loud
            or len(words) > 4
            or other - words_of.IN_LONE_NAMES
            or (other and len(words) == 1)
        ):
            return False
        if self.passage.folded[self.words[words[-1]].end :][:1] not in ("", *BREAKS[:-1]):
            return False
        begun = self.passage.original[: self.words[words[0]].start].rstrip(" ")[-1:]
        if begun == "(":
            of_house = words[0] > 0 and self._venue(words[0] - 1)  # "our school (Maple Glen)"
            return (
                of_house or self.words[words[0]].text in words_of.SAINTS
            )  # "in the church (St Ann's, …"
        return begun == "," or (begun in (".", "!", "?") and (len(words) > 1 or self._begins_low()))

    def _begins_low(self) -> bool:
        """Do sentences begin in lower case, so that a capital means a name?"""
        begins = [found.group(1) for found in _BEGINS.finditer(self.passage.original)]
        return sum(map(str.islower, begins)) > len(begins) / 2

    def _of_person(self, before: re.Match[str], segment: re.Match[str]) -> bool:
        """ "my niece, Ana Sofia, turns 5", "Thanks, Maria", "for Jake, Emma and Tom"."""
        told = self.words[self._index(before.start()) : self._index(before.end())]
        told = [] if TAKEN in self.passage.folded[before.end() : segment.start()] else told
        near = {word.text for word in told[-1:]}
        thanked = {word.text for word in told[-4:]} & {"thanks", "thank", "thx", "gracias"}
        after = self._index(segment.end())
        following = self.words[after].text if after < len(self.words) else ""
        ends = not self.passage.folded[segment.end() :].strip(" .!\n")
        signed = ends and self.passage.original[before.end()] != ","
        saint = self.words[self._index(segment.start())].text in words_of.SAINTS
        capital = bool(told) and not saint and self._capital(self._index(before.end()) - 1)
        inside = self.passage.folded[before.end() : segment.start()].endswith("(")
        turns = following in words_of.OF_PERSONS and not inside
        return bool(near & words_of.PERSONS or thanked) or turns or signed or capital
