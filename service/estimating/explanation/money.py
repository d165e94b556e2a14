"""Money: cost lines, the price made of them, and how far both may come out differently."""

from collections.abc import Iterator, Sequence

from service.estimating.answer import CostLine, Price, Reason
from service.estimating.book import Charge, Policy, PriceBook
from service.estimating.explanation.sources import BRIEF, OWN_RECORD, PRODUCT, price_book
from service.estimating.explanation.workings import Workings

_LINES = {
    "balloons": price_book("bags.price", "bags.pack_size"),
    "leftovers": price_book("policy.leftovers_charged_percent"),
    "line": price_book("line.price_per_ft"),
    "fixings": price_book("line.price_per_clip", "line.price_per_band"),
    "foils": price_book("foils.digit", "foils.letter", "foils.shape"),
    "covers": price_book("covers.wear", "accents.fabric_cover"),
    "accents": price_book("accents"),
    "consumables": price_book("consumables.price"),
    "helium": price_book("helium"),
    "wear": price_book("hardware.wear"),
    "hire": price_book("hire.price"),
    "weights": price_book("weights.wear"),
    "labour": "hours; " + price_book("labour.wage"),
    "vehicle": "travel and load; " + price_book("travel.price_per_mile"),
    "delivery": "load; " + price_book("travel.zones"),
    "overhead": "sum of all other cost lines; " + price_book("policy.overhead_percent"),
}
"""Where the quantity or the rate of a cost line stands, by its code."""

_POLICY = (
    "policy.overhead_percent",
    "policy.minimum",
    "policy.rounding",
    "policy.rush_percent",
    "policy.weekend_percent",
    "policy.holiday_percent",
)
_CHARGED = {
    Charge.MARKUP: price_book("policy.charge", "policy.markup_percent", *_POLICY),
    Charge.HOURLY_TARGET: price_book("policy.charge", "policy.hourly_target", *_POLICY),
}
_DEPOSIT = price_book("policy.deposit_percent", "policy.deposit_rounding")
_TAX_RATE = price_book("policy.tax.percent")
_TAXED = price_book("policy.tax.when_kept", "policy.tax.when_taken_back")
_TAX = price_book("policy.tax_included")
_KNOWN = f"{BRIEF}; words by the degrees of definition in AACE 18R-97"
_OUTCOME = "quantiles of a sum of lognormals; " + price_book("spread")
_ROUNDED = f"{_OUTCOME}, policy.minimum, policy.rounding"
_YES = {True: "yes", False: "no"}


def of_money(workings: Workings, book: PriceBook) -> Iterator[Reason]:
    """Every figure of cost and price."""
    yield _lines(workings.cost_lines)
    yield _likely(workings, book.policy)
    yield _deposit(workings.price, book.policy)
    yield from _tax(workings)
    yield from _range(workings)
    yield from _doubts(workings)


def _lines(lines: Sequence[CostLine]) -> Reason:
    # A zero of many decimals would be told as "0E-8" by itself.
    overhead = lines[-1]
    return Reason(
        figure="cost_lines",
        value=f"{overhead.quantity + overhead.amount:f}",
        formula=PRODUCT,
        inputs={
            f"cost_lines[{index}]": (
                f"{line.label}: {line.quantity!s} {line.unit} × {line.rate!s} = {line.amount:f};"
                f" {_LINES[line.code]}"
            )
            for index, line in enumerate(lines)
        },
        source="spares, fittings, hours and travel; the price book as each line says",
    )


def _likely(workings: Workings, policy: Policy) -> Reason:
    price = workings.price
    by_markup = policy.charge is Charge.MARKUP
    return Reason(
        figure="price.likely",
        value=str(price.likely),
        formula=(
            "P50 of cost × (1 + overhead) × (1 + mark-up) × surcharge"
            if by_markup
            else "P50 of (cost without time × (1 + overhead) + hours × target) × surcharge"
        )
        + (" × (1 + tax)" if price.tax_included else "")
        + ", at least the minimum and a step above the low end, rounded",
        inputs={
            "direct cost": str(workings.cost_lines[-1].quantity),
            "overhead": f"{policy.overhead:.2%}",
            **(
                {"mark-up": f"{policy.markup:.2%}"}
                if by_markup
                else {"target an hour": str(policy.hourly_target)}
            ),
            **{name: f"+{share:.2%}" for name, share in workings.surcharges.items()},
            "P50": f"{workings.outcome.likely:.6f}",
            **_included(price),
            "minimum": str(policy.minimum),
            "rounded to": str(policy.rounding),
        },
        source=_CHARGED[policy.charge],
    )


