"""The balloons' colours, as the client calls them.

Colours of foils, lettering, frames and cloths are not the balloons'; a colour the client does not
want is none either.
"""

import re
from dataclasses import dataclass

from bot.understanding.colour_names import FAR_FETCHED, SHY, TINTS, colours_named
from bot.understanding.lexicon import en, es
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Passage, Word

_THINGS = listed(
    """
    foil foils foiled mylar letter letters lettering number numbers numeral numerals digits sign
    signs banner tablecloth tablecloths cloth cloths linen linens dress dresses gown gowns tie ties
    carpet rug tent tents chairs chair ribbon ribbons streamers tassels lights lighting candles
    napkins plates shirt shirts suit suits tux tuxedo house door doors car truck ink text font
    sequin sequins backdrop backdrops curtain curtains drapes draping fabric letras numeros mantel
    manteles vestido flor flores luces cortina sillas roses flowers flower florals hydrangeas
    peonies daisies orchids tulips lilies carnations petals blooms leaves greenery branches stems
    sprigs
    street avenue ave road rd lane ln blvd drive hall library church park school room house inn
    hotel tavern pub lodge farm barn ranch creek lake river hill hills valley ridge springs county
    city heights acres lion dragon fox horse
    invitations invites invitation cake cupcakes wall walls floor brick bricks trim uniform
    uniforms jersey jerseys hair eyes eyed logo fence
    """
)
# Said of these, two colours joined are both theirs: "red and white roses".
_CLOTHS = listed(
    """
    tablecloth tablecloths linen linens dress dresses gown gowns ties carpet chairs napkins plates
    suits lights roses flowers florals hydrangeas peonies daisies orchids tulips lilies carnations
    petals walls wall uniforms jerseys invitations cake
    """
)
_SKIPPED = listed(
    """
    silk paper faux fake real fresh dried artificial big large giant jumbo huge small little mini
    tall shiny glitter wooden wood acrylic satin velvet plastic led light string table cloth
    painted colored coloured bridesmaid bridesmaids birthday fairy
    """
)
_SHAPED = frozenset({"frame", "stand", "hoop", "ring", "metal", "circle", "aro", "marco"})
_THING_NOUNS = (
    r"letters?|lettering|numbers?|signs?|banner|dress(?:es)?|gowns?|linens?|napkins|foils?|mylar|"
    r"ribbons?|suits?|ties?|lights|flowers?|roses|uniforms|jerseys|hair|eyes|logo|car|house|door|"
    r"vestidos?|letras|numeros?|manteles|flores|rosas|luces|cortinas?|sillas|listones|cintas|"
    r"corbatas?|trajes?|letrero|cartel|mylar"
)
_THING_IS = re.compile(
    rf"\b(?:(?:{_THING_NOUNS})\s(?:in|en|is|are|will be|es|son|de color|color|be|should be|must "
    rf"be|seran?)|"
    r"(?:table ?cloths?|frame|hoop|backdrop|walls?|stand|mantel|aro|marco)\s(?:is|are|es|son))"
    r"\s(?:all\s|going to be\s)?$"
)
# In Spanish the colour follows its thing: "letras doradas", "numero 5 plateado".
_THING_BEFORE = re.compile(
    r"\b(?:vestidos?|letras|numeros?|manteles|mantel|flores|rosas|luces|cortinas?|sillas|listones|"
    r"cintas|corbatas?|trajes?|letrero|cartel|pared|paredes|foil|mylar|estrellas?|corazon(?:es)?|"
    r"corona|tela|fondo|carro|casa|puerta)(?:\s\d{1,4}|\smetalic[oa]s?|\sde foil|\sgrandes?)?\s$"
)
_SHAPED_BEFORE = re.compile(r"\b(?:aro|marco|estructura|circulo|base)(?:\sde\smetal)?\s$")
_DET = (
    r"(?:any\s|the\s|all\s|that\s|el\s|la\s|los\s|las\s|lo\s|globos\s|colou?r\s|colores\s|"
    r"colou?rs\s|"
    r"like\s|de\s|en\s|out\s|too much\s|more\s|too\s|mas\s|balloons\s|a lot of\s|with\s|"
    r"use\s|usar\s|want\s|see\s|ver\s|to\s|anything\s|nada\s|"
    r"bright\s|a\s|an\s)"
)
_NEGATES = re.compile(
    r"(?:\b(?:no|not|without|nothing|hate|hates|hated|dislikes?|except|avoid|minus|ditch|lose|"
    r"scrap|"
    r"skip|remove|nix|leave out|cut|drop|eliminate|sick of|tired of|allergic to|over the|"
    r"anything but|"
    r"everything but|any colou?r but|besides|other than|"
    r"don'?t|dont|do not|never|can'?t stand|cannot stand|isn't|won't|take out|take off|less|"
    r"sin|nada de|nada|excepto|menos|odio|odia|odiamos|evitar|evita|quit(?:a|ar|en|e|ale|arle|"
    r"emos)|"
    r"fuera|olvida|ya no|no quiero|no queremos|no quiere|no me gustan?|no le gustan?|no nos "
    r"gustan?|"
    r"cualquier color menos|instead of|rather than|en vez de|en lugar de)"
    rf"\s{_DET}{{0,4}})$"
)
# "Rainbow is too much", "rosa no", "silver is out".
_REFUSED_AFTER = re.compile(
    r"(?:\s?\?+\s?|\s|,\s)(?:(?:no|nope|nah)\b(?=\s?(?:[,.;!\n]|$|wait|just|actually|sorry|scratch|"
    r"mejor|sino))|not\s(?:allowed|wanted|ok|okay|for|my|happening|please|really|working|her|his|"
    r"welcome)\b|"
    r"(?:is|are|would be|looks?|feels?|s)\s(?:just\s|way\s|"
    r"kinda\s|a bit\s|a little\s|really\s)?(?:too|out|not|ugly|tacky|a no|off|gross|awful|boring|"
    r"overdone|no longer|no good)\b|isn'?t\b|aren'?t\b|(?:won'?t|doesn'?t|don'?t)\s(?:work|fit|"
    r"match|go)|"
    r"(?:ya\s)?no\s(?:me|le|nos|les|va|van|quiero|combina|queda|por favor)\b|ya no\b|"
    r"(?:es|son|esta|se ve)\s(?:muy|demasiad|fe[oa]|horrible)\w*)"
)
_LIST_JOIN = re.compile(r"[\s,/&+]*(?:and|or|nor|y|o|ni|n)?[\s,/&+]*")
_ALTERNATIVE = re.compile(r"\s(?:or|nor|ni|o)\s")
_COLOUR_NOUNS = r"colou?rs?|color|colores|palette|paleta|tones?|tonos?|shades?|scheme|hues?"
_ARE = r"(?:\s(?:of|are|is|de|son|would be))?[\s:]{1,2}(?:\w+\s)?"
_COLOUR_CUE = re.compile(rf"\b(?:{_COLOUR_NOUNS}){_ARE}$")
_CUE = re.compile(rf"\b(?:{_COLOUR_NOUNS}|in|en|balloons?|globos){_ARE}$")


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
    refused = False
    for index, (name, _, last) in enumerate(reading.found):
        refused = reading.is_refused(index, refused)
        if not reading.is_colour(index) or reading.is_of_thing(index):
            continue
        if refused or _REFUSED_AFTER.match(passage.folded, reading.words[last].end):
            for one in (*reading.joined_before(index), name):
                names.pop(one, None)
                unwanted[one] = None
        elif reading.is_of_support(index):
            of_supports[name] = None
        else:
            unwanted.pop(name, None)
            _superseded(names, name, reading.lead(index))
            names |= dict.fromkeys((*reading.other_tints(index), name))
    # In "a gold hoop, white and sage balloons" the gold is the hoop's; in "a gold hoop" alone it
    # is all that was said of colours.
    return Palette(tuple(names or of_supports), tuple(unwanted))


