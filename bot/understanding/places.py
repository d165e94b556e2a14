"""Where the event is: the venue's name or noun and the town, in the client's own words.

Without article, preposition or state: "at the Elm Street Library in Quincy MA 02169" is "Elm Street
Library, Quincy". A name counts after "at", "in" and the like, on its own between commas where it
holds a venue noun, or right before a postal code or a state. One's own home and its grounds are no
place, nor is a mere room of a house that is named beside it.
"""

import re
from dataclasses import dataclass

from bot.understanding.houses import ENOUGH_NAMES, Houses
from bot.understanding.lexicon import PLAIN_VENUES, VENUES
from bot.understanding.lexicon import wheres as words_of
from bot.understanding.name_parts import COMMON
from bot.understanding.passage import TAKEN, Passage, Span

_CUE = re.compile(
    r"(?<![\w'])(?:(?P<sure>(?:venue|location|address|where|place|hall|restaurant|town|city|lugar|"
    r"direccion|ubicacion)(?:\s(?:is|"
    r"es|will be|sera|called|named|se llama)|:)+(?:\s(?:at|in|en))?(?:\s(?:the|el|la))?|(?:its|"
    r"it's|it is|event is|"
    r"party is|"
    r"reception is|ceremony is|held|hosted|party|wedding|shower|reception|event|fiesta|boda|es|"
    r"sera|va a "
    r"ser)\s(?:at|@|en)(?:\s(?:the|el|la))?)|"
    r"(?P<at>at|@|over at|(?:its|it's|it is) (?:now|gonna be|going to be)|"
    r"inside|outside(?: of)?|afuera de|dentro de|venue|location|lugar|ubicacion|"
    # What opens again is there to be gone to; what opens newly may be any shop.
    r"(?:reapertura|reinauguracion) del?|re-?opening of)|"
    r"(?P<town>in|near|downtown|"
    r"deliver(?:ed|y|ing)? (?:to|in)|come (?:out |over |down )?to|(?:go|going|out|over|travel|"
    r"drive|moved|changed|switched) to|em|en|"
    r"cerca de|hasta|"
    r"nan)|(?P<use>for|para|by|beside|behind|across from|next to|"
    r"detras de|atras de|frente a|booked|rented|reserved|rentamos|apartamos))\s"
)
_LIVES = re.compile(
    r"\b(?:lives?|(?<!assisted )(?<!senior )living|born|grew up|raised|vive|viven|vivo|"
    r"stuck|esta|works?|interested|seen|"
    r"she's|"
    r"he's|he is|she is)\s$"
)
_WORKS = re.compile(
    r"\b(?:teach(?:es|er)?|works?|working|yrs|years|anos|nurse|student|studies|enrolled|goes|"
    r"trabaja\w*|"
    r"estudia\w*|"
    r"pagos?|pagar|payments?|pay)\s$"
)
_LIVES_FOR_TOWNS = re.compile(
    r"\b(?:lives?|(?<!assisted )(?<!senior )living|born|grew up|raised|vive|viven|vivo|works?)\s$"
)
_TOGETHER = (
    *(" up in ", " over in ", " out in ", " down in "),
    *(", ", " - ", " ", " in ", " en ", ", in ", ", en "),
    *(" in the ", " en el ", " en la "),
    *(" on ", " at ", " near ", " de ", " cerca de ", " sobre "),
)


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
        if len(spans) > ENOUGH_NAMES:
            break
        if not any(start <= match.start() < end for start, end in spans):
            spans += reading.after_cue(match)
    if not address and not any(map(reading.has_venue, spans)):
        spans += reading.alone(spans)
    elif not address:
        spans = reading.named_instead(spans)
    if not any(reading.ends_at_code(span) for span in spans):
        spans += reading.town_before_code(spans)
    spans = reading.with_street_before(spans) or reading.lone_names()
    spans = reading.telling(sorted(set(spans)))[: ENOUGH_NAMES + len(address)]
    spans = [reading.with_hall_before(span) for span in reading.with_house_before(spans)]
    spans = _outermost([reading.with_street_after(span) for span in spans])
    spans = [reading.with_state(span) for span in spans]
    return Place(_joined(passage.original, spans), tuple(spans))


