from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from bot.understanding.lexicon.hues import FAMILIES, HUES
from bot.understanding.stock import Near, kept_as, nearest, nearest_to


@dataclass(frozen=True)
class Shade:
    name: str
    hex: str


BOOK = YAML(typ="safe").load(Path("deploy/price_book.yaml"))["colours"]
STOCK = tuple(Shade(colour["name"], colour["hex"]) for colour in BOOK)
ALIASES = {alias: colour["name"] for colour in BOOK for alias in colour["aliases"]}


def names(words: str, most: int = 3) -> list[str]:
    return [near.name for near in nearest(words, STOCK, ALIASES, most)]


def without(*kept: str) -> list[Shade]:
    return [shade for shade in STOCK if shade.name not in kept]


@pytest.mark.parametrize("shade", STOCK, ids=lambda shade: shade.name)
def test_a_colour_of_the_shop_is_itself(shade: Shade) -> None:
    first = nearest(shade.name.upper(), STOCK, ALIASES)[0]
    assert first == Near(name=shade.name, hex=shade.hex, distance=0.0)


@pytest.mark.parametrize(("alias", "name"), ALIASES.items())
def test_what_the_shop_calls_a_colour_besides_is_that_colour(alias: str, name: str) -> None:
    first = nearest(alias, STOCK, ALIASES)[0]
    assert (first.name, first.distance) == (name, 0.0)


def test_the_shops_own_word_goes_before_what_the_colour_looks_like() -> None:
    assert names("sage", 1) == ["sage"]
    assert nearest("sage", STOCK[:5], {"sage": "blush"}, 1)[0].name == "blush"


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("champagne", {"sand", "gold", "cream"}),
        ("blush", {"pink", "pearl white", "peach"}),
        ("terracotta", {"copper", "rose gold", "red"}),
        ("sage", {"mint", "silver", "grey", "olive"}),
        ("dusty blue", {"grey", "light blue", "silver"}),
        ("burgundy", {"brown", "red"}),
        ("rose gold", {"dusty rose", "copper"}),
        ("navy", {"black", "blue"}),
        ("gold", {"mustard"}),
        ("lavender", {"dusty blue", "light blue", "purple", "silver", "pink"}),
        ("hot pink", {"pink", "red", "burgundy"}),
        ("black", {"navy", "forest green"}),
    ],
)
def test_where_a_colour_is_not_kept_the_next_is_one_that_a_decorator_would_offer(
    words: str, expected: set[str]
) -> None:
    (first,) = nearest(words, without(words), {}, 1)
    assert first.name in expected


@pytest.mark.parametrize(
    ("words", "first", "among"),
    [
        ("mauve", "dusty rose", "lavender"),
        ("periwinkle", "lavender", "light blue"),
        ("charcoal", "black", "navy"),
        ("charcoal gray", "black", "navy"),
        ("dark gray", "black", "grey"),
        ("dove grey", "silver", "grey"),
        ("taupe", "sand", "grey"),
        ("lime", "green", "yellow"),
        ("neon green", "green", "mint"),
        ("blood red", "red", "burgundy"),
        ("wine red", "burgundy", "red"),
        ("ruby", "red", "burgundy"),
        ("sapphire", "blue", "navy"),
        ("amethyst", "purple", "lavender"),
        ("sea glass", "mint", "sage"),
        ("robin's egg blue", "light blue", "mint"),
        ("ice blue", "light blue", "silver"),
        ("denim", "blue", "navy"),
        ("bone", "cream", "sand"),
        ("antique gold", "gold", "mustard"),
        ("champagne gold", "champagne", "sand"),
        ("brick", "red", "terracotta"),
        ("burnt sienna", "copper", "terracotta"),
        ("pumpkin", "orange", "copper"),
        ("salmon pink", "coral", "dusty rose"),
        ("cranberry", "burgundy", "red"),
        ("eggplant", "purple", "burgundy"),
        ("pistachio", "sage", "mint"),
        ("light sage", "sage", "cream"),
        ("dark teal", "teal", "forest green"),
        ("dusty lavender", "lavender", "pink"),
        ("metallic blue", "blue", "dusty blue"),
        ("pink pastel", "pink", "blush"),
        ("bluish grey", "dusty blue", "grey"),
        ("grey blue", "dusty blue", "grey"),
        ("light brown", "sand", "champagne"),
        ("peach pink", "peach", "blush"),
        ("blue green", "teal", "forest green"),
    ],
)
def test_a_colour_that_is_not_kept_comes_down_to_what_is_nearest(
    words: str, first: str, among: str
) -> None:
    found = names(words)
    assert found[0] == first
    assert among in found


