import datetime as dt
import json
from dataclasses import dataclass, fields, is_dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from service.api.lines import answer_lines, explanation_text, options_line
from service.api.translate import (
    brief_to_core,
    brief_to_wire,
    estimate_to_core,
    estimate_to_json,
    estimate_to_wire,
)
from service.contract import estimate as wire_estimate
from service.contract.brief import Accent as WireAccent
from service.contract.brief import Brief as WireBrief
from service.contract.brief import Piece as WirePiece
from service.contract.estimate import Estimate as WireEstimate
from service.contract.options import Option
from service.estimating import (
    Accent,
    AccentKind,
    BriefError,
    Floating,
    FloatKind,
    Fullness,
    Pattern,
    Placement,
    PriceBook,
    Setting,
    Shop,
    Support,
    answer,
    as_text,
    estimate,
    options,
)
from service.storage.places import Places
from service.storage.price_book import read_price_book

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


RICH: dict[str, Any] = {
    "pieces": [
        {
            "support": "hoop",
            "width_m": 1.8288,
            "fullness": "lush",
            "placement": "asymmetric",
            "coverage": 0.6,
            "pattern": "ombre",
            "accents": [
                {"kind": "flowers", "count": 8, "words": "white roses"},
                {"kind": "sign", "words": "Fifty years afloat"},
            ],
        },
        {"support": "column", "count": 2, "height_m": 1.8288, "pattern": "stripe"},
        {"support": "table", "length_m": 2.4384, "drop_m": 0.6096, "placement": "centred"},
        {"support": "staircase", "steps": 12, "pattern": "blocks"},
        {"support": "freestanding_arch", "width_m": 2, "height_m": 2.2, "shape": "semi_ellipse"},
    ],
    "palette": ["navy", {"colour": "white", "share": 0.25}, "gold"],
    "event": {"date": "2027-06-12", "start_time": "14:00", "guests": 120},
    "site": {
        "setting": "outdoor",
        "postal_code": "02139",
        "elevation_m": 900,
        "temperature_c": 31.5,
        "gust_m_s": 8,
        "beaufort": 3,
        "ground": "grass",
    },
    "foils": ["5", "0"],
    "floating": [
        {"kind": "latex", "size_class": 11, "count": 12, "treated": True},
        {"kind": "foil_star", "size_class": 19, "count": 2},
    ],
    "client_keeps": True,
}
UNKNOWN = {"pieces": [{"support": "wall", "length_m": 3, "measures_assumed": True}]}


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


def test_what_goes_on_and_beside_a_piece_reaches_the_core() -> None:
    brief = core_of(**RICH)
    hoop, columns, table, stairs, arch = brief.pieces
    assert (hoop.placement, hoop.coverage) == (Placement.ASYMMETRIC, 0.6)
    assert hoop.pattern is Pattern.OMBRE
    assert hoop.accents == (
        Accent(kind=AccentKind.FLOWERS, count=8, words="white roses"),
        Accent(kind=AccentKind.SIGN, words="Fifty years afloat"),
    )
    assert (columns.placement, columns.coverage) == (Placement.WHOLE, None)
    assert (table.drop_m, stairs.steps, arch.shape) == (0.6096, 12, "semi_ellipse")
    assert brief.floating[0] == Floating(
        kind=FloatKind.LATEX, size_class=11, count=12, treated=True
    )
    site = brief.site
    assert (site.elevation_m, site.temperature_c, site.gust_m_s) == (900, 31.5, 8)
    assert (site.beaufort, site.ground) == (3, "grass")
    assert brief.client_keeps is True


def test_a_share_of_the_path_means_what_it_always_has(book: PriceBook) -> None:
    # A frame of 2·(7 − 2) + π·2 = 16.283 ft: all of it, and half of it.
    for coverage, feet in ((1.0, 16.283), (None, 16.283), (0.5, 8.142)):
        brief = core_of(pieces=[{**FRAME, "coverage": coverage}])
        piece = estimate(brief, book, today=TODAY).pieces[0]
        assert piece.garland_length_m / 0.3048 == pytest.approx(feet, abs=0.001)


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


def test_a_rich_brief_goes_to_the_wire_and_back_unchanged() -> None:
    brief = core_of(**RICH)
    again = WireBrief.model_validate_json(brief_to_wire(brief).model_dump_json())
    assert brief_to_core(again, OneTown(), SHOP) == brief


ASKED = [{}, RICH, {**RICH, "client_keeps": False}, {**UNKNOWN, "palette": [], "site": {}}]


@pytest.mark.parametrize("asked", ASKED)
def test_an_estimate_goes_to_the_wire_and_back_unchanged(
    book: PriceBook, asked: dict[str, Any]
) -> None:
    answer = estimate(core_of(**asked), book, today=TODAY)
    wire = WireEstimate.model_validate_json(estimate_to_wire(answer).model_dump_json())
    assert estimate_to_core(wire) == answer


@pytest.mark.parametrize("asked", ASKED)
def test_the_cores_own_json_is_the_wires_byte_for_byte(
    book: PriceBook, asked: dict[str, Any]
) -> None:
    answer = estimate(core_of(**asked), book, today=TODAY)
    content = estimate_to_json(answer)
    assert content == estimate_to_wire(answer).model_dump_json().encode()
    assert content == WireEstimate.model_validate_json(content).model_dump_json().encode()


def test_the_wire_has_every_value_of_the_core_by_the_same_names_in_the_same_order() -> None:
    values = {name: made for name, made in vars(answer).items() if is_dataclass(made)}
    assert len(values) > 25
    for name, made in values.items():
        if made.__module__ == answer.__name__:
            told = getattr(wire_estimate, name).model_fields
            assert list(told) == [field.name for field in fields(made)], name


