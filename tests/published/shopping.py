"""Whole balloons by color, and whole packs: textbook problems put to the shop's own arithmetic."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache, partial

from service.estimating.covering import Market
from service.estimating.covering.integer_program import optimum
from service.estimating.covering.offers import Bundle, Pack
from service.estimating.recipe import spread
from tests.published.row import Row, derived, published, remembered


def shared(total: int, weights: Sequence[int]) -> str:
    """`total` by weight, as words."""
    given = spread(total, {str(index): float(weight) for index, weight in enumerate(weights)})
    return ", ".join(str(given[str(index)]) for index in range(len(weights)))


SHARES = (
    published(
        id="35 by 503, 304, 193",
        source="electowiki, 'Sainte-Laguë method', 35-seat example: 17, 11, 7",
        expected="17, 11, 7",
        answer=partial(shared, 35, (503, 304, 193)),
    ),
    published(
        id="42 by six counties",
        source="solved exercise on Webster's method, counties Adams to McKinley: 9, 9, 3, 6, 6, 9",
        expected="9, 9, 3, 6, 6, 9",
        answer=partial(shared, 42, (474, 472, 192, 333, 327, 473)),
    ),
    published(
        id="a last seat at quotients of 13.51 and 1.49",
        source="COMAP, For All Practical Purposes, ch. 14, example 22, the 435th seat: 14 and 1",
        expected="14, 1",
        answer=partial(shared, 15, (1351, 149)),
    ),
    derived(
        id="10 by 445, 149, 406",
        source="step by step: the tenth goes to 149/1.5 = 99.3, before 445/4.5 = 98.9",
        expected="4, 2, 4",
        answer=partial(shared, 10, (445, 149, 406)),
    ),
    remembered(
        id="250 by six states",
        source="Tannenbaum, Excursions in Modern Mathematics, Parador by Webster's method",
        expected="33, 138, 3, 42, 14, 20",
        answer=partial(shared, 250, (1646, 6936, 154, 2091, 685, 988)),
    ),
)


def least_bought(wanted: int, *sizes: int) -> float:
    """The fewest pieces that cover what is wanted, where a pack costs a cent a piece."""
    packs = {"piece": tuple(Pack(size=size, cost=size) for size in sizes)}
    return Market[str]().quickly({"piece": wanted}, packs).cost


PACKS = (
    *(
        published(
            id=f"pieces bought for {wanted} in packs of {' and '.join(map(str, sizes))}",
            source=f"{source}: {wanted} cannot be had, {wanted + 1} can",
            expected=wanted + 1,
            answer=partial(least_bought, wanted, *sizes),
        )
        for wanted, sizes, source in (
            (43, (6, 9, 20), "the coin problem of 6, 9 and 20 (Picciotto)"),
            (151, (9, 20), "the coin problem of 9 and 20, ab - a - b"),
            (3, (2, 5), "Wikipedia, 'Coin problem'"),
        )
    ),
    published(
        id="pieces bought for 44 in packs of 6, 9 and 20",
        source="the coin problem of 6, 9 and 20: anything from 44 on",
        expected=44,
        answer=partial(least_bought, 44, 6, 9, 20),
    ),
)

_ORDERS = {
    1380: 22,
    1520: 25,
    1560: 12,
    1710: 14,
    1820: 18,
    1880: 18,
    1930: 20,
    2000: 10,
    2050: 12,
    2100: 14,
    2140: 16,
    2150: 18,
    2200: 20,
}


def cuts(left: int, widths: Sequence[int]) -> Iterator[Mapping[int, int]]:
    """Every way to cut a roll so that no further piece fits, widths ascending."""
    fitting = [index for index, width in enumerate(widths) if width <= left]
    if not fitting or left < min(_ORDERS):
        if left < min(_ORDERS):
            yield {}
        return
    for index in fitting:
        for rest in cuts(left - widths[index], widths[index:]):
            yield {**rest, widths[index]: rest.get(widths[index], 0) + 1}


@cache
def rolls() -> float:
    """Rolls for all orders; a way of cutting is a mixed pack."""
    ways = {tuple(sorted(way.items())) for way in cuts(5600, tuple(_ORDERS))}
    market = Market(bundles=[Bundle(contents=dict(way), cost=1) for way in ways])
    return optimum(market, _ORDERS, dict.fromkeys(_ORDERS, ())).cost


CUTTING = (
    published(
        id="rolls of 5,600 mm for 13 widths",
        source="Wikipedia, 'Cutting stock problem': 73 of 72.7 at least",
        expected=73,
        answer=rolls,
    ),
)

ROWS: tuple[Row, ...] = (*SHARES, *PACKS, *CUTTING)
