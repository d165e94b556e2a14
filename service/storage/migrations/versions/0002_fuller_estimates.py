"""Fuller estimates

Quotes keep their estimate as JSON. An estimate now says more: the ends of each path, fittings, orders,
a plan, the shop's own cost. What follows from what a quote already holds is worked out; what was not
reckoned then stays empty. Nothing that a client was told is changed.

Everything is written out here, and nothing taken from the estimator: it moves on, and this must not.

Revision ID: 0002
Revises: 0001
"""

import json
from collections.abc import Callable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0002"
down_revision: str | None = "0001"
branch_labels: str | Sequence[str] | None = None
depends_on: str | Sequence[str] | None = None

Json = dict[str, Any]

_quotes = sa.table(
    "quotes", sa.column("seq", sa.Integer), sa.column("lead_id"), sa.column("estimate", sa.Text)
)
_leads = sa.table("leads", sa.column("id"), sa.column("brief", sa.Text))

_BENCH = ("sizing_and_inflating", "tying", "clustering", "line_build", "foils")
_LEVEL_M = {"wall": 2.3, "mantel": 1.4, "table": 0.76, "ceiling": 3.0}
_RAIL_M, _ROW_M = 0.9, 0.6
_FLOOR = (0.0, 0.0)
_WIND = "wind"
_RANGE = "price.low and price.high"
_BANDS = (
    (0.02, "only an idea so far"),
    (0.15, "a first sketch, most of it open"),
    (0.40, "an outline, several things open"),
    (0.75, "much is known, a few things are open"),
    (1.00, "nearly everything is known"),
)


def upgrade() -> None:
    def fuller(estimate: Json, brief: Json) -> Json:
        return estimate if "plan" in estimate else _fuller(estimate, brief["pieces"])

    _rewrite(fuller)


def downgrade() -> None:
    _rewrite(lambda estimate, _brief: _plainer(estimate))


def _rewrite(change: Callable[[Json, Json], Json]) -> None:
    connection = op.get_bind()
    # One at a time: an estimate is long, and there may be many.
    for seq in list(connection.scalars(sa.select(_quotes.c.seq).order_by(_quotes.c.seq))):
        estimate, brief = connection.execute(
            sa.select(_quotes.c.estimate, _leads.c.brief)
            .join_from(_quotes, _leads, _quotes.c.lead_id == _leads.c.id)
            .where(_quotes.c.seq == seq)
        ).one()
        changed = change(json.loads(estimate), json.loads(brief))
        text = json.dumps(changed, ensure_ascii=False, separators=(",", ":"))
        connection.execute(sa.update(_quotes).where(_quotes.c.seq == seq).values(estimate=text))


def _fuller(estimate: Json, asked_for: Sequence[Json]) -> Json:
    price = estimate["price"]
    rate = Decimal(price.get("tax_rate", "0"))
    trips = estimate["load"]["car_loads"] + 1  # the way back to strike is one more
    hours = estimate["hours"] | {"accents": 0.0, "helium": 0.0}
    return estimate | {
        "pieces": [
            _piece(made, *asked_for[index : index + 1])
            for index, made in enumerate(estimate["pieces"])
        ],
        "spares": [],
        "shopping": _shopping(estimate["shopping"]),
        "fittings": [],
        "hours": hours,
        "plan": _plan(hours, trips, estimate["travel"]["drive_hours"]),
        "helium": estimate["helium"] | {"balloons": [], "cylinders": []},
        "expansion": None,
        "load": estimate["load"] | {"trips": trips},
        **_wind(estimate),
        "cost_lines": [line | {"taxable": rate > 0} for line in estimate["cost_lines"]],
        "cost": _cost(estimate),
        "price": price
        | {"tax_rate": str(rate), "taxable_share": "1", "tax": str(_tax(price, rate))},
        "drivers": _drivers(estimate),
        "known_as": next(words for limit, words in _BANDS if estimate["completeness"] <= limit),
    }


def _piece(made: Json, asked: Json | None = None) -> Json:
    known = asked is not None and asked["support"] == made["support"]
    start, end = _ends(asked) if asked and known else (_FLOOR, _FLOOR)
    garland = made["garland_length_m"]
    return made | {
        "start": _point(*start),
        "end": _point(*end),
        "runs": [[0.0, garland]],
        "line_joins": 0,
        "attachments_m": _attachments(made),
        "pattern": "mixed",
        "cluster_types": [],
        "order": [],
    }


def _point(x: float, y: float, z: float = 0.0) -> Json:
    return {"x": x, "y": y, "z": z}


