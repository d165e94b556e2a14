import datetime as dt
import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from service.api.lines import answer_lines
from service.api.translate import (
    brief_to_core,
    brief_to_wire,
    estimate_to_core,
    estimate_to_json,
    estimate_to_wire,
)
from service.contract.brief import Brief as WireBrief
from service.contract.estimate import Estimate as WireEstimate
from service.estimating import BriefError, Fullness, PriceBook, Setting, Shop, Support, estimate
from service.storage.places import Places
from service.storage.price_book_file import read_price_book

TODAY = dt.date(2027, 1, 10)
FRAME = {"support": "round_top_frame", "width_m": 1.2192, "height_m": 2.1336}
BRIEF: dict[str, Any] = {
    "pieces": [FRAME],
    "palette": ["sage", {"colour": "gold", "share": 0.2}],
    "event": {"date": "2027-06-08", "start_time": "15:00"},
    "site": {"setting": "indoor", "postal_code": "02139"},
    "budget": 600,
    "foils": ["5", "0"],
}


_PATH = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
BOOK = read_price_book(_PATH.read_text(encoding="utf-8"), _PATH.name)
SHOP = BOOK.shop


@dataclass(frozen=True)
class Spot:
    latitude: float
    longitude: float


class OneTown:
    """Knows a single postal code, and a single town when it is asked from the shop."""

    def find(self, postal_code: str) -> Spot | None:
        return Spot(42.36, -71.1) if postal_code == "02139" else None

    def find_town(self, words: str, *, near: Shop) -> Spot | None:
        return (
            Spot(42.4, -71.18) if (words, near.town) == ("hall, Belmont", "Alder Mills") else None
        )


@pytest.fixture(scope="module")
def book() -> PriceBook:
    return BOOK


def core_of(**changes: Any) -> Any:
    return brief_to_core(WireBrief.model_validate({**BRIEF, **changes}), OneTown(), SHOP)


def ask(book: PriceBook, *lines: bytes | str) -> list[Any]:
    return [json.loads(answer) for answer in answer_lines(lines, book, OneTown(), TODAY)]


def test_a_brief_becomes_the_cores_brief_with_its_place_resolved() -> None:
    brief = core_of()
    assert brief.pieces[0].support is Support.ROUND_TOP_FRAME
    assert brief.pieces[0].fullness is Fullness.FULL
    assert brief.site.setting is Setting.INDOOR
    assert (brief.site.latitude, brief.site.longitude) == (42.36, -71.1)
    assert brief.budget.max == 600
    assert [(c.colour, c.share) for c in brief.palette] == [("sage", None), ("gold", 0.2)]


def test_a_place_that_was_given_is_not_looked_up() -> None:
    site = {"postal_code": "02139", "latitude": 40.0, "longitude": -70.0}
    assert core_of(site=site).site.latitude == 40.0


def test_an_unknown_place_stays_unknown() -> None:
    assert core_of(site={"postal_code": "99999"}).site.latitude is None


@pytest.mark.parametrize("postal_code", [None, "99999"])
def test_a_town_does_where_the_postal_code_does_not(postal_code: str | None) -> None:
    site = core_of(site={"place": "hall, Belmont", "postal_code": postal_code}).site
    assert (site.latitude, site.longitude) == (42.4, -71.18)
    assert (site.place, site.postal_code) == ("hall, Belmont", postal_code)


def test_a_postal_code_that_is_known_goes_before_the_town() -> None:
    site = {"place": "hall, Belmont", "postal_code": "02139"}
    assert core_of(site=site).site.latitude == 42.36


def test_a_town_is_priced_nearly_as_its_postal_code_is(book: PriceBook) -> None:
    def likely(**site: str) -> Decimal:
        line = json.dumps({**BRIEF, "site": {"setting": "indoor", **site}})
        (answer,) = answer_lines([line], book, Places(), TODAY)
        return Decimal(json.loads(answer)["price"]["likely"])

    by_code, by_town = likely(postal_code="02478"), likely(place="hall, Belmont")
    assert abs(by_code - by_town) <= book.policy.rounding
    assert by_town < likely()