def _superseded(names: dict[str, None], name: str, lead: str) -> None:
    """In "chrome gold... ok just gold is fine" the plain colour takes the place of the other."""
    if _PLAINLY.search(lead):
        for tinted in [other for other in names if other.endswith(f" {name}")]:
            del names[tinted]


_PLAINLY = re.compile(r"\b(?:just|plain|regular|normal|only|simple|solo|normal)\s$")


class _Reading:
    """The colour words of a passage, and what stands around each."""

    def __init__(self, passage: Passage, lang: str | None) -> None:
        self._passage = passage
        self.words = passage.words()
        self.found = list(colours_named(self.words, lang))
        self._spanish = lang == "es"
        self._sure = {
            index
            for index, (_, first, last) in enumerate(self.found)
            if not _is_shy(self.words, first, last)
        }

    def lead(self, index: int, reach: int = 48) -> str:
        """What stands right before a colour."""
        start = self.words[self.found[index][1]].start
        return self._passage.folded[max(0, start - reach) : start]

    def is_refused(self, index: int, before: bool) -> bool:
        """ "No pink or red" refuses both, "no pink, gold" only the first."""
        if _NEGATES.search(self.lead(index)):
            return True
        return before and index > 0 and bool(_ALTERNATIVE.fullmatch(self._gap(index - 1, index)))

    def is_colour(self, index: int) -> bool:
        """Not a name ("Violet"), and no word that is a colour only among colours ("rose")."""
        if self._is_name(index):
            return False
        if index in self._sure or self._among(index):
            self._sure.add(index)  # a shy word that was let in vouches for the next
            return True
        return False

    def joined_before(self, index: int) -> list[str]:
        """The pink of "pink and blue, no"."""
        joined = index and _JOINED.fullmatch(self._gap(index - 1, index))
        after = _REFUSED_AFTER.match(self._passage.folded, self.words[self.found[index][2]].end)
        return [self.found[index - 1][0]] if joined and after else []

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
        if _SHAPED_BEFORE.search(self.lead(index)):
            return True
        thing = self._thing_after(last)
        framed = thing in ("arch", "round", "metal", "circle") and self._frame_follows(last)
        return (thing in _SHAPED or framed) and _alone_before(self.words, first)

    def _frame_follows(self, last: int) -> bool:
        after = self.words[last + 2 : last + 4]
        return bool(after) and after[0].follows and after[0].text in ("frame", "stand", "arch")

    def is_of_thing(self, index: int) -> bool:
        lead = self.lead(index)
        if _THING_IS.search(lead) or (self._spanish and _THING_BEFORE.search(lead)):
            return True
        if self._thing_after(self.found[index][2]) in _THINGS:
            return True
        joined = index + 1 < len(self.found) and _JOINED.fullmatch(self._gap(index, index + 1))
        return bool(joined) and self._thing_after(self.found[index + 1][2]) in _CLOTHS

    def _thing_after(self, last: int) -> str:
        """What a colour is said of: "letters" in "gold letters" and in "gold foil letters"."""
        for word in self.words[last + 1 : last + 4]:
            if not word.follows:
                return ""
            if word.text not in _SKIPPED:
                return word.text
        return ""

    def _gap(self, one: int, other: int) -> str:
        end, start = self.words[self.found[one][2]].end, self.words[self.found[other][1]].start
        return self._passage.folded[end:start]

    def _among(self, index: int) -> bool:
        """Is a word that may be no colour joined to one that is, or announced as a colour?"""
        for other in (index - 1, index + 1):
            first, last = sorted((index, other))
            if other in self._sure and _LIST_JOIN.fullmatch(self._gap(first, last)):
                return True
        after = self._passage.folded[self.words[self.found[index][2]].end :][:12]
        far = self.words[self.found[index][1]].text in FAR_FETCHED
        cue = (_COLOUR_CUE if far else _CUE).search(self.lead(index, 30))
        return bool(cue or _COLOURED.match(after))

    def _is_name(self, index: int) -> bool:
        """ "Violet's first birthday", "our daughter Rose", "the Red Lion"."""
        _, first, last = self.found[index]
        word = self.words[first]
        if first == last and word.text in _GIVEN and _KIN.search(self.lead(index)):
            return True
        if first != last or any(
            other in self._sure and _LIST_JOIN.fullmatch(self._gap(*sorted((index, other))))
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


_COLOURED = re.compile(r"[\s-]colou?r(?:ed)?\b")
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