def test_eucalyptus_is_a_sage_where_the_shop_says_nothing_else() -> None:
    assert nearest("eucalyptus", STOCK, {}, 1)[0].name == "sage"


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("Burgandy", "burgundy"),
        ("lavander", "lavender"),
        ("champange", "champagne"),
        ("terracota", "terracotta"),
        ("terra-cotta", "terracotta"),
        ("rosegold", "rose gold"),
        ("sea foam", "mint"),
        ("tael", "teal"),
        ("pinks", "pink"),
        ("pinkish", "pink"),
        ("gray", "grey"),
        ("dusty-blue", "dusty blue"),
        ("  NAVY  blue! ", "navy"),
    ],
)
def test_slips_of_the_pen_are_understood(written: str, meant: str) -> None:
    assert names(written, 1) == [meant]


@pytest.mark.parametrize(
    "words",
    [
        *("", "a", "?", "🎈", "tea", "brush", "beach", "battle", "better", "matter"),
        *("light", "royal", "clear", "iridescent", "banana phone", "whatever you like best"),
    ],
)
def test_what_is_no_colour_stays_none(words: str) -> None:
    assert names(words) == []


def test_a_name_for_several_colours_gives_a_shade_for_each() -> None:
    assert names("earth tones", 6) == ["terracotta", "sand", "olive", "mustard", "brown", "cream"]
    assert names("rainbow", 6) == ["red", "orange", "yellow", "green", "blue", "purple"]
    assert names("black and white") == ["black", "white"]


def test_an_empty_shelf_offers_nothing() -> None:
    assert nearest("sage", (), {}) == ()
    assert nearest_to(["#a9b79a"], (), 3) == ()


def test_every_name_in_the_table_is_a_colour_and_every_family_is_made_of_them() -> None:
    assert len(HUES) >= 250
    assert all(len(nearest(name, STOCK, ALIASES)) == 3 for name in HUES)
    assert all(name in HUES for family in FAMILIES.values() for name in family)


def test_a_pictures_colours_become_as_many_different_shades() -> None:
    found = nearest_to(["#a8b598", "#f0ccc6", "#c7a14f"], STOCK, 3)
    assert [near.name for near in found] == ["sage", "blush", "gold"]


def test_two_likes_become_one_shade_unless_another_is_as_near() -> None:
    reds = nearest_to(["#c91f2b", "#c5202c"], STOCK, 3)
    assert [near.name for near in reds] == ["red"]
    whites = nearest_to(["#fbfbf8", "#f8f7f3"], STOCK, 3)
    assert [near.name for near in whites] == ["white", "pearl white"]


def test_a_picture_gives_no_more_shades_than_wanted() -> None:
    assert len(nearest_to([shade.hex for shade in STOCK], STOCK, 4)) == 4


@given(st.text(max_size=60))
def test_any_text_has_an_answer(words: str) -> None:
    found = nearest(words, STOCK, ALIASES)
    assert len(found) in (0, 1, 2, 3)
    assert [near.distance for near in found] == sorted(near.distance for near in found)


@given(st.lists(st.sampled_from(sorted(HUES)), min_size=1, max_size=3))
def test_colours_said_together_are_a_colour(said: list[str]) -> None:
    assert len(nearest(" ".join(said), STOCK, ALIASES)) <= 3


def test_a_word_takes_less_than_two_milliseconds() -> None:
    nearest("sage", STOCK, ALIASES)  # fetches what it needs
    words = sorted(HUES)[:100]
    began = perf_counter()
    for word in words:
        nearest(word, STOCK, ALIASES)
    assert (perf_counter() - began) / len(words) < 0.002


@pytest.mark.parametrize(
    ("words", "name"), [("sage green", "sage"), ("Sage-Green", "sage"), ("sage", "sage")]
)
def test_a_colour_is_kept_as_the_shop_names_it(words: str, name: str) -> None:
    assert kept_as(words, STOCK, ALIASES) == name


@pytest.mark.parametrize("words", ["earth tones", "unicorn", "light sage"])
def test_what_the_shop_has_no_name_for_is_kept_as_nothing(words: str) -> None:
    assert kept_as(words, STOCK, ALIASES) is None
