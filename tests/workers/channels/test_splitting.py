"""Long texts are cut where a reader would cut them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workers.channels.splitting import inside_character, split, units, visible

FAMILY = "\U0001f468\u200d\U0001f469\u200d\U0001f467\u200d\U0001f466"
WAVING = "\U0001f44b\U0001f3fd"
SPAIN = "\U0001f1ea\U0001f1f8"
HEART = "\u2764\ufe0f"
SCOTLAND = "\U0001f3f4\U000e0067\U000e0062\U000e0073\U000e0063\U000e0074\U000e007f"
JAMO = "\u1112\u1161\u11ab"
ACCENTED = "e\u0301"


def test_length_counts_in_utf_16_units() -> None:
    # A balloon is one character and two units: 2,049 of them are two units too many.
    assert [len(part) for part in split("🎈" * 2049, 4096)] == [2048, 1]
    assert len(split("é" * 4096, 4096)) == 1


@pytest.mark.parametrize(
    ("first", "then"),
    [
        ("We bring the frame and the pump. ", "You bring the hall."),
        ("We bring the frame and the pump\n\n", "You bring. The hall."),
        ("We bring the frame, and a pump\n", "You bring the hall."),
        ("We bring the frame and everything ", "youbringthehallandthechairs"),
    ],
    ids=["sentence", "paragraph", "line", "word"],
)
def test_a_cut_falls_on_a_natural_end(first: str, then: str) -> None:
    assert split(first + then, 40) == [first.strip(), then]


def test_the_first_part_can_have_less_room() -> None:
    parts = split("balloon " * 20, 80, first=20)
    assert [len(part) for part in parts] == [15, 79, 63]


@pytest.mark.parametrize(
    "character", [FAMILY, WAVING, SPAIN, HEART, SCOTLAND, JAMO, ACCENTED], ids=ascii
)
@pytest.mark.parametrize("room", range(14, 30))
def test_no_cut_falls_inside_what_is_seen_as_one_character(character: str, room: int) -> None:
    parts = split("a" + character * 12, room)
    assert all(part.removeprefix("a").replace(character, "") == "" for part in parts)
    assert "".join(parts) == "a" + character * 12


def test_a_character_that_is_longer_than_the_limit_is_cut_all_the_same() -> None:
    parts = split("z" + "\u0301" * 50, 20)
    assert parts == ["z" + "\u0301" * 19]  # accents without a letter show nothing


def test_two_flags_side_by_side_may_be_parted() -> None:
    assert not inside_character(SPAIN + SPAIN, 2)
    assert inside_character(SPAIN + SPAIN, 1)
    assert inside_character(SPAIN + SPAIN, 3)


@pytest.mark.parametrize("text", ["", " \n", "\u200b\u2060", "\u2800\u3164", "\ufe0f", "\x00\x1f"])
def test_nothing_to_see_is_no_part(text: str) -> None:
    assert not visible(text)
    assert split(text, 40) == []


@given(st.text(alphabet="ab é🎈.\n\u0301\u200d\U0001f1ea", max_size=300), st.integers(4, 40))
def test_parts_fit_and_lose_nothing_that_can_be_seen(text: str, limit: int) -> None:
    parts = split(text, limit)
    assert all(units(part) <= limit for part in parts)
    assert _letters("".join(parts)) == _letters(text)


def _letters(text: str) -> str:
    return "".join(character for character in text if character in "abé🎈.")