def test_faults_of_several_parts_come_back_together_with_their_paths() -> None:
    with pytest.raises(BriefError) as caught:
        core_of(
            pieces=[FRAME, {"support": "wall"}, {"support": "hoop", "width_m": 300}],
            site={"latitude": 42.0},
            budget={"min": 500, "max": 100},
        )
    assert [p.field for p in caught.value.problems] == [
        "pieces[1].length_m", "pieces[2].width_m", "site.latitude", "budget.min",
    ]  # fmt: skip


def test_a_brief_goes_to_the_wire_and_back_unchanged() -> None:
    brief = core_of()
    again = WireBrief.model_validate_json(brief_to_wire(brief).model_dump_json())
    assert brief_to_core(again, OneTown(), SHOP) == brief


def test_an_estimate_goes_to_the_wire_and_back_unchanged(book: PriceBook) -> None:
    answer = estimate(core_of(), book, today=TODAY)
    wire = WireEstimate.model_validate_json(estimate_to_wire(answer).model_dump_json())
    assert estimate_to_core(wire) == answer


def test_the_cores_own_json_is_the_wires(book: PriceBook) -> None:
    answer = estimate(core_of(), book, today=TODAY)
    wire = WireEstimate.model_validate_json(estimate_to_json(answer))
    assert wire == estimate_to_wire(answer)


def test_each_line_is_answered_in_order_and_blank_ones_are_passed_over(book: PriceBook) -> None:
    answers = ask(book, json.dumps(BRIEF), "\n", "{", json.dumps({"pieces": [{"support": "wall"}]}))
    assert [next(iter(answer)) for answer in answers] == ["pieces", "error", "error"]
    assert answers[0]["pieces"][0]["path_length_m"] == pytest.approx(4.963, abs=0.001)
    assert isinstance(answers[0]["price"]["likely"], str)
    assert answers[1]["error"]["status"] == 400
    assert answers[2]["error"]["status"] == 422
    assert answers[2]["error"]["errors"][0]["field"] == "pieces[0].length_m"


@pytest.mark.parametrize("bad", [b'{"notes": "\xff"}\n', "\udcff"])
def test_a_line_that_is_not_utf_8_is_said_to_be_so_and_the_rest_goes_on(
    book: PriceBook, bad: bytes | str
) -> None:
    answers = ask(book, json.dumps(BRIEF).encode(), bad, b" \n", json.dumps(BRIEF))
    assert [next(iter(answer)) for answer in answers] == ["pieces", "error", "pieces"]
    assert answers[0] == answers[2]
    assert answers[1]["error"]["status"] == 400
    assert answers[1]["error"]["title"] == "The line is not UTF-8"


@pytest.mark.parametrize(
    ("line", "field"),
    [
        ('{"pieces": []}', "pieces"),
        ('{"pieces": [{"support": "fence"}]}', "pieces[0].support"),
        ('{"pieces": [{"support": "wall", "length_m": -2}]}', "pieces[0].length_m"),
        ('{"pieces": [{"support": "wall", "length_m": 274.3}]}', "pieces[0].length_m"),
        ('{"pieces": [{"support": "wall", "length_m": 2, "colour": 1}]}', "pieces[0].colour"),
        ('{"pieces": [{"support": "wall", "length_m": 2}], "budget": -5}', "budget.max"),
        (json.dumps({**BRIEF, "event": {"date": "2020-05-01"}}), "event.date"),
        ("[]", "body"),
        ('"🎈"', "body"),
    ],
)
def test_what_cannot_be_estimated_names_the_field(book: PriceBook, line: str, field: str) -> None:
    (answer,) = ask(book, line)
    assert answer["error"]["title"]
    assert [problem["field"] for problem in answer["error"]["errors"]] == [field]