def _deposit(price: Price, policy: Policy) -> Reason:
    return Reason(
        figure="price.deposit",
        value=str(price.deposit),
        formula="likely price × share, rounded up, at most all of it",
        inputs={
            "likely": str(price.likely),
            "share": f"{policy.deposit_share:.2%}",
            "rounded to": str(policy.deposit_rounding),
        },
        source=_DEPOSIT,
    )


def _included(price: Price) -> dict[str, str]:
    return {"tax": f"{price.tax_rate * price.taxable_share:.6%}"} if price.tax_included else {}


def _tax(workings: Workings) -> Iterator[Reason]:
    price, taxed = workings.price, workings.tax.taxed
    rate, share = f"{price.tax_rate:.4%}", f"{price.taxable_share:.2%}"
    yield Reason(
        figure="price.tax_rate",
        value=rate,
        formula="the rule whose prefix fits most of the postal code",
        inputs={"postal code": workings.brief.site.postal_code or "not known"},
        source=_TAX_RATE,
    )
    yield Reason(
        figure="price.taxable_share",
        value=share,
        formula="price asked for the taxed cost lines alone / price asked for all of them",
        inputs={
            "client keeps the balloons": _YES[bool(workings.brief.client_keeps)],
            "taxed": ", ".join(sorted(taxed)).replace("_", " ") or "nothing",
        },
        source=_TAXED,
    )
    yield Reason(
        figure="price.tax",
        value=str(price.tax),
        formula=(
            "likely price × rate × share / (1 + rate × share): it is in the price"
            if price.tax_included
            else "likely price × rate × share: it comes on top"
        ),
        inputs={"likely": str(price.likely), "rate": rate, "share": share},
        source=_TAX,
    )


def _range(workings: Workings) -> Iterator[Reason]:
    outcome, cost, price = workings.outcome, workings.cost, workings.price
    yield Reason(
        figure="cost",
        value=f"{cost.low} to {cost.high}, likely {cost.likely}",
        formula="sum of all cost lines but overhead × its quantiles, to the cent",
        inputs={
            "direct cost": str(workings.cost_lines[-1].quantity),
            "P10": f"{outcome.low:.6f}",
            "P50": f"{outcome.likely:.6f}",
            "P90": f"{outcome.high:.6f}",
        },
        source=_OUTCOME,
    )
    yield Reason(
        figure="price.low",
        value=str(price.low),
        formula="as the likely price with P10 for P50, rounded down, at least the minimum",
        inputs={"P10": f"{outcome.low:.6f}"},
        source=_ROUNDED,
    )
    yield Reason(
        figure="price.high",
        value=str(price.high),
        formula="as the likely price with P90 for P50, rounded up, at least a step above it",
        inputs={"P90": f"{outcome.high:.6f}"},
        source=_ROUNDED,
    )


def _doubts(workings: Workings) -> Iterator[Reason]:
    drivers, known = workings.outcome.drivers, workings.known
    jobs = workings.calibration.jobs
    yield Reason(
        figure="drivers",
        value=", ".join([f"{part:.1%} {name}" for name, part in drivers.items()]) or "none",
        formula="each factor's share of the variance of the total's logarithm, to first order",
        inputs={},
        source=f"{_OUTCOME}; {OWN_RECORD}" if jobs else _OUTCOME,
    )
    yield Reason(
        figure="completeness",
        value=f"{workings.known.completeness:.1%}",
        formula="facts known / facts that move the price; measures count twice",
        inputs={
            "measures": _YES[known.measures],
            "colors": _YES[known.palette],
            "indoors or outdoors": _YES[known.setting],
            "date": _YES[known.date],
            "time": _YES[known.time],
            "place": _YES[known.site],
        },
        source=_KNOWN,
    )
