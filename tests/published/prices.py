"""What the demo shop asks for a garland, against what others say one costs."""

from decimal import Decimal
from functools import partial

from service.estimating.costing import Costs, total
from service.estimating.price import asked, price_range
from tests.published.demo import book, frame
from tests.published.row import Disagreement, Row, published


def price_to_direct_cost() -> float:
    """What the demo shop's policy asks for each dollar of direct cost."""
    lines = tuple(line for line in frame().cost_lines if line.code != "overhead")
    labour = tuple(line for line in lines if line.code == "labour")
    rest = tuple(line for line in lines if line.code != "labour")
    costs = Costs(materials=rest, support=(), labour=labour, driving=())
    return float(asked(costs, frame().hours, book().policy) / total(lines))


def decimals(currency: str) -> float:
    """Digits after the point in a price of that currency."""
    certain = (Decimal(1),) * 3
    none = Decimal(0)
    price = price_range(
        Decimal(500), certain, book().policy, currency, tax_rate=none, taxable_share=none
    )
    return -int(price.likely.as_tuple().exponent)


_TO_THE_CENT = "prices are kept to the hundredth, whatever the currency"

ASKED = (
    published(
        id="full garland on a frame of 4 x 7 ft, put up",
        source="'The one thing every holiday party needs': usually $250 or more",
        expected=250,
        at_least=True,
        unit="$",
        answer=lambda: float(frame().price.likely),
    ),
    published(
        id="deposit over price",
        source="'Fees & deposit', 'Policies' and one more, decorators' pages: 50 %",
        expected=0.5,
        tolerance=0.02,
        answer=lambda: float(frame().price.deposit / frame().price.likely),
    ),
    published(
        id="price over direct cost",
        source="'How do I put a price on balloon columns?', a decorators' guide: 2.5",
        expected=2.5,
        tolerance=0.1,
        answer=price_to_direct_cost,
        disagrees=Disagreement(
            by=-0.333, because="the shop's direct cost holds every hour, the rule's does not"
        ),
    ),
)

DECIMALS = (
    published(
        id="decimals of US dollars",
        source="ISO 4217, list of 1 January 2026: exponent 2",
        expected=2,
        answer=partial(decimals, "USD"),
    ),
    published(
        id="decimals of Kuwaiti dinars",
        source="ISO 4217, list of 1 January 2026: exponent 3",
        expected=3,
        answer=partial(decimals, "KWD"),
        disagrees=Disagreement(by=-1 / 3, because=_TO_THE_CENT),
    ),
    published(
        id="decimals of Japanese yen",
        source="ISO 4217, list of 1 January 2026: exponent 0",
        expected=0,
        answer=partial(decimals, "JPY"),
        disagrees=Disagreement(by=2, because=_TO_THE_CENT),
    ),
)

ROWS: tuple[Row, ...] = (*ASKED, *DECIMALS)
