"""Every figure of an estimate has a reason, and the reasons add up."""

import ast
import dataclasses
import datetime as dt
import operator
import re
from collections.abc import Iterator, Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from service.estimating import (
    Brief,
    Budget,
    Build,
    ColourShare,
    Estimate,
    Event,
    Fullness,
    Piece,
    PriceBook,
    Reason,
    Setting,
    Shape,
    Site,
    Support,
    Task,
    estimate,
)
from service.estimating.book import Charge, LineKind, Zone
from service.estimating.brief import Ground
from service.estimating.calibration import Calibration, Hours, Observation, Prior, calibrate
from service.estimating.explanation import as_text
from service.estimating.explanation.sources import PRODUCT
from service.estimating.explanation.text import named
from service.estimating.extras import Accent, AccentKind, Floating, FloatKind
from service.estimating.paths import Placement
from service.storage.price_book import read_price_book

BOOK_FILE = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
BOOK_TEXT = BOOK_FILE.read_text(encoding="utf-8")

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, postal_code="02139", latitude=42.3637, longitude=-71.1034)
LAWN = dataclasses.replace(HALL, setting=Setting.OUTDOOR, ground=Ground.PAVING)
TUESDAY = Event(date=dt.date(2027, 6, 8), start_time=dt.time(15))
FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
ARCH = Piece(support=Support.FREESTANDING_ARCH, width_m=3.0, height_m=2.6)
COLUMNS = Piece(support=Support.COLUMN, count=2, height_m=1.8)
BOUQUET = (
    Floating(kind=FloatKind.LATEX, size_class=11, count=24, treated=True),
    Floating(kind=FloatKind.FOIL_STAR, size_class=19, count=6),
)


def brief_of(*pieces: Piece, **other: Any) -> Brief:
    colours = tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold"))
    facts = {"palette": colours, "event": TUESDAY, "site": HALL, **other}
    return Brief(pieces=pieces, **facts)


def _measured(support: Support) -> Piece:
    return Piece(
        support=support,
        width_m=1.5,
        height_m=2.2,
        length_m=3,
        sag_m=0.4,
        rise_m=2,
        run_m=2.5,
        drop_m=0.5,
    )


SUPPORTS = {support.value: brief_of(_measured(support)) for support in Support}
VARIED = {
    "idea": Brief(pieces=(dataclasses.replace(FRAME, measures_assumed=True),)),
    "frame": brief_of(FRAME),
    "lush and airy": brief_of(
        dataclasses.replace(FRAME, fullness=Fullness.LUSH),
        Piece(support=Support.WALL, length_m=2, fullness=Fullness.AIRY),
    ),
    "half an ellipse": brief_of(dataclasses.replace(ARCH, shape=Shape.SEMI_ELLIPSE)),
    "placed": brief_of(
        dataclasses.replace(ARCH, placement=Placement.ASYMMETRIC),
        Piece(support=Support.HOOP, width_m=1.8, placement=Placement.ONE_SIDE, coverage=0.6),
    ),
    "steps": brief_of(Piece(support=Support.STAIRCASE, steps=13)),
    "rows": brief_of(Piece(support=Support.CEILING, length_m=4, width_m=2.4)),
    "quads": brief_of(
        COLUMNS, dataclasses.replace(COLUMNS, sized_m=0.25), Piece(
            support=Support.WALL, length_m=2, build=Build.QUADS, size_class=16)
    ),
    "hired": brief_of(dataclasses.replace(FRAME, width_m=2.0, height_m=2.4, count=2)),
    "long": brief_of(Piece(support=Support.WALL, length_m=30, count=6)),
    "foils and accents": brief_of(
        dataclasses.replace(
            FRAME,
            accents=(
                Accent(kind=AccentKind.FLOWERS, count=12, words="white roses"),
                Accent(kind=AccentKind.RIBBON),
                Accent(kind=AccentKind.SIGN, words="fifty years afloat"),
                Accent(kind=AccentKind.FABRIC_COVER, count=2),
            ),
        ),
        foils=("5", "0", "LOVE", "star"),
        budget=Budget(max=Decimal(500)),
    ),
    "lawn": brief_of(FRAME, ARCH, COLUMNS, site=LAWN),
    "gusty lawn": brief_of(ARCH, site=dataclasses.replace(LAWN, gust_m_s=9.0)),
    "Beaufort": brief_of(ARCH, site=dataclasses.replace(LAWN, beaufort=4)),
    "hot and high": brief_of(
        FRAME, site=dataclasses.replace(LAWN, temperature_c=38.0, elevation_m=1600.0)
    ),
    "helium": brief_of(FRAME, floating=BOUQUET, client_keeps=True),
    "kept columns": brief_of(COLUMNS, client_keeps=True),
    "Saturday": brief_of(FRAME, event=Event(date=dt.date(2027, 1, 16), start_time=dt.time(9))),
    "special order": brief_of(FRAME, palette=(ColourShare(colour="moonlit teal"),)),
    "blue and white": brief_of(
        FRAME, palette=tuple(ColourShare(colour=name) for name in ("navy", "white", "light blue"))
    ),
}  # fmt: skip
BRIEFS = {**SUPPORTS, **VARIED}
BOOKS = (
    "demo",
    "no overhead",
    "by the hour",
    "zones",
    "tax within",
    "a crew of two",
    "long balloons",
)