def test_runs_clusters_and_their_order_agree_on_the_wire(book: PriceBook) -> None:
    told = json.loads(estimate_to_json(estimate(core_of(**RICH), book, today=TODAY)))
    hoop, columns, *_ = told["pieces"]
    assert set(hoop["start"]) == {"x", "y", "z"}
    # A long run and a short one, 60% of the way round together.
    assert sum(to - from_ for from_, to in hoop["runs"]) == pytest.approx(
        0.6 * hoop["path_length_m"]
    )
    # Every cluster of both columns is of one of the types; each column has half of them.
    assert sum(kind["count"] for kind in columns["cluster_types"]) == 2 * len(columns["order"])
    balloons = sum(
        number * kind["count"]
        for kind in columns["cluster_types"]
        for _, _, number in kind["balloons"]
    )
    assert balloons == sum(balloon["count"] for balloon in columns["balloons"])


def test_each_line_is_answered_in_order_and_blank_ones_are_passed_over(book: PriceBook) -> None:
    answers = ask(book, json.dumps(BRIEF), "\n", "{", json.dumps({"pieces": [{"support": "wall"}]}))
    assert [next(iter(answer)) for answer in answers] == ["pieces", "error", "error"]
    assert answers[0]["pieces"][0]["path_length_m"] == pytest.approx(4.963, abs=0.001)
    assert isinstance(answers[0]["price"]["likely"], str)
    assert answers[1]["error"]["status"] == 400
    assert answers[2]["error"]["status"] == 422
    assert answers[2]["error"]["errors"][0]["field"] == "pieces[0].length_m"


def test_what_else_could_be_had_is_one_line_for_a_brief(book: PriceBook) -> None:
    line, broken = answer_lines([json.dumps(BRIEF), "{"], book, OneTown(), TODAY, options_line)
    found = [Option.model_validate(each) for each in json.loads(line)]
    expected = options(core_of(), book, today=TODAY)
    assert [option.changes for option in found] == [list(option.changes) for option in expected]
    for option, told in zip(expected, found, strict=True):
        assert told.price.likely == option.estimate.price.likely
        assert told.balloons_total == option.estimate.balloons_total
        assert brief_to_core(told.brief, OneTown(), SHOP) == option.brief
    assert json.loads(broken)["error"]["status"] == 400


def test_the_explanation_is_text_with_a_blank_line_behind(book: PriceBook) -> None:
    (text,) = answer_lines([json.dumps(BRIEF)], book, OneTown(), TODAY, explanation_text)
    assert text.rstrip("\n") == as_text(estimate(core_of(), book, today=TODAY).explanation).rstrip(
        "\n"
    )
    assert text.endswith("\n")
    assert not text.endswith("\n\n")


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
        (json.dumps({**RICH, "pieces": [{**FRAME, "coverage": 0}]}), "pieces[0].coverage"),
        (json.dumps({**RICH, "pieces": [{**FRAME, "placement": "left"}]}), "pieces[0].placement"),
        (
            json.dumps({"pieces": [{**FRAME, "accents": [{"kind": "sign"}, {"kind": "glitter"}]}]}),
            "pieces[0].accents[1].kind",
        ),
        (
            json.dumps({"pieces": [{**FRAME, "accents": [{"kind": "ribbon", "count": 0}]}]}),
            "pieces[0].accents[0].count",
        ),
        (json.dumps({**BRIEF, "site": {"beaufort": 13}}), "site.beaufort"),
        (json.dumps({**BRIEF, "site": {"ground": "sand"}}), "site.ground"),
        (
            json.dumps({**BRIEF, "floating": [{"kind": "latex", "size_class": 5}]}),
            "floating[0].size_class",
        ),
        (
            json.dumps({"pieces": [{"support": "table", "length_m": 2, "drop_m": 0.9}]}),
            "pieces[0].drop_m",
        ),
        ("[]", "body"),
        ('"🎈"', "body"),
    ],
)
def test_what_cannot_be_estimated_names_the_field(book: PriceBook, line: str, field: str) -> None:
    (answer,) = ask(book, line)
    assert answer["error"]["title"]
    assert [problem["field"] for problem in answer["error"]["errors"]] == [field]


def test_every_fault_of_every_part_is_told_at_once(book: PriceBook) -> None:
    brief = {
        "pieces": [
            {"support": "round_top_frame", "width_m": 1.2, "size_class": 13},
            {"support": "hoop", "width_m": 1.8, "shape": "catenary"},
        ],
        "site": {"latitude": 42.3},
        "floating": [
            {"kind": "latex", "size_class": 11},
            {"kind": "foil_star", "size_class": 9, "treated": True},
        ],
        "budget": {"min": 500, "max": 400},
    }
    (answer,) = ask(book, json.dumps(brief))
    assert [problem["field"] for problem in answer["error"]["errors"]] == [
        "pieces[0].height_m",
        "pieces[0].size_class",
        "pieces[1].shape",
        "floating[1].size_class",
        "floating[1].treated",
        "site.latitude",
        "budget.min",
    ]


def test_faults_of_a_piece_and_of_what_is_on_it_are_told_together() -> None:
    wire = WireBrief.model_validate(BRIEF)
    accent = WireAccent.model_construct(kind="ribbon", count=201, words=None)
    # As a brief may come that was not read from the wire.
    piece = WirePiece.model_construct(
        support="hoop", width_m=40.0, accents=[accent.model_copy(update={"count": 1}), accent]
    )
    with pytest.raises(BriefError) as refused:
        brief_to_core(wire.model_copy(update={"pieces": [piece]}), OneTown(), SHOP)
    assert [problem.field for problem in refused.value.problems] == [
        "pieces[0].accents[1].count",
        "pieces[0].width_m",
    ]