def _ends(piece: Json) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Both ends of the path, as it was drawn then [m]."""
    support, width, length = piece["support"], piece["width_m"], piece["length_m"]
    level = _LEVEL_M.get(support)
    if level is not None and length is not None:
        across = width if support == "ceiling" and width else 0.0
        half = across / max(1, round(across / _ROW_M)) / 2
        return (0.0, level, half), (length, level, across - half)
    match support:
        case "wall":
            return _FLOOR, (width, piece["height_m"])
        case "hoop":
            return (width / 2, 0.0), (width / 2, 0.0)
        case "staircase":
            return (0.0, _RAIL_M), (piece["run_m"], piece["rise_m"] + _RAIL_M)
        case "swag":
            return (0.0, piece["sag_m"]), (width, piece["sag_m"])
        case "column":
            return _FLOOR, (0.0, piece["height_m"])
    return _FLOOR, (width, 0.0)


def _attachments(made: Json) -> list[float]:
    """Evenly along the garland; round a whole hoop the first point is the last as well."""
    points, garland = made["attachment_points"], made["garland_length_m"]
    closed = made["support"] == "hoop" and garland == made["path_length_m"]
    gaps = points if closed else points - 1
    return [garland * i / gaps for i in range(points)]


def _shopping(shopping: Json) -> Json:
    goods: dict[str, Decimal] = {}
    for line in shopping["lines"]:
        supplier = line["supplier"]
        goods[supplier] = goods.get(supplier, Decimal(0)) + Decimal(line["cost"])
    return shopping | {
        "orders": [
            {"supplier": supplier, "goods": str(amount), "delivery": "0.00"}
            for supplier, amount in goods.items()
        ],
        "filled": [],
        "left_over": [],
        "leftover_value": "0",
        # Where the search was cut short nothing is known of how far it was from the end.
        "gap": 0.0 if shopping["proven_cheapest"] else 1.0,
    }


def _plan(hours: Mapping[str, float], trips: int, drive_hours: float) -> Json:
    """One person, no slack. How long balloons keep was not reckoned: the work itself is taken."""
    one_way = drive_hours / trips / 2
    bench = sum(hours[task] for task in _BENCH)
    set_up = hours["install"] + hours["finish"]
    # Of the trips one is to strike; all but the first of the others fetch what is left.
    arrive = set_up + max(0, trips - 2) * 2 * one_way
    leave = arrive + one_way
    return {
        "crew": 1,
        "bench_h": bench,
        "ahead_h": bench + hours["load"] + leave,
        "helium_h": 0.0,
        "helium_ahead_h": None,
        "set_up_h": set_up,
        "arrive_before_h": arrive,
        "leave_before_h": leave,
        "strike_h": hours["strike"],
    }


def _wind(estimate: Json) -> Json:
    """The caution goes to the others: no gust was reckoned with that a figure could be given for."""
    if estimate["wind"] is None:
        return {}
    caution = {"code": _WIND, "text": estimate["wind"]["caution"]}
    return {"wind": None, "cautions": [*estimate["cautions"], caution]}


def _cost(estimate: Json) -> Json:
    """Direct cost, and its range as far as the explanation tells it, in whole per cent."""
    direct = sum(
        (Decimal(line["amount"]) for line in estimate["cost_lines"] if line["code"] != "overhead"),
        Decimal(0),
    )
    told = _range_inputs(estimate)
    low, high = (
        direct * Decimal(told.get(f"{name} of the estimate", "100%").rstrip("%")) / 100
        for name in ("P10", "P90")
    )
    return {"low": str(_cents(low)), "likely": str(_cents(direct)), "high": str(_cents(high))}


def _drivers(estimate: Json) -> list[Json]:
    prefix = "spread from "
    return [
        {"name": name.removeprefix(prefix), "share": int(share.rstrip("%")) / 100}
        for name, share in _range_inputs(estimate).items()
        if name.startswith(prefix)
    ]


def _range_inputs(estimate: Json) -> Mapping[str, str]:
    reasons = (reason["inputs"] for reason in estimate["explanation"] if reason["figure"] == _RANGE)
    return next(reasons, {})


def _tax(price: Json, rate: Decimal) -> Decimal:
    likely = Decimal(price["likely"])
    return _cents(likely / (1 + rate) * rate if price["tax_included"] else likely * rate)


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


_ADDED: Mapping[str, Sequence[str]] = {
    "shopping": ("orders", "filled", "left_over", "leftover_value", "gap"),
    "hours": ("accents", "helium"),
    "helium": ("balloons", "cylinders"),
    "load": ("trips",),
    "price": ("taxable_share", "tax"),
}


def _plainer(estimate: Json) -> Json:
    new = ("spares", "fittings", "plan", "expansion", "cost", "drivers", "known_as")
    plain = _without(estimate, new)
    plain |= {name: _without(estimate[name], keys) for name, keys in _ADDED.items()}
    of_piece = ("start", "end", "runs", "line_joins", "attachments_m", "pattern", "cluster_types")
    plain["pieces"] = [_without(made, (*of_piece, "order")) for made in estimate["pieces"]]
    plain["cost_lines"] = [_without(line, ("taxable",)) for line in estimate["cost_lines"]]
    return plain | _wind_again(estimate)


def _wind_again(estimate: Json) -> Json:
    texts = [caution["text"] for caution in estimate["cautions"] if caution["code"] == _WIND]
    if estimate["wind"] is not None:
        texts = [estimate["wind"]["caution"]]
    return {
        "wind": {"caution": texts[0]} if texts else None,
        "cautions": [caution for caution in estimate["cautions"] if caution["code"] != _WIND],
    }


def _without(whole: Json, keys: Sequence[str]) -> Json:
    return {name: value for name, value in whole.items() if name not in keys}
