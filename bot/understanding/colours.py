"""The balloons' colours, as the client calls them.

Colours of foils, lettering, frames and cloths are not the balloons'; a colour the client does not
want is none either.
"""

import re
from collections.abc import Iterator, Mapping

from rapidfuzz.distance import OSA

from bot.understanding.lexicon import en, es, others
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Hit, Passage, Phrases, Word

_NOTHING = ""
_ENGLISH = {
    **{f"{phrase}s": phrase for phrase in en.COLOUR_PHRASES},
    **others.COLOURS,
    **{name: name for name in (*en.COLOURS, *en.SHY_COLOURS, *en.COLOUR_PHRASES)},
    **en.COLOUR_SPELLINGS,
    **dict.fromkeys(en.NOT_COLOURS, _NOTHING),
}
_SPANISH_ANYWHERE = {
    name: colour for name, colour in es.COLOURS.items() if name not in es.ONLY_SPANISH
}
_IN_ENGLISH: Phrases[str] = Phrases({**_SPANISH_ANYWHERE, **_ENGLISH})
_IN_SPANISH: Phrases[str] = Phrases(
    {**{k: v for k, v in _ENGLISH.items() if k != "tan"}, **es.COLOURS}
)
_SHY = en.SHY_COLOURS | es.ONLY_SPANISH

_THINGS = listed(
    """
    foil foils foiled mylar letter letters lettering number numbers sign signs tablecloth
    tablecloths linen linens dress dresses tie carpet tent chairs chair ribbon ribbons
    lights napkins shirt shirts suit suits house door car ink text font sequin backdrop
    backdrops curtain letras numeros mantel vestido roses flowers flower hydrangeas street
    hall library church park school invitations cake wall walls
    """
)
_SHAPED = frozenset({"frame", "stand", "hoop", "ring", "metal"})
_THING_IS = re.compile(
    r"\b(?:(?:letters?|lettering|numbers?|sign|dress|linens|foils?|ribbons?|vestido|letras|"
    r"numeros)\s(?:in|en|is|are|will be|es|son)"
    r"|(?:tablecloth|frame|hoop|backdrop|walls?|stand|mantel)\s(?:is|are|es|son))\s(?:all\s)?$"
)
_NEGATES = re.compile(
    r"(?:\b(?:no|not|without|nothing|hate|hates|except|avoid|minus|sin|nada de|excepto|odio|"
    r"anything but|don'?t want|don'?t like|do not want|no quiero|no me gusta|"
    r"instead of|rather than|en vez de|en lugar de)\s(?:any\s|the\s|el\s|la\s|los\s|las\s|"
    r"globos\s|color\s|colores\s|de\s|too much\s|more\s|too\s|mas\s|balloons\s){0,3})$"
)
_REFUSED_AFTER = re.compile(r"\s(?:no|nope)\b(?=\s?[,.;!]|$)")
_LIST_JOIN = re.compile(r"[\s,/&+]*(?:and|or|nor|y|o|ni|n)?[\s,/&+]*")
_ALTERNATIVE = re.compile(r"\s(?:or|nor|ni|o)\s")
_CUE = re.compile(
    r"(?:\b(?:colou?rs?|color|colores|palette|paleta|tones?|tonos?|shades?|theme|scheme|in|en|"
    r"balloons?|globos|hues?)(?:\s(?:of|are|is|de|son|would be))?[\s:]{1,2}(?:\w+\s)?)$"
)
_FUZZY_TARGETS = tuple(sorted(name for name in en.COLOURS if len(name) >= 6))
_KNOWN_WORDS = listed(
    """
    ribbon bronzed brown silvery orange oranges purpose people yellow golden blacks greens
    salmons pleased marooned violets indoor indoors custard mustered copies cooper scarf
    chapel peachy bronco marigolds canaries caper copper pepper orchard organic organize
    bordered border apricots slated ceiling emeralds lavish coast corals chestnut champion
    champions champ champs silvers tangled tangerines violent magnet purples yellows
    orangey turkey charcoals crimped scarlett scarlets bronx periodic rainbows sapphires
    rasp salon saloon salons magnets
    """
)


def colours_in(passage: Passage, lang: str | None) -> tuple[str, ...]:
    """Colour names in plain English, each once, in the order said."""
    words = passage.words()
    spanish = lang == "es"
    found = list(_found(words, _IN_SPANISH if spanish else _IN_ENGLISH))
    sure = {i for i, (_, first, last) in enumerate(found) if not _is_shy(words, first, last)}
    names: list[str] = []
    of_supports: list[str] = []
    refused = False
    for index, (name, first, last) in enumerate(found):
        start, end = words[first].start, words[last].end
        refused = _refused(passage.folded, start, refused, found, index, words)
        shy = index not in sure and not _among(found, index, sure, words, passage.folded)
        if refused or shy or name in names or _REFUSED_AFTER.match(passage.folded, end):
            continue
        if _THING_IS.search(passage.folded[max(0, start - 30) : start]):
            continue
        sure.add(index)  # a shy word that was let in vouches for the next
        thing = _thing_after(words, last)
        if thing in _SHAPED and _alone_before(words, first):
            of_supports.append(name)
        elif thing not in _THINGS:
            names.append(name)
    # In "a gold hoop, white and sage balloons" the gold is the hoop's; in "a gold hoop" alone it
    # is all that was said of colours.
    return tuple(names or of_supports)


