"""Words for colours, and the plain English name that each stands for."""

from collections.abc import Iterator, Mapping

from rapidfuzz.distance import OSA

from bot.understanding.lexicon import en, es, others
from bot.understanding.lexicon.hues import HUES
from bot.understanding.lexicon.wordlist import listed
from bot.understanding.passage import Hit, Phrases, Word

_NOTHING = ""
# What else a name table calls a colour, where it stands among colours.
_NAMED = {
    name for name in HUES if name not in en.COLOURS and name not in es.COLOURS and len(name) > 3
}
_ENGLISH = {
    **{name: name for name in _NAMED},
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
_IN_OTHERS: Mapping[str, Phrases[str]] = {
    lang: Phrases({**_SPANISH_ANYWHERE, **_ENGLISH, **names})
    for lang, names in others.COLOURS_IN.items()
}
# Food, plants and weather before anything else: colours beside other colours only.
FAR_FETCHED = frozenset(name for name in _NAMED if " " not in name)
SHY = en.SHY_COLOURS | FAR_FETCHED | es.ONLY_SPANISH | {"royal", "hunter", "wht"}

# What has colours of its own in a message about balloons.
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


# A colour's name, and the first and the last of its words.
Named = tuple[str, int, int]


def colours_named(words: list[Word], lang: str | None) -> Iterator[Named]:
    """Every word that may be a colour's, in the order said."""
    table = _IN_SPANISH if lang == "es" else _IN_OTHERS.get(lang or "", _IN_ENGLISH)
    index = 0
    while index < len(words):
        hit = table.at(words, index)
        if hit and _is_tint(words, hit, table):
            index += 1
        elif hit and hit.value != _NOTHING:
            last = _compounded(words, hit)
            if last is not None:
                yield " ".join(word.text for word in words[index : last + 1]), index, last
                index = last + 1
                continue
            first, name = _with_tint(words, index, hit.value)
            if lang == "es" and first == index:
                first, name = _with_tint_before(words, index, name)
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


def _compounded(words: list[Word], hit: Hit[str]) -> int | None:
    """ "Strawberry pink", "iridescent white": one colour, told by what it is like."""
    first, after = words[hit.last].text, hit.last + 1
    likened = (
        hit.first == hit.last and (first in _LIKENING or first in SHY) and first not in es.COLOURS
    )
    if not likened or after >= len(words) or words[after].text not in _BASIC:
        return None
    return after if words[after].start - words[hit.last].end == 1 else None


_BASIC = listed(
    "red orange yellow green blue purple pink brown black white gray grey silver gold teal violet"
)
_LIKENING = listed(
    """
    iridescent holographic vegas columbia cardinal oxford cambridge texas persian egyptian tuscan
    caribbean mediterranean parisian moroccan ocean sea sky sunset sunrise cloud snow frost stone
    smoke ash storm rain meadow grass pine spruce cedar leaf palm cactus apple lemon lime banana
    mango papaya melon raspberry blueberry grape plum poppy tulip lilac peony daffodil buttercup
    marigold sunflower cherry strawberry candy bubblegum cotton flamingo peacock robin canary
    lipstick wine merlot blood brick fire flame ruby sapphire emerald jade turquoise coral peach
    apricot salmon rust copper honey mustard butter cream ivory pearl champagne rose sage mint
    olive moss forest jungle hunter kelly army military slate steel denim indigo cobalt royal
    midnight navy carolina electric powder baby hot neon smoky terracotta chocolate coffee mocha
    caramel cinnamon sand dusty pickle slime taxi school tomato avocado alligator crocodile barbie
    swamp pond lake river beach island desert canyon clay mud tree sun moon star night evening
    morning spring summer autumn winter fall party popsicle bubble gum cake icing frosting milk
    coffee tea whiskey bourbon beer mermaid unicorn dragon dinosaur frog lizard turtle shark whale
    pig bird duck chick lion tiger fox bear bee bus truck tractor highway neon pool hydrangea iris
    violet pansy rosebud petal berry cranberry mulberry pumpkin carrot squash pepper chili paprika
    racing bottle brass sunny buttery minty rosy peachy lemony sandy silvery golden earthy
    tawny snowy
    pea pistachio almond walnut chestnut toffee fudge custard vanilla lava ember rocket
    """
) - en.COLOURS | {"iridescent", "holographic"}


_TINTING = en.COLOUR_MODIFIERS | {word for word in _LIKENING if word not in es.COLOURS}


def _is_tint(words: list[Word], hit: Hit[str], table: Phrases[str]) -> bool:
    """ "pastel" is a colour by itself, and a tint in "pastel yellow"."""
    word, after = words[hit.last], hit.last + 1
    if hit.first != hit.last or word.text not in en.COLOUR_MODIFIERS or after >= len(words):
        return False
    return words[after].start - word.end == 1 and table.at(words, after) is not None


def _with_tint(words: list[Word], index: int, name: str) -> tuple[int, str]:
    """Takes "light", "hot" and the like before a colour into its name."""
    if index and words[index - 1].text in (_TINTING if name in _BASIC else en.COLOUR_MODIFIERS):
        tint = words[index - 1].text
        touching = words[index].start - words[index - 1].end == 1
        if touching and not name.startswith(tint):
            return index - 1, f"{TINTS.get(tint, tint)} {name}"
    return index, name


def _with_tint_before(words: list[Word], index: int, name: str) -> tuple[int, str]:
    """ "Globos cromados dorado y negro": what is said of the finish may come first."""
    before = words[index - 1] if index else None
    tint = es.COLOUR_MODIFIERS.get(before.text.rstrip("s")) if before else None
    if before and tint in ("chrome", "metallic", "matte") and words[index].start - before.end == 1:
        return index - 1, f"{tint} {name}"
    return index, name


TINTS: Mapping[str, str] = {"lite": "light", "dusky": "dusty"}


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
