"""Where: postal code, place and setting.

The place is the venue's name or noun and the town, in the client's own words without article,
preposition or state: "at the Elm Street Library in Quincy MA 02169" is "Elm Street Library,
Quincy". A name counts after "at", "in" and the like, or on its own between commas where it holds a
venue noun. A lower-case town counts only where a postal code or a state follows it.
"""

import re
from bisect import bisect_left
from dataclasses import dataclass

from bot.understanding.lexicon import (
    INDOOR,
    MONTHS,
    OUTDOOR,
    PLAIN_VENUES,
    VENUES,
    WEEKDAYS,
    en,
    es,
)
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import TAKEN, Passage, Phrases, Span, Word


@dataclass(frozen=True, slots=True)
class Place:
    name: str | None
    spans: tuple[Span, ...]


_US_CODE = re.compile(r"(?<![\w$#€£.,/-])(?P<code>\d{5}(?:-\d{4})?)(?![\w-]|[.,]\d)")
_BRITISH_CODE = re.compile(r"\b(?P<code>[a-z]{1,2}\d[a-z\d]?\s?\d[a-z]{2})\b")
_CANADIAN_CODE = re.compile(r"\b(?P<code>[a-z]\d[a-z]\s?\d[a-z]\d)\b")
_NOT_CODE_BEFORE = re.compile(
    r"(?:order|invoice|confirmation|ref|reference|lead|quote|ticket|number|numero|no\.?|pedido|"
    r"account)\s?(?:is|es|:|#)?\s?$"
)
_NOT_CODE_AFTER = re.compile(
    r"\s(?:balloons?|globos|people|guests|ppl|personas|dollars|bucks|pesos|attendees|fans|sq|"
    r"(?:[nsew]\.?\s)?(?:\w+\s){1,2}(?:st|street|ave|avenue|rd|road|blvd|boulevard|drive|dr|lane|"
    r"ln|way|highway|hwy|court|ct)\b)"
)


def postal_code_in(passage: Passage, locale: str) -> tuple[str | None, tuple[Span, ...]]:
    """The postal code: five digits in the United States, Mexico and Spain, letters and digits
    where the locale's country writes them so."""
    country = locale.upper().split("-")[-1]
    pattern = {"GB": _BRITISH_CODE, "CA": _CANADIAN_CODE}.get(country, _US_CODE)
    text = passage.folded
    for match in pattern.finditer(text):
        before = text[max(0, match.start() - 16) : match.start()]
        if not _NOT_CODE_BEFORE.search(before) and not _NOT_CODE_AFTER.match(text, match.end()):
            return match["code"].upper(), (match.span("code"),)
    return None, ()


_SETTINGS: Phrases[str] = Phrases(
    {**dict.fromkeys(INDOOR, "indoor"), **dict.fromkeys(OUTDOOR, "outdoor")}
)
_NOT_BEFORE = re.compile(r"\b(?:not|no|isn'?t|wont be|instead of|if|en vez de)\s$")
_NOT_SETTING_AFTER = re.compile(
    r"\s(?:(?:the|our|my)\s(?:\w+\s)?(?:door|doors|entrance|room|hall|ballroom|gym)\b|"
    r"of\s(?:town|boston|the\s(?:city|box|balloon))|the\s(?:budget|balloons?)|de\s(?:la ciudad|"
    r"mi presupuesto))"
)


def setting_in(passage: Passage) -> tuple[str | None, bool]:
    """ "indoor", "outdoor" or None, and whether both were said."""
    words = passage.words()
    said = set()
    for hit in _SETTINGS.find(words):
        start, end = words[hit.first].start, words[hit.last].end
        before = passage.folded[max(0, start - 12) : start]
        if not _NOT_BEFORE.search(before) and not _NOT_SETTING_AFTER.match(passage.folded, end):
            said.add(hit.value)
    return (said.pop(), False) if len(said) == 1 else (None, bool(said))


_CUE = re.compile(
    r"(?<![\w])(?:(?P<sure>(?:venue|location|address|lugar|direccion|ubicacion)(?:\s(?:is|es|"
    r"will be)|:)+(?:\sat|\sin|\sen)?)|"
    r"(?P<at>at|@|held at|over at|inside)|(?P<town>in|near|outside of|from|deliver(?:ed|y)? to|"
    r"come to|en|cerca de|hasta|to))\s"
)
_SKIPPED = listed(
    """
    a an the our my his her your their this some un una el la los las nuestro nuestra mi
    su sus local
    """
)
_STATES = listed(
    """
    al ak az ar ca co ct dc de fl ga hi ia id il in ks ky la ma md me mi mn mo ms mt nc nd
    ne nh nj nm nv ny oh ok or pa ri sc sd tn tx ut va vt wa wi wv wy mass massachusetts
    maine florida texas california connecticut vermont jersey
    """
)
_STATES_LIKE_WORDS = listed(
    """
    al co de hi id in la ma me ok or pa
    """
) - {"ma"}
_STOPS = (
    listed(
        """
    on for with at from by is are and we i but so to this next around starting n plus near
    which that in it its the a an if can could do does have has having want need will
    would be was were please thanks thank pls starts start party event para con por y el
    es son que mas me del al quiero necesito around about before after between until till
    colors colours color budget indoors indoor outdoors outdoor inside outside setup set w
    interior exterior adentro afuera
    you u or not no garland balloons balloon arch hoop column columns morning afternoon
    evening night noon town advance total person general stock gold silver today tomorrow
    tonight approx zip code cp
    """
    )
    | frozenset(MONTHS)
    | frozenset(WEEKDAYS)
)
_OPENS = listed(
    """
    temple hotel restaurant church salon iglesia templo restaurante parque escuela
    hacienda colegio quinta finca rancho capilla club park
    """
)
_COLOURS = frozenset(en.COLOURS | en.SHY_COLOURS | en.COLOUR_MODIFIERS | frozenset(es.COLOURS))
_SEGMENT = re.compile(rf"[^,.;:!?\n()\"{TAKEN}]+")
_LONGEST_NAME = 6
_BREAKS = (",", ".", ";", "!", "\n", TAKEN)
_ENOUGH_NAMES = 2  # the venue and its town


