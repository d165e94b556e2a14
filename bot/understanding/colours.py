"""The balloons' colours, as the client calls them.

Colours of foils, lettering, frames and cloths are not the balloons'; a colour the client does not
want is none either.
"""

import re
from dataclasses import dataclass

from bot.understanding.colour_context import (
    ALTERNATIVE,
    CLOTHS,
    COLOUR_CUE,
    CUE,
    LIST_JOIN,
    NEGATES,
    REFUSED_AFTER,
    SHAPED,
    SHAPED_BEFORE,
    SKIPPED,
    THING_BEFORE,
    THING_IS,
    THINGS,
)
from bot.understanding.colour_names import FAR_FETCHED, SHY, TINTS, colours_named
from bot.understanding.lexicon import en, es
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Passage, Word


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours in plain English, each once, in the order said."""

    wanted: tuple[str, ...]
    unwanted: tuple[str, ...]


def colours_in(passage: Passage, lang: str | None) -> tuple[str, ...]:
    """The colours that the balloons are to have."""
    return palette_in(passage, lang).wanted


def palette_in(passage: Passage, lang: str | None) -> Palette:
    """The colours that the balloons are to have, and those that they must not."""
    reading = _Reading(passage, lang)
    names: dict[str, None] = {}
    of_supports: dict[str, None] = {}
    unwanted: dict[str, None] = {}
    refused = said_again = False
    for index, (name, _, last) in enumerate(reading.found):
        refused = reading.is_refused(index, refused) or said_again
        # "Red and white, not red and green" refuses the green only.
        said_again = refused and name in names and reading.is_joined(index)
        if said_again:
            continue
        if not reading.is_colour(index) or reading.is_of_thing(index):
            continue
        if _UMBRELLA.fullmatch(name) and reading.is_spelt_out(index):
            continue
        for other in reading.not_chosen(index):
            names.pop(other, None)
        if refused or REFUSED_AFTER.match(passage.folded, reading.words[last].end):
            for one in (*reading.joined_before(index), name):
                names.pop(one, None)
                unwanted[one] = None
        elif reading.is_of_support(index):
            of_supports[name] = None
        elif name not in unwanted or _AFTER_ALL.search(reading.lead(index)):
            unwanted.pop(name, None)
            _superseded(names, name, reading.lead(index))
            names |= dict.fromkeys((*reading.other_tints(index), name))
    # In "a gold hoop, white and sage balloons" the gold is the hoop's; in "a gold hoop" alone it
    # is all that was said of colours.
    return Palette(tuple(names or of_supports), tuple(unwanted))


def _superseded(names: dict[str, None], name: str, lead: str) -> None:
    """In "chrome gold... ok just gold is fine" the plain colour takes the place of the other."""
    replaced = []
    if _PLAINLY.search(lead):
        replaced = [other for other in names if other.endswith(f" {name}")]
    elif _MORE_LIKE.search(lead):
        replaced = [other for other in names if name.endswith(f" {other}")]
    for other in replaced:
        del names[other]


_AFTER_ALL = re.compile(
    r"\b(?:actually|ok|okay|fine|want|do|use|mejor|quiero|just|only|solo)\s(?:\w+\s)?$"
)
_PLAINLY = re.compile(r"\b(?:just|plain|regular|normal|only|simple|solo)\s$")
_MORE_LIKE = re.compile(
    r"\b(?:but like|more (?:of|like)|as in|i mean|meaning|specifically|like|digo|o sea|mas "
    r"bien)\s(?:an?\s|un\s)?$"
)
# "Soft pastels: pink, blue": the colours that follow say which.
_UMBRELLA = re.compile(r"(?:soft )?(?:pastel|neutral|earth tone|jewel tone|multicolor|rainbow)s?")


class _Reading:
    """The colour words of a passage, and what stands around each."""

    def __init__(self, passage: Passage, lang: str | None) -> None:
        self._passage = passage
        self.words = passage.words()
        self.found = [
            (self._as_typed(name, first), first, last)
            for name, first, last in colours_named(self.words, lang)
        ]
        self._spanish = lang == "es"
        self._sure = {
            index
            for index, (_, first, last) in enumerate(self.found)
            if not _is_shy(self.words, first, last)
        }
        for index in reversed(range(len(self.found) - 1)):
            if index + 1 in self._sure and LIST_JOIN.fullmatch(self._gap(index, index + 1)):
                self._sure.add(index)  # "oatmeal, sand, white": a list vouches for all before

    def _as_typed(self, name: str, first: int) -> str:
        """ "Off-white" keeps its hyphen, "off white" has none."""
        hyphened = self._passage.folded.startswith("-", self.words[first].end)
        return name.replace(" ", "-") if hyphened and name == "off white" else name

    def lead(self, index: int, reach: int = 48) -> str:
        """What stands right before a colour."""
        start = self.words[self.found[index][1]].start
        return self._passage.folded[max(0, start - reach) : start]

    def is_refused(self, index: int, before: bool) -> bool:
        """ "No pink or red" refuses both, "no pink, gold" only the first."""
        if NEGATES.search(self.lead(index)) or self._is_past(index):
            return True
        return before and index > 0 and bool(ALTERNATIVE.fullmatch(self._gap(index - 1, index)))

    def _is_past(self, index: int) -> bool:
        """ "Was thinking dusty rose but now leaning toward terracotta"."""
        after = self._passage.folded[self.words[self.found[index][2]].end :][:64]
        return bool(_ONCE.search(self.lead(index)) and _NOW.match(after))

    def is_colour(self, index: int) -> bool:
        """Not a name ("Violet"), and no word that is a colour only among colours ("rose")."""
        if self._is_name(index):
            return False
        if index in self._sure or self._among(index):
            self._sure.add(index)  # a shy word that was let in vouches for the next
            return True
        return False

    def is_spelt_out(self, index: int) -> bool:
        after = index + 1 < len(self.found) and self._gap(index, index + 1)
        return bool(after and _SPELT_OUT.fullmatch(after))

    def joined_before(self, index: int) -> list[str]:
        """The pink of "pink and blue, no"."""
        joined = index and _JOINED.fullmatch(self._gap(index - 1, index))
        after = REFUSED_AFTER.match(self._passage.folded, self.words[self.found[index][2]].end)
        both_replaced = index == 1 and len(self.found) >= 4
        return [self.found[0][0]] if joined and after and both_replaced else []

    def not_chosen(self, index: int) -> list[str]:
        """The gold of "gold or silver? silver": of two that were asked about the other one."""
        if index < 2 or not _ASKED.fullmatch(self._gap(index - 1, index)):
            return []
        pair = [self.found[index - 2][0], self.found[index - 1][0]]
        either = ALTERNATIVE.fullmatch(self._gap(index - 2, index - 1))
        name = self.found[index][0]
        return [other for other in pair if other != name] if either and name in pair else []

    def is_joined(self, index: int) -> bool:
        """Does "and" join the next colour to this one?"""
        more = index + 1 < len(self.found)
        return more and bool(_JOINED.fullmatch(self._gap(index, index + 1)))

    def other_tints(self, index: int) -> list[str]:
        """The light blue of "light and dark blue"."""
        name, first, last = self.found[index]
        if " " not in name:
            return []
        base = name.split(maxsplit=1)[1]
        before = _OTHER_TINT.search(self._passage.folded[: self.words[first].end][-40:])
        after = _SPANISH_TINT.match(self._passage.folded, self.words[last].end)
        tints = [TINTS.get(before["tint"], before["tint"])] if before else []
        tints += [es.COLOUR_MODIFIERS[after["tint"]]] if after and self._spanish else []
        return [f"{tint} {base}" for tint in tints]

    def is_of_support(self, index: int) -> bool:
        _, first, last = self.found[index]
        if SHAPED_BEFORE.search(self.lead(index)):
            return True
        thing = self._thing_after(last)
        framed = thing in ("arch", "round", "metal", "circle") and self._frame_follows(last)
        return (thing in SHAPED or framed) and _alone_before(self.words, first)

    def _frame_follows(self, last: int) -> bool:
        after = self.words[last + 2 : last + 4]
        return bool(after) and after[0].follows and after[0].text in ("frame", "stand", "arch")

    def is_of_thing(self, index: int) -> bool:
        lead = self.lead(index)
        if THING_IS.search(lead) or (self._spanish and THING_BEFORE.search(lead)):
            return True
        if self._thing_after(self.found[index][2]) in THINGS:
            return not self._is_built(self.found[index][2])
        joined = index + 1 < len(self.found) and _JOINED.fullmatch(self._gap(index, index + 1))
        if not joined or self._is_built(self.found[index + 1][2]):
            return False
        return self._thing_after(self.found[index + 1][2]) in CLOTHS

    def _is_built(self, last: int) -> bool:
        """A wall with a size is of balloons: "a rainbow wall 10 x 8"."""
        return bool(_SIZED_WALL.match(self._passage.folded, self.words[last].end))

    def _thing_after(self, last: int) -> str:
        """What a colour is said of: "letters" in "gold letters" and in "gold foil letters"."""
        for word in self.words[last + 1 : last + 4]:
            if not word.follows:
                return ""
            if word.text not in SKIPPED:
                return word.text
        return ""

    def _gap(self, one: int, other: int) -> str:
        end, start = self.words[self.found[one][2]].end, self.words[self.found[other][1]].start
        return self._passage.folded[end:start]

    def _among(self, index: int) -> bool:
        """Is a word that may be no colour joined to one that is, or announced as a colour?"""
        after = self._passage.folded[self.words[self.found[index][2]].end :][:12]
        if _THEMED.match(after):
            return False  # "blue bone theme"
        for other in (index - 1, index + 1):
            first, last = sorted((index, other))
            if other in self._sure and LIST_JOIN.fullmatch(self._gap(first, last)):
                return True
        far = self.words[self.found[index][1]].text in FAR_FETCHED
        cue = (COLOUR_CUE if far else CUE).search(self.lead(index, 30))
        return bool(cue or _COLOURED.match(after))

    def _is_name(self, index: int) -> bool:
        """ "Violet's first birthday", "our daughter Rose", "the Red Lion"."""
        _, first, last = self.found[index]
        word = self.words[first]
        if first == last and word.text in _GIVEN and _KIN.search(self.lead(index)):
            return True
        if first != last or any(
            other in self._sure and LIST_JOIN.fullmatch(self._gap(*sorted((index, other))))
            for other in (index - 1, index + 1)
            if 0 <= other < len(self.found)
        ):
            return False
        after = self._passage.folded[self.words[last].end : self.words[last].end + 24]
        if word.text in _GIVEN and _OWNS.match(after):
            return True
        return self._is_capital(word) and self._before_capital(last)

    def _is_capital(self, word: Word) -> bool:
        said = self._passage.original[word.start : word.end]
        return said[0].isupper() and not said.isupper()

    def _before_capital(self, last: int) -> bool:
        """Is a name's second word capital as well, in a message that is not all in capitals?"""
        if last + 1 >= len(self.words) or not self.words[last + 1].follows or self._titled():
            return False
        following = self.words[last + 1]
        named = following.text not in ("i", "and", "balloon", "balloons", "for", "arch", "garland")
        return named and self._passage.original[following.start].isupper()

    def _titled(self) -> bool:
        capital = sum(self._passage.original[word.start].isupper() for word in self.words)
        return capital * 2 > len(self.words)