def _is_shy(words: list[Word], first: int, last: int) -> bool:
    return first == last and words[first].text in _SHY


_Named = tuple[str, int, int]


def _found(words: list[Word], table: Phrases[str]) -> Iterator[_Named]:
    index = 0
    while index < len(words):
        hit = table.at(words, index)
        if hit and _is_tint(words, hit, table):
            index += 1
        elif hit and hit.value != _NOTHING:
            first, name = _with_tint(words, index, hit.value)
            last, name = _with_spanish_tint(words, hit.last, name)
            yield name, first, last
            index = last + 1
        elif hit:
            index = hit.last + 1
        else:
            guess = _misspelt(words[index].text)
            if guess:
                yield guess, index, index
            index += 1


def _is_tint(words: list[Word], hit: Hit[str], table: Phrases[str]) -> bool:
    """ "pastel" is a colour by itself, and a tint in "pastel yellow"."""
    word, after = words[hit.last], hit.last + 1
    if hit.first != hit.last or word.text not in en.COLOUR_MODIFIERS or after >= len(words):
        return False
    return words[after].start - word.end == 1 and table.at(words, after) is not None


def _with_tint(words: list[Word], index: int, name: str) -> tuple[int, str]:
    """Takes "light", "hot" and the like before a colour into its name."""
    if index and words[index - 1].text in en.COLOUR_MODIFIERS:
        tint = words[index - 1].text
        touching = words[index].start - words[index - 1].end == 1
        if touching and not name.startswith(tint):
            return index - 1, f"{_TINTS.get(tint, tint)} {name}"
    return index, name


_TINTS: Mapping[str, str] = {"lite": "light", "dusky": "dusty"}


def _with_spanish_tint(words: list[Word], last: int, name: str) -> tuple[int, str]:
    """In Spanish the tint follows: "rosa claro" is light pink."""
    if last + 1 < len(words) and words[last + 1].start - words[last].end == 1:
        tint = es.COLOUR_MODIFIERS.get(words[last + 1].text)
        if tint and words[last + 1].text not in en.COLOUR_MODIFIERS - {"pastel", "neon"}:
            return last + 1, f"{tint} {name}"
    return last, name


def _misspelt(word: str) -> str | None:
    """A colour one slip away ("lavander"), two for long words; never for a short word, where a
    slip makes another word ("beach", "brush")."""
    if len(word) < 6 or word in _KNOWN_WORDS:
        return None
    slips = 1 if len(word) < 9 else 2
    for target in _FUZZY_TARGETS:
        near = target[0] == word[0] and abs(len(target) - len(word)) <= slips
        if near and OSA.distance(word, target, score_cutoff=slips) <= slips:
            return target
    return None


def _refused(
    text: str, start: int, before: bool, found: list[_Named], index: int, words: list[Word]
) -> bool:
    if _NEGATES.search(text[max(0, start - 40) : start]):
        return True
    if not before or not index:
        return False
    # "no pink or red" refuses both, "no pink, gold" only the first.
    return bool(_ALTERNATIVE.fullmatch(text[words[found[index - 1][2]].end : start]))


def _among(found: list[_Named], index: int, sure: set[int], words: list[Word], text: str) -> bool:
    """Is a word that may be no colour joined to one that is, or announced as a colour?"""
    start, end = words[found[index][1]].start, words[found[index][2]].end
    for other in (index - 1, index + 1):
        if other in sure:
            first, last = sorted((index, other))
            gap = text[words[found[first][2]].end : words[found[last][1]].start]
            if _LIST_JOIN.fullmatch(gap):
                return True
    return bool(_CUE.search(text[max(0, start - 30) : start])) and end > start


def _thing_after(words: list[Word], last: int) -> str:
    """What a colour is said of: "letters" in "gold letters"."""
    following = words[last + 1] if last + 1 < len(words) else None
    return following.text if following and following.follows else ""


def _alone_before(words: list[Word], first: int) -> bool:
    """Is a colour one adjective and not the end of a palette ("blue and white hoop")?"""
    return first == 0 or words[first - 1].text in _ARTICLES


_ARTICLES = listed(
    """
    a the your my our this un el tu mi with on have want need
    """
)