@cache
def book_of(name: str) -> PriceBook:
    """The demo shop's book, or one that charges or works in another way."""
    demo = read_price_book(BOOK_TEXT, BOOK_FILE.name)
    zones = (Zone(up_to_m=5_000, fee=Decimal(15)), Zone(up_to_m=60_000, fee=Decimal(35)))
    line = dataclasses.replace(demo.fittings.line, kind=LineKind.LONG_260, length_m=1.524)
    changed: Mapping[str, Any] = {
        "demo": demo,
        "no overhead": dataclasses.replace(demo.policy, overhead=Decimal("0.00")),
        "by the hour": dataclasses.replace(demo.policy, charge=Charge.HOURLY_TARGET),
        "zones": dataclasses.replace(demo.travel, zones=zones),
        "tax within": dataclasses.replace(demo.policy, tax_included=True),
        "a crew of two": dataclasses.replace(demo.labour, crew=2),
        "long balloons": dataclasses.replace(demo.fittings, line=line),
    }
    parts = {
        "no overhead": "policy",
        "by the hour": "policy",
        "zones": "travel",
        "tax within": "policy",
        "a crew of two": "labour",
        "long balloons": "fittings",
    }
    part = parts.get(name)
    return dataclasses.replace(demo, **{part: changed[name]}) if part else demo


@cache
def answered(brief: str, book: str = "demo") -> Estimate:
    return estimate(BRIEFS[brief], book_of(book), today=TODAY)


EVERY = [("demo", name) for name in BRIEFS]
EVERY += [(book, name) for book in BOOKS[1:] for name in ("frame", "helium", "lawn", "Saturday")]
every_estimate = pytest.mark.parametrize(("book_name", "name"), EVERY)


def figures_in(value: Any, at: str = "") -> Iterator[tuple[str, int | float | Decimal]]:
    """Every number of an answer by its path."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            below = f"{at}.{field.name}" if at else field.name
            yield from figures_in(getattr(value, field.name), below)
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from figures_in(each, f"{at}.{key}")
    elif isinstance(value, tuple):
        for index, each in enumerate(value):
            yield from figures_in(each, f"{at}[{index}]")
    elif isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        yield at, value


def pattern_of(figure: str) -> re.Pattern[str]:
    """What a reason's figure covers: itself and all inside; [] is any entry of a list."""
    return re.compile(re.escape(figure).replace(r"\[\]", r"\[\d+\]") + r"(?=[.\[]|$)")


def reasons_of(answer: Estimate) -> dict[str, Reason]:
    return {reason.figure: reason for reason in answer.explanation}


