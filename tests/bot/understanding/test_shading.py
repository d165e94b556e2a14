import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from bot.understanding.shading import TINTS, difference, mixed, tinted

colours = st.integers(0, 0xFFFFFF).map(lambda value: f"#{value:06x}")


def lightness(colour: str) -> float:
    return Color(colour).convert("oklch")["lightness"]


def chroma(colour: str) -> float:
    return Color(colour).convert("oklch")["chroma"]


@given(colours, colours)
def test_a_difference_is_the_same_both_ways_and_none_from_itself(one: str, other: str) -> None:
    assert difference(one, other) == pytest.approx(difference(other, one))
    assert difference(one, one) == 0


def test_lightness_can_be_made_to_count_less() -> None:
    assert difference("#777777", "#999999", 2.0) == pytest.approx(
        difference("#777777", "#999999") / 2
    )
    assert difference("#c91f2b", "#2469b8", 2.0) > 0.8 * difference("#c91f2b", "#2469b8")


@given(colours, colours)
def test_a_mix_of_nothing_is_the_first_and_of_all_the_second(one: str, other: str) -> None:
    assert difference(mixed(one, other, 0.0), one) < 0.5
    assert difference(mixed(one, other, 1.0), other) < 0.5


@pytest.mark.parametrize("colour", ["#c91f2b", "#2469b8", "#2e9b4f", "#c98f8d", "#6b3a97"])
def test_the_words_do_what_they_say(colour: str) -> None:
    light, pale, dark = (tinted(colour, TINTS[word]) for word in ("light", "pale", "dark"))
    assert lightness(pale) > lightness(light) > lightness(colour) > lightness(dark)
    assert chroma(tinted(colour, TINTS["dusty"])) < chroma(colour)
    assert chroma(tinted(colour, TINTS["bright"])) > chroma(tinted(colour, TINTS["muted"]))
    assert difference(tinted(colour, TINTS["metallic"]), colour) < 0.5


def test_warm_is_more_yellow_and_cool_more_blue() -> None:
    warm, cool = tinted("#ffffff", TINTS["warm"]), tinted("#b9bdc2", TINTS["cool"])
    assert Color(warm).convert("oklab")["b"] > 0 > Color(cool).convert("oklab")["b"]


@given(colours, st.sampled_from(sorted(TINTS)))
def test_a_tinted_colour_can_be_shown(colour: str, word: str) -> None:
    shown = tinted(colour, TINTS[word])
    assert len(shown) == 7
    assert Color(shown).in_gamut("srgb")