def _outermost(spans: list[Span]) -> list[Span]:
    """Without what lies inside the one before."""
    return [
        (start, end)
        for index, (start, end) in enumerate(spans)
        if not any(first <= start and end <= last for first, last in spans[:index])
    ]


def _joined(text: str, spans: list[Span]) -> str | None:
    """The names as they stand in the text where they stand together: "Elm Hall in Quincy MA"."""
    name = ""
    for index, (start, end) in enumerate(spans):
        gap = text[spans[index - 1][1] : start] if index else ""
        together = gap.lower() in _TOGETHER
        name += (gap if together else ", ") * bool(name) + text[start:end].strip(" .")
    return name or None


def _shouted(text: str) -> bool:
    """Is nearly everything in capitals, so that they tell nothing?"""
    letters = [char for char in text if char.isalpha()]
    return sum(map(str.isupper, letters)) > 0.6 * len(letters)


@dataclass(frozen=True, slots=True)
class _Reading(Houses):
    """The names of places in a passage."""

    def after_cue(self, cue: re.Match[str]) -> list[Span]:
        """The name that follows "at", "in" and the like, with its town."""
        first = self._index(cue.end() - 1)
        if (
            first == len(self.words)
            or TAKEN in self.passage.folded[cue.end() - 1 : self.words[first].start]
        ):
            return []
        before = self.passage.folded[max(0, cue.start() - 20) : cue.start()]
        if _WORKS.search(before) or (cue["town"] and _LIVES_FOR_TOWNS.search(before)):
            return []
        article = first
        first = self._past_articles(first)
        part = self._is_part(first)
        if part:
            first = self._past_articles(first + 2)
        elif self._is_own_shop(first):
            first += 1
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
        if cue["use"] and (kept is None or not (part or self._is_venue_for(first, kept))):
            return []
        if kept == first and self._is_of_someone(kept):
            return []
        if kept is None or (_LIVES.search(before) and not self._named(first, kept)):
            return []
        return [self._span(first, kept), *self._town_after(kept)]

    def _is_part(self, first: int) -> bool:
        """ "the basement of St. Paul's": the house is the place."""
        if first + 2 >= len(self.words) or self._capital(first):
            return False
        part = self.words[first].text in words_of.ROOMS | words_of.HOME | words_of.PARTS
        return part and self.words[first + 1].text in ("of", "behind", "de", "del")

    def _is_of_someone(self, noun: int) -> bool:
        """ "la quinta de mis tios", "the barn of my uncle"."""
        texts = [word.text for word in self.words[noun + 1 : noun + 3]]
        return len(texts) > 1 and texts[0] in ("de", "of") and texts[1] in words_of.OWNERS

    def _is_own_shop(self, first: int) -> bool:
        """ "our cafe Copper Kettle": the noun is no part of the name."""
        if first == 0 or first + 1 >= len(self.words) or self.shouted:
            return False
        owned = self.words[first - 1].text in words_of.ENGLISH_OWNERS
        named = self._capital(first + 1) and not self._capital(first) and self._touch(first)
        return owned and named and self._venue(first)

    def _is_venue_for(self, first: int, last: int) -> bool:
        """ "two columns for the riverside community hall"; "for our shop" is no place."""
        plain = any(self.words[index].text in COMMON for index in range(first, last))
        if self.words[first].text in words_of.OPENS:
            return self._named(first, last) or self.words[last].text in words_of.KINDS
        if self.words[last].text == "elementary":  # "behind wexford elementary"
            return last == first + 1 and self.words[first].text not in words_of.NO_NAMES | COMMON
        return last > first and not plain and self.words[last].text in VENUES - PLAIN_VENUES