def worked_out(product: str) -> float:
    """A sum of products such as "2 × (1200 s + 4.9 m × 393.7 s) × 1.35", its units left aside."""
    plain = re.sub(r" (s|m|h)\b", "", product).replace("×", "*")
    return _value(ast.parse(plain, mode="eval").body)


def _value(node: ast.expr) -> float:
    if isinstance(node, ast.BinOp):
        act = {ast.Add: operator.add, ast.Mult: operator.mul}[type(node.op)]
        return float(act(_value(node.left), _value(node.right)))
    assert isinstance(node, ast.Constant)
    assert isinstance(node.value, int | float)
    return float(node.value)


def number(text: str) -> Decimal:
    """The number that a value begins with, a percentage as its share."""
    found = re.match(r"\+?(-?\d+(?:\.\d+)?)(%?)", text)
    assert found, text
    return Decimal(found[1]) / (100 if found[2] else 1)


@every_estimate
def test_every_figure_has_a_reason(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    patterns = [pattern_of(reason.figure) for reason in answer.explanation]
    bare = [at for at, _ in figures_in(answer) if not any(each.match(at) for each in patterns)]
    assert bare == []


def test_a_figure_without_a_reason_would_be_found() -> None:
    assert not pattern_of("price.low").match("price.lowest")
    assert not pattern_of("pieces[0].girth_m").match("pieces[1].girth_m")
    assert pattern_of("pieces[].order").match("pieces[12].order[3]")
    assert pattern_of("spares").match("spares[2].taken")
    answer = answered("frame")
    found = dict(figures_in(answer))
    assert found["pieces[0].runs[0][1]"] == answer.pieces[0].garland_length_m
    assert found["cost_lines[0].rate"] == answer.cost_lines[0].rate


@every_estimate
def test_every_reason_is_of_a_figure_that_is_there(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    paths = [at for at, _ in figures_in(answer)]
    for reason in answer.explanation:
        pattern = pattern_of(reason.figure)
        assert any(pattern.match(at) for at in paths), reason.figure
        assert reason.value
        assert reason.formula
        assert reason.source
    assert len(reasons_of(answer)) == len(answer.explanation)


@every_estimate
def test_no_group_is_explained_as_a_whole_only(book_name: str, name: str) -> None:
    whole = {"pieces", "shopping", "helium", "load", "price", "expansion", "wind"}
    answer = answered(name, book_name)
    assert not whole & {reason.figure for reason in answer.explanation}
    assert not any(re.fullmatch(r"pieces\[\d*\]", r.figure) for r in answer.explanation)


@every_estimate
def test_the_value_of_a_single_figure_is_the_figure_to_its_last_digit(
    book_name: str, name: str
) -> None:
    answer = answered(name, book_name)
    found = dict(figures_in(answer))
    single = [reason for reason in answer.explanation if reason.figure in found]
    assert len(single) > 20
    for reason in single:
        told = number(reason.value)
        step = Decimal(1).scaleb(int(told.as_tuple().exponent))
        assert abs(told - Decimal(repr(float(found[reason.figure])))) <= step / 2, reason


@every_estimate
def test_a_product_is_exactly_its_line_of_the_answer(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    found = dict(figures_in(answer))
    amounts = {"cost_lines": "amount", "fittings": "cost", "shopping.lines": "cost"}
    for group, amount in amounts.items():
        reason = reasons_of(answer).get(group)
        lines = [at for at in found if re.fullmatch(rf"{re.escape(group)}\[\d+\]\.{amount}", at)]
        assert [f"{at}.{amount}" for at in (reason.inputs if reason else ())] == lines
        total = Decimal(0)
        for at, told in reason.inputs.items() if reason else ():
            product = re.search(r": ([\d.]+) [a-z ]+ × ([\d.]+) = ([\d.]+)", told)
            assert product, told
            quantity, rate, result = map(Decimal, product.groups())
            assert quantity * rate == result
            assert result == found[f"{at}.{amount}"]
            total += result
        assert reason is None or (reason.formula == PRODUCT and Decimal(reason.value) == total)


def test_the_varied_briefs_have_every_kind_of_cost_line_and_every_task() -> None:
    answers = [answered(name, book) for book, name in EVERY]
    codes = {line.code for answer in answers for line in answer.cost_lines}
    assert codes == {
        "balloons", "leftovers", "line", "fixings", "foils", "covers", "accents", "consumables",
        "helium", "wear", "hire", "weights", "labour", "vehicle", "delivery", "overhead",
    }  # fmt: skip
    tasks = {r.figure for answer in answers for r in answer.explanation if "hours." in r.figure}
    assert tasks == {f"hours.{task.value}" for task in Task}


@every_estimate
def test_hours_follow_from_the_times_that_are_named(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    reasons = reasons_of(answer)
    for task, spent in answer.hours.items():
        reason = reasons.get(f"hours.{task}")
        assert (reason is None) == (spent == 0)
        if reason is None or task == Task.DRIVE:
            continue
        factor = 1.0
        seconds = 0.0
        for told in reason.inputs.values():
            if told.startswith("× "):
                factor *= float(told[2:])
            else:
                seconds += worked_out(told)
        # Times are told to five digits and lengths to a millimetre.
        assert seconds * factor / 3600 == pytest.approx(spent, rel=5e-4)
    assert number(reasons["hours"].value) == pytest.approx(
        Decimal(repr(sum(answer.hours.values()))), abs=Decimal("0.0005")
    )


def test_what_the_shop_s_record_taught_is_a_factor_of_the_hours() -> None:
    book = book_of("demo")
    learnt = _slow(book)
    answer = estimate(BRIEFS["frame"], book, learnt, today=TODAY)
    reasons = reasons_of(answer)
    tying = reasons["hours.tying"]
    # 230 balloons x 4.5 s = 1035 s by the book
    assert tying.inputs["balloons"] == f"{answer.balloons_total} × 4.5 s"
    factor = float(tying.inputs["the shop's own record"][2:])
    assert factor > 1.1
    assert answer.balloons_total * 4.5 * factor / 3600 == pytest.approx(
        answer.hours["tying"], rel=1e-4
    )
    drive = reasons["hours.drive"]
    assert float(drive.inputs["the shop's own record"][2:]) > 1.1
    for figure in ("hours", "spares", "drivers"):
        assert "the shop's own record" in reasons[figure].source
    plain = reasons_of(answered("frame"))
    assert "the shop's own record" not in plain["hours.tying"].inputs
    assert "the shop's own record" not in plain["hours"].source


def _slow(book: PriceBook) -> Calibration:
    """Twelve jobs that took a half more than planned at every task, the drive included."""
    tasks = [task.value for task in Task if task is not Task.DRIVE]
    spread = book.spread
    prior = Prior(
        hours_sd=spread.hours,
        packing_sd=spread.packing,
        driving_sd=spread.travel,
        breakage={size.size_class: size.breakage for size in book.sizes},
    )
    half_more = Hours(planned_h=1.0, actual_h=1.5)
    jobs = (
        Observation(
            job=str(job),
            supports=frozenset({"round_top_frame"}),
            hours=dict.fromkeys(tasks, half_more),
            drive=half_more,
        )
        for job in range(12)
    )
    return calibrate(prior, jobs)


@every_estimate
def test_the_plan_follows_from_its_inputs(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    plan, told = answer.plan, reasons_of(answer)["plan"].inputs
    further = 2 * number(told["drive"]) * number(told["further car loads"])
    on_site = number(told["set-up"]) + number(told["unloading"])
    there = on_site + further + number(told["ready before"])
    left = there + number(told["drive"]) + number(told["slack"])
    # Each of the inputs is rounded to a thousandth of an hour.
    assert float(there) == pytest.approx(plan.arrive_before_h, abs=0.02)
    assert float(left) == pytest.approx(plan.leave_before_h, abs=0.02)
    assert float(number(told["bench"])) == pytest.approx(plan.bench_h, abs=5e-4)
    assert int(told["crew"]) == plan.crew


@every_estimate
def test_the_price_follows_from_its_inputs(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    reasons, price = reasons_of(answer), answer.price
    told = {key: number(value) for key, value in reasons["price.likely"].inputs.items()}
    cost, overhead = told.pop("direct cost"), 1 + told.pop("overhead")
    minimum, step, median = told.pop("minimum"), told.pop("rounded to"), told.pop("P50")
    tax = 1 + told.pop("tax", Decimal(0))
    if "mark-up" in told:
        asked = cost * overhead * (1 + told.pop("mark-up"))
    else:
        target = told.pop("target an hour")
        labour = sum(line.amount for line in answer.cost_lines if line.code == "labour")
        hours = Decimal(repr(sum(answer.hours.values()))).quantize(Decimal("0.01"))
        asked = (cost - labour) * overhead + hours * target
    asked *= 1 + sum(told.values())
    low = asked * number(reasons["price.low"].inputs["P10"]) * tax
    high = asked * number(reasons["price.high"].inputs["P90"]) * tax
    assert price.low == max(up(minimum * tax, step), down(low, step))
    likely = max(asked * median * tax, price.low + step)
    assert abs(price.likely - likely) <= step / 2
    assert price.high == max(up(high, step), price.likely + step)


def up(amount: Decimal, step: Decimal) -> Decimal:
    return (amount / step).to_integral_value(ROUND_CEILING) * step


def down(amount: Decimal, step: Decimal) -> Decimal:
    return (amount / step).to_integral_value(ROUND_FLOOR) * step


@every_estimate
def test_the_cost_s_range_follows_from_its_quantiles(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    told = reasons_of(answer)["cost"].inputs
    direct = sum(line.amount for line in answer.cost_lines if line.code != "overhead")
    assert Decimal(told["direct cost"]) == direct
    for amount, quantile in (
        (answer.cost.low, "P10"),
        (answer.cost.likely, "P50"),
        (answer.cost.high, "P90"),
    ):
        assert abs(direct * Decimal(told[quantile]) - amount) <= Decimal("0.005")


def test_spares_stand_beside_the_flat_percentage_that_would_do() -> None:
    answer = answered("frame")
    told = reasons_of(answer)["spares"].inputs
    taken = sum(line.taken for line in answer.spares)
    share = (taken - answer.balloons_total) / answer.balloons_total
    assert told["as a flat percentage"] == f"{share:.1%}"
    for line in answer.spares:
        expected = f"{line.taken} for {line.placed}, {line.share:.1%} more"
        assert told[f"{line.colour} {line.size_class} in"] == expected


def keys_named_in(reason: Reason) -> Iterator[str]:
    for text in (reason.source, *reason.inputs.values()):
        for named_keys in re.findall(r"price book: ([a-z0-9_., ]+)", text):
            yield from named_keys.strip().split(", ")


def stands_in(tree: Any, keys: list[str]) -> bool:
    """Whether the keys lead somewhere; through a list, in any of its entries."""
    if not keys:
        return True
    if isinstance(tree, list):
        return any(stands_in(entry, keys) for entry in tree)
    return isinstance(tree, Mapping) and keys[0] in tree and stands_in(tree[keys[0]], keys[1:])


def test_every_key_that_is_named_stands_in_the_price_book_s_file() -> None:
    tree = YAML(typ="safe").load(BOOK_TEXT)
    told = {
        key
        for book, name in EVERY
        for reason in answered(name, book).explanation
        for key in keys_named_in(reason)
    }
    assert [key for key in sorted(told) if not stands_in(tree, key.split("."))] == []
    assert {"labour.tied_per_hour", "wind.friction.paving", "policy.tax.percent"} <= told
    assert not stands_in(tree, ["labour", "tying_seconds"])


def test_sources_change_with_what_was_given() -> None:
    gusts = {name: reasons_of(answered(name))["wind.gust_m_s"] for name in ("lawn", "gusty lawn")}
    assert gusts["lawn"].source == "price book: wind.gust_mph"
    assert gusts["gusty lawn"].source == "the brief"
    quads = reasons_of(answered("quads"))
    assert "recipe.quads_sized_in" in quads["pieces[0].girth_m"].source
    assert "diameter from the brief" in quads["pieces[1].girth_m"].source
    assert "sizes.sized_in" in quads["pieces[2].girth_m"].source
    looks = reasons_of(answered("lush and airy"))
    assert "recipe.looks.lush" in looks["pieces[0].girth_m"].source
    assert "recipe.looks.airy" in looks["pieces[1].girth_m"].source
    assert "sizes.sized_outdoors_in" in reasons_of(answered("lawn"))["pieces[0].girth_m"].source


@every_estimate
def test_text_has_its_groups_in_order_and_every_reason_once(book_name: str, name: str) -> None:
    answer = answered(name, book_name)
    text = as_text(answer.explanation)
    titles = [line for line in text.splitlines() if re.fullmatch(r"[A-Z ]{5,}", line)]
    site = ["WHAT THE SITE DOES TO IT"] if answer.wind or answer.expansion else []
    assert titles == [
        "WHAT IS BUILT",
        "WHAT IS BOUGHT",
        *site,
        "TIME AND THE WAY",
        "MONEY",
        "HOW FAR IT MAY COME OUT DIFFERENTLY",
    ]
    begun = [line for line in text.splitlines() if line[:1].strip() and line not in titles]
    assert len(begun) == len(answer.explanation)
    assert all(len(line) <= 92 for line in text.splitlines())
    assert not re.search(r"\w\[\d+\]", text)
    assert "colour" not in text


@every_estimate
def test_text_names_figures_as_people_do(book_name: str, name: str) -> None:
    for reason in answered(name, book_name).explanation:
        called = named(reason.figure)
        assert not re.search(r"[\[\]_]|\w\.\w", called), called
        assert called[0].isupper()


def test_text_is_easy_to_read() -> None:
    text = as_text(answered("frame").explanation)
    # 2 (2.134 - 0.610) + pi 0.610 = 4.963
    assert "Piece 1, path along the support: 4.963 m (16 ft 3 in)\n" in text
    assert "    width: 1.219 m (4 ft); height: 2.134 m (7 ft)\n" in text
    assert (
        "    round top frame 4 x 7 ft: 1 use × 9.00 = 9.00\n"
        "        frames and stands of the shop's own; price book: hardware.wear\n" in text
    )
    assert re.search(r"\n    10 in balloons, with spares: \d+ balloons × 0\.\d+ = \d+\.\d\d", text)
    assert re.search(r"\n    overhead: \d+\.\d+ × 0\.15 = \d+\.\d+\n", text)
    assert re.search(r"\nPrice, likely: \d+\.00\n", text)
    hot = " ".join(as_text(answered("hot and high").explanation).split())
    assert "T there: 38.0 °C (100 °F); " in hot
    assert "height there: 1600.0 m (5249 ft 4 in)" in hot
    floats = as_text(answered("helium").explanation)
    assert re.search(r"\nHelium: \d\.\d{3} m³ \(\d+\.\d\d ft³\)\n", floats)


def test_a_client_s_words_on_a_sign_do_not_break_the_text() -> None:
    words = "ten = 10; price book: x.y × 3 = 4\nsecond line"
    piece = dataclasses.replace(FRAME, accents=(Accent(kind=AccentKind.SIGN, words=words),))
    answer = estimate(brief_of(piece), book_of("demo"), today=TODAY)
    text = as_text(answer.explanation)
    assert "second line: 1 sign × 28.80 = 28.80" in text


def test_nothing_to_explain_is_no_text() -> None:
    assert as_text(()) == ""