_ASKED = re.compile(
    r"(?:\s\w+){0,3}\s?(?:\?|\.{2,}|,|-)[^,.;!?\n]{0,24}"
)  # "gold or silver? hmm let's do silver"
_THEMED = re.compile(r"\s(?:themed?|party|shaped?|prints?|balloons? shaped)\b")
_SIZED_WALL = re.compile(r"\s(?:balloon\s)?(?:wall|backdrop),?\s\(?(?:about\s|like\s|that is\s)?\d")
_SPELT_OUT = re.compile(
    r"(?:\s(?:vibes?|themed?|palette|colou?rs?|tones?|look|feel|scheme|thing|kinda|colores|tonos))?"
    r"(?:\s?(?:[:(=]|-\s)\s?|,?\s(?:so|aka|meaning|think|of|ie|i\.e\.|like|such as|como|o sea|"
    r"es decir)\s)"
)
_ONCE = re.compile(
    r"\b(?:(?:was|were|been) thinking(?: of| about)?|originally(?: wanted| said| thought)?|"
    r"at first(?: wanted| said)?|pensaba(?:mos)? en|antes (?:queria(?:mos)?|era))\s(?:\w+\s)?$"
)
_NOW = re.compile(r"[^.!?\n]{0,40}\b(?:but|now|instead|actually|pero|ahora|mejor)\b")
_COLOURED = re.compile(
    r"[\s-](?:colou?r(?:ed)?|mix(?:ed)?|balloons?|globos|palette|tones?|shades?)\b"
)
_TINT = "|".join(sorted(en.COLOUR_MODIFIERS, key=len, reverse=True))
_OTHER_TINT = re.compile(rf"\b(?P<tint>{_TINT})\s?(?:and|&|n|/|or|,)\s?(?:{_TINT})$")
_SPANISH_TINT = re.compile(rf"\s(?:y|e|o|con)\s(?P<tint>{'|'.join(es.COLOUR_MODIFIERS)})\b")
_JOINED = re.compile(r"\s?(?:and|&|y|n|/)\s?")
# Colours that are given names as well.
_GIVEN = listed(
    "violet violets rose olive ruby amber jade coral sage ivory indigo scarlet lavender pearl "
    "sienna"
    " cherry clay gray brown green black white rosa celeste violeta lila azul coral perla"
)
_KIN = re.compile(
    r"\b(?:daughter|son|sister|brother|wife|husband|niece|nephew|granddaughter|grandson|grandma|"
    r"granny|nana|aunt|auntie|mom|mother|friend|girl|baby|named|called|name is|mrs|mr|ms|miss|"
    r"teacher|hija|hijo|hermana|esposa|sobrina|nieta|abuela|tia|mama|amiga|llama|dona|nena)\.?,?\s$"
)
_OWNS = re.compile(
    r"(?:'s|s)?\s(?:\d{1,2}(?:st|nd|rd|th)|first|second|third|birthday|bday|shower|christening|"
    r"baptism|"
    r"communion|turns|is turning|is graduating|graduates|quince|sweet|wants|loves|likes|cumple)\b"
)


def _is_shy(words: list[Word], first: int, last: int) -> bool:
    return first == last and words[first].text in SHY


def _alone_before(words: list[Word], first: int) -> bool:
    """Is a colour one adjective and not the end of a palette ("blue and white hoop")?"""
    return first == 0 or words[first - 1].text in _ARTICLES


_ARTICLES = listed(
    """
    a the your my our this un el tu mi with on have want need
    """
)