def place_in(passage: Passage, postal_at: int | None) -> Place:
    """Venue and town. `postal_at` is where the postal code stands, if there is one."""
    words = passage.words()
    reading = _Reading(passage, words, postal_at, _shouted(passage.original))
    spans: list[Span] = []
    for match in _CUE.finditer(passage.folded):
        if len(spans) >= _ENOUGH_NAMES:
            break
        if not any(start <= match.start() < end for start, end in spans):
            spans += reading.after_cue(match)
    if not any(reading.has_venue(span) for span in spans):
        spans += reading.alone(spans)
    if postal_at is not None and not any(reading.ends_at_code(span) for span in spans):
        spans += reading.town_before_code(spans)
    spans = sorted(set(spans))[:_ENOUGH_NAMES]
    spans = [span for span in spans if not reading.repeats(span, spans)]
    names = [passage.original[start:end].strip() for start, end in spans]
    return Place(", ".join(names) or None, tuple(spans))


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
        first = self._index(cue.end() - 1)
        if (
            first == len(self.words)
            or TAKEN in self.passage.folded[cue.end() - 1 : self.words[first].start]
        ):
            return []
        while first < len(self.words) and self.words[first].text in _SKIPPED:
            first += 1
        last = self._reach(first)
        if last is None or self.words[first].start - cue.end() > 16:
            return []
        kept = self._trim(first, last, bool(cue["sure"]), bool(cue["town"]))
        if kept is None:
            return []
        span = (self.words[first].start, self.words[kept].end)
        return [span, *self._town_after(kept)]

    def _reach(self, first: int) -> int | None:
        """The last word of a name that begins at `first`."""
        last = None
        for index in range(first, min(first + _LONGEST_NAME, len(self.words))):
            word = self.words[index]
            if last is not None and not self._touch(index - 1):
                break
            if word.text in _STOPS and not (last is not None and word.text in ("of", "de")):
                break
            if word.text.isdecimal() or (word.text in _COLOURS and not self._capital(index)):
                break
            last = index
        return last

    def _touch(self, index: int) -> bool:
        gap = self.passage.folded[self.words[index].end : self.words[index + 1].start]
        short = self.words[index].end - self.words[index].start <= 2
        return gap in (" ", "-", " & ") or (gap == ". " and short)  # "St. Ann's"

    def _trim(self, first: int, last: int, sure: bool, town: bool) -> int | None:
        """Where the name really ends, None where it is no name."""
        venues = [i for i in range(first, last + 1) if self.words[i].text in VENUES]
        if venues:
            end = venues[-1]
            if self.words[venues[0]].text in _OPENS:
                return (
                    self._capital_run(end, last)
                    if any(map(self._capital, range(end + 1, last + 1)))
                    else (last if last - end <= 2 and self._closes(last) else end)
                )
            return self._capital_run(end, last)
        if all(self._capital(index) for index in range(first, last + 1)) and not self.shouted:
            return self._without_state(first, last)
        if sure and last - first < 4:
            return self._without_state(first, last)
        if town and last - first < 4 and self._followed_by_code(last):
            return self._without_state(first, last)
        if town and self._state(last) and last > first:
            return last - 1
        return None

    def _capital_run(self, end: int, last: int) -> int:
        while end < last and self._capital(end + 1):
            end += 1
        return self._without_state(end, end) if self.words[end].text in VENUES else end

    def _without_state(self, first: int, last: int) -> int:
        return last - 1 if last > first and self._state(last) else last

    def _state(self, index: int) -> bool:
        word = self.words[index]
        upper = self.passage.original[word.start : word.end].isupper()
        return word.text in _STATES and (upper or word.text not in _STATES_LIKE_WORDS)

    def _capital(self, index: int) -> bool:
        word = self.words[index]
        return self.passage.original[word.start].isupper()

    def _closes(self, index: int) -> bool:
        end = self.words[index].end
        return (
            not self.passage.folded[end : end + 1].strip(" ")
            or self.passage.folded[end] in ",.;!?\n)\0"
        )

    def _followed_by_code(self, last: int) -> bool:
        end = self.words[last].end
        if self.postal_at is not None and 0 <= self.postal_at - end <= 3:
            return True
        return bool(
            re.match(
                r",?\s(?:ma|mass|ny|ct|nh|ri|nj|ca|fl|tx)\b", self.passage.folded[end : end + 8]
            )
        )

    def _town_after(self, last: int) -> list[Span]:
        """The town in "VFW hall, Quincy 02169"."""
        first = last + 1
        if first >= len(self.words):
            return []
        gap = self.passage.folded[self.words[last].end : self.words[first].start]
        if gap != ", " or self.words[first].text in _STATES:
            return []
        end = self._reach(first)
        if end is None or end - first > 2:
            return []
        named = all(self._capital(index) for index in range(first, end + 1))
        coded = self._followed_by_code(end)
        if not (coded or (named and self._closes(end) and not self.shouted)):
            return []
        return [(self.words[first].start, self.words[self._without_state(first, end)].end)]

    def ends_at_code(self, span: Span) -> bool:
        return self.postal_at is not None and 0 <= self.postal_at - span[1] <= 6

    def town_before_code(self, taken: list[Span]) -> list[Span]:
        """ "…, Somerville MA 02143": up to three words that stand right before the code."""
        code = self.postal_at or 0
        last = self._index(code) - 1
        if last < 0 or code - self.words[last].end > 2:
            return []
        if self._state(last):
            last -= 1
        first = last
        while (
            first > 0 and last - first < 2 and self._touch(first - 1) and self._nameable(first - 1)
        ):
            first -= 1
        if (
            last < 0
            or not self._nameable(last)
            or any(s < self.words[last].end <= e for s, e in taken)
        ):
            return []
        named = all(self._capital(index) for index in range(first, last + 1))
        opened = (
            first > 0
            and self.passage.folded[self.words[first - 1].end : self.words[first].start] == ", "
        )
        return [(self.words[first].start, self.words[last].end)] if named or opened else []

    def _nameable(self, index: int) -> bool:
        text = self.words[index].text
        if text.isdecimal() or text in _COLOURS:
            return False
        return text not in _STOPS and text not in ("en", *INDOOR, *OUTDOOR)

    def repeats(self, span: Span, others: list[Span]) -> bool:
        """ "the station" after "the fire station" says no more."""
        text = self.passage.folded
        return any(
            other < span and text[slice(*other)].endswith(text[slice(*span)]) for other in others
        )

    def has_venue(self, span: Span) -> bool:
        return any(w.text in VENUES for w in self.words if span[0] <= w.start < span[1])

    def alone(self, taken: list[Span]) -> list[Span]:
        """A venue that stands by itself between commas: ", Innovation Center,"."""
        for segment in _SEGMENT.finditer(self.passage.folded):
            begin, end = self._index(segment.start()), self._index(segment.end())
            free = [i for i in range(begin, end) if not self._inside(i, taken)]
            span = self._venue_among(free)
            if span:
                return [span, *self._town_after(self._index(span[1]) - 1)]
        return []

    def _index(self, position: int) -> int:
        """The first word that starts at a position or after it."""
        return bisect_left(self.words, position, key=lambda word: word.start)

    def _inside(self, index: int, spans: list[Span]) -> bool:
        return any(start <= self.words[index].start < end for start, end in spans)

    def _venue_among(self, inside: list[int]) -> Span | None:
        if not inside:
            return None
        first = inside[0]
        while first < inside[-1] and self.words[first].text in _SKIPPED:
            first += 1
        last = self._reach(first)
        if last is not None and self._whole_venue(first, last):
            return self.words[first].start, self.words[last].end
        return next(filter(None, (self._capital_venue(i) for i in inside)), None)

    def _whole_venue(self, first: int, last: int) -> bool:
        ends, opens = self.words[last].text, self.words[first].text
        if not (ends in VENUES or (opens in _OPENS and last > first)) or last - first > 4:
            return False
        if ends in PLAIN_VENUES and not (last > first and self._capital(last)):
            return first == last and self._set_apart(first)
        following = self.words[last + 1].text if last + 1 < len(self.words) else ""
        return self._closes(last) or following in ("in", "near", "at", "en", "on", "from")

    def _set_apart(self, index: int) -> bool:
        """ ", backyard," is a place; "backyard party" is none."""
        before = self.passage.folded[: self.words[index].start].rstrip(" ")[-1:]
        after = self.passage.folded[self.words[index].end :][:2].strip(" ")[:1]
        return before in _BREAKS and after in ("", *_BREAKS)

    def _capital_venue(self, index: int) -> Span | None:
        """A capitalised name that ends in a venue noun, wherever it stands."""
        if self.words[index].text not in VENUES or not self._capital(index):
            return None
        first = index
        lowest = max(0, index - _LONGEST_NAME)
        while first > lowest and self._capital(first - 1) and self._touch(first - 1):
            first -= 1
        if first == index or self.shouted:
            return None
        return self.words[first].start, self.words[index].end
