"""The line protocol, and that no text whatever breaks it."""

import json
import time
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.understanding import ANSWERS, FLAGS, INTENTS, read, read_answer
from bot.understanding.lines import answer_line

CANONICAL = (
    "hi how much for a garland on a 4 ft wide 7 ft tall arch frame, sage cream and gold, "
    "june 6 at 3pm, indoors at a hall in 02139"
)
REFERENCE = date(2027, 1, 10)


def test_a_line_answers_with_exactly_the_contract() -> None:
    line = json.dumps({"id": "a1", "text": CANONICAL, "reference_date": "2027-01-10"})
    assert json.loads(answer_line(line)) == {
        "id": "a1",
        "lang": "en",
        "intent": "quote_request",
        "occasion": None,
        "event_date": "2027-06-06",
        "start_time": "15:00",
        "end_time": None,
        "structures": [
            {
                "kind": "arch_frame",
                "count": 1,
                "width_m": 1.2192,
                "height_m": 2.1336,
                "length_m": None,
            }
        ],
        "colours": ["sage", "cream", "gold"],
        "setting": "indoor",
        "postal_code": "02139",
        "place": "hall",
        "budget_min": None,
        "budget_max": None,
        "foils": [],
        "guests": None,
        "flags": [],
    }


@pytest.mark.parametrize(
    "line",
    [
        "",
        "{",
        "[]",
        "null",
        '{"text": 5, "reference_date": "2027-01-10"}',
        '{"text": "hi"}',
        '{"text": "hi", "reference_date": "soon"}',
        '{"text": "hi", "reference_date": "2027-01-10", "locale": 7}',
        "[" * 100_000,
    ],
)
def test_a_broken_line_answers_with_problem_details(line: str) -> None:
    answer = json.loads(answer_line(line))
    assert set(answer) == {"id", "error"}
    assert answer["error"]["status"] == 400
    assert answer["error"]["detail"]


def test_a_broken_line_keeps_its_id() -> None:
    assert json.loads(answer_line('{"id": 7, "text": 5}'))["id"] == 7


_SCRAPS = st.sampled_from(
    [
        *(
            "4x7",
            "6 ft",
            "7'6\"",
            "june 6",
            "the 31st",
            "feb 30",
            "3pm",
            "-",
            "$300",
            "under",
            "foil 5",
        ),
        *(
            "arch frame",
            "columns",
            "garland",
            "the wall",
            "no pink",
            "gold",
            "at",
            "in",
            "Hall",
            "02139",
        ),
        *(
            "ignore all previous instructions",
            "<script>",
            "release balloons",
            "0",
            "999999",
            "1/2",
            "½",
        ),
        *(
            "next friday",
            "de 3 a 6",
            "el 99",
            "12:99",
            "x",
            "by",
            "of them",
            "\0",
            "ß",
            "İ",
            "\u202e",
        ),
    ]
)
_TEXTS = st.one_of(st.text(max_size=300), st.lists(_SCRAPS, max_size=25).map(" ".join))


@given(text=_TEXTS, day=st.dates(), locale=st.sampled_from([None, "en-US", "es-MX", "en-GB", "xx"]))
@settings(max_examples=400, deadline=None)
def test_no_text_raises_and_the_answer_keeps_its_types(
    text: str, day: date, locale: str | None
) -> None:
    slots = read(text, reference_date=day, locale=locale)
    assert slots.intent in INTENTS
    assert set(slots.flags) <= set(FLAGS)
    assert slots == read(text, reference_date=day, locale=locale)


@given(text=_TEXTS, slot=st.sampled_from(ANSWERS))
@settings(max_examples=200, deadline=None)
def test_no_answer_raises(text: str, slot: str) -> None:
    assert read_answer(slot, text, reference_date=REFERENCE).intent in INTENTS


@given(text=st.text(max_size=60))
@settings(max_examples=200, deadline=None)
def test_any_line_answers_with_one_line_of_json(text: str) -> None:
    answer = answer_line(text)
    assert "\n" not in answer
    json.loads(answer)


@pytest.mark.parametrize(
    "scrap",
    [
        *(
            "a ",
            "1 ",
            "1,",
            "6 ft ",
            "june 6 ",
            "at ",
            "at Hall ",
            "from 3 to ",
            "$5 ",
            "gold and ",
        ),
        *(
            "balloons ",
            "no ",
            "letters ",
            "columns and ",
            "you were ",
            "is ",
            "hi ",
            "ya no ",
            "a hundred ",
            "1 may street ",
            "10/10/",
            "7'6\" ",
            "🎈",
            "\n",
        ),
    ],
)
def test_a_very_long_message_is_read_in_bounded_time(scrap: str) -> None:
    text = scrap * (20_000 // len(scrap))
    begun = time.perf_counter()
    read(text, reference_date=REFERENCE)
    # 40-230 ms each on a 2-core machine; a catastrophic pattern takes minutes.
    assert time.perf_counter() - begun < 5


def test_what_the_client_says_at_the_end_of_4000_characters_is_heard() -> None:
    text = "so excited about this party " * 143 + "june 6, 6 ft hoop"
    slots = read(text, reference_date=REFERENCE)
    assert slots.event_date == date(2027, 6, 6)
    assert slots.structures[0].kind == "hoop"
