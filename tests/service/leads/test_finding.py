"""The words that requests are found by, and what somebody types to find one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.leads.finding import Cursor, Word, cursor_of, terms_of, words_of
from service.leads.lead import Client
from tests.service.building import a_brief


def test_a_request_has_the_words_of_its_number_client_and_place() -> None:
    client = Client(
        name="Nora Ålund-Weiß", email="nora.a@rowing.example", phone="+1 (617) 555-0110"
    )
    assert terms_of("G1007", client, a_brief()) == {
        *("g1007", "nora", "alund", "weiß", "a", "rowing", "example", "boathouse", "hall"),
        *("02472", "16175550110", "0110"),
    }


def test_a_nameless_request_is_found_by_its_number() -> None:
    brief = a_brief()
    nowhere = type(brief.site)()
    assert terms_of("G1001", Client(), a_brief(site=nowhere)) == {"g1001"}


@pytest.mark.parametrize(
    ("typed", "sought"),
    [
        ("", ()),
        (" – ! ", ()),
        ("Ålund", (("alund",),)),
        ("nora  HALL", (("nora",), ("hall",))),
        ("G1007", (("g1007",),)),
        ("1007", (("1007", "g1007"),)),
        ("nora.a@rowing", (("nora",), ("a",), ("rowing",))),
        # A phone number however it is grouped, with and without the country's 1.
        ("617-555-0110", (("6175550110", "16175550110"),)),
        ("+1 617 555 0110 nora", (("16175550110", "6175550110"), ("nora",))),
        ("nora (617) 555", (("nora",), ("617555", "1617555"))),
        ("nora 617 Main", (("nora",), ("617", "g617"), ("main",))),
        ("nora12345678@mail", (("nora12345678",), ("mail",))),
    ],
)
def test_what_is_typed_is_folded_as_the_terms_are(
    typed: str, sought: tuple[tuple[str, ...], ...]
) -> None:
    words = words_of(typed)
    assert tuple(word.spellings for word in words) == sought
    assert [word.begins for word in words] == [
        place == len(words) - 1 for place in range(len(words))
    ]


def test_a_long_text_is_a_search_of_a_few_words() -> None:
    assert len(words_of("word " * 500)) == 8
    assert words_of("x" * 99) == (Word(spellings=("x" * 40,), begins=True),)


@given(st.text(max_size=60))
def test_whatever_a_client_is_called_is_found_by_typing_it(name: str) -> None:
    terms = terms_of("G1001", Client(name=name), a_brief())
    for word in words_of(name):
        if len(word.spellings) == 1:
            assert set(word.spellings) <= terms


@given(st.integers(0, 999_999_999), st.sampled_from(["", "2027-06-06"]))
def test_a_cursor_comes_back_from_its_token(seq: int, day: str) -> None:
    cursor = Cursor(seq=seq, day=day)
    assert cursor_of(str(cursor)) == cursor


@pytest.mark.parametrize("token", [None, "", "G1001", "🎈", "MTIz", "a" * 5000, "MS4yMDI3LTYtNg"])
def test_a_made_up_token_is_no_cursor(token: str | None) -> None:
    assert cursor_of(token) is None
