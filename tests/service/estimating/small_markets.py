"""Small questions with every feature, and what they cost by trying everything there is to buy."""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from hypothesis import strategies as st

from service.estimating.covering import Market
from service.estimating.covering.offers import Bundle, Pack, Substitution, Terms
from service.estimating.covering.plans import Plan

ITEMS = "abc"
VENDORS = ("north", "south")


@dataclass(frozen=True, kw_only=True, slots=True)
class Asked:
    """A market and one question."""

    market: Market[str]
    demands: Mapping[str, int]
    packs: Mapping[str, tuple[Pack, ...]]
    stock: Mapping[str, int]


terms = st.builds(
    Terms,
    delivery=st.integers(0, 9),
    free_from=st.none() | st.integers(1, 25),
    minimum=st.just(0) | st.integers(1, 18),
)
packs = st.builds(
    Pack, size=st.integers(1, 5), cost=st.integers(4, 15), vendor=st.sampled_from(VENDORS)
)
bundles = st.builds(
    Bundle,
    contents=st.dictionaries(st.sampled_from(ITEMS), st.integers(1, 4), min_size=1, max_size=2),
    cost=st.integers(5, 20),
    vendor=st.sampled_from(VENDORS),
)
swaps = st.builds(
    Substitution,
    wanted=st.sampled_from("ab"),
    source=st.sampled_from("c"),
    penalty=st.integers(0, 150),
) | st.builds(
    Substitution, wanted=st.just("b"), source=st.sampled_from("ac"), penalty=st.integers(0, 99)
)


@st.composite
def questions(draw: st.DrawFn, *, most: int = 5, valued: bool = True) -> Asked:
    """A question with up to two packs of an item, a bundle, two vendors and their terms."""
    offered = {item: tuple(draw(st.lists(packs, min_size=1, max_size=2))) for item in ITEMS}
    # Below every rate: a pack asks for 80 hundredths a piece or more, a bundle for 62.
    value = st.integers(0, 60) if valued else st.just(0)
    found = draw(st.lists(swaps, max_size=3, unique_by=lambda s: (s.wanted, s.source)))
    market = Market(
        bundles=draw(st.lists(bundles, max_size=1)),
        vendors={vendor: draw(terms) for vendor in VENDORS},
        substitutions=found,
        leftover_values={item: draw(value) for item in ITEMS},
    )
    demand = st.integers(0, most)
    demands = {item: draw(demand) for item in ITEMS}
    stock = draw(st.dictionaries(st.sampled_from(ITEMS), st.integers(0, 3), max_size=2))
    return Asked(market=market, demands=demands, packs=offered, stock=stock)


def objective(asked: Asked, plan: Plan[str]) -> int:
    """What `plan` comes to, counted from its numbers alone; it must cover what is wanted."""
    held = _held(asked, plan.packs, plan.bundles)
    fills = dict(plan.fills)
    used = _used(asked, fills)
    assert all(number > 0 for number in fills.values())
    assert all(held.get(item, 0) + asked.stock.get(item, 0) >= n for item, n in used.items())
    spends = _spends(asked, plan.packs, plan.bundles)
    paid = _paid(asked, spends)
    assert paid is not None
    assert paid == plan.cost
    return 100 * paid + _weighed(asked, held, used, fills)


def least_objective(asked: Asked) -> int:
    """The least that anything one could buy comes to, by trying all of it."""
    fillings = [(fills, _used(asked, fills)) for fills in _fillings(asked)]
    best: int | None = None
    for numbers, bundled in _purchases(asked):
        paid = _paid(asked, _spends(asked, numbers, bundled))
        if paid is None:
            continue
        held = _held(asked, numbers, bundled)
        for fills, used in fillings:
            if all(held.get(i, 0) + asked.stock.get(i, 0) >= n for i, n in used.items()):
                whole = 100 * paid + _weighed(asked, held, used, fills)
                best = whole if best is None else min(best, whole)
    assert best is not None
    return best


Fills = dict[tuple[str, str], int]
Numbers = Mapping[str, tuple[int, ...]]


def _purchases(asked: Asked) -> Iterator[tuple[Numbers, tuple[int, ...]]]:
    """Everything that could be best: no more of a pack than would cover all or lift any order."""
    wanted = sum(asked.demands.values())
    lifts = {
        vendor: max(t.minimum, t.free_from or 0)
        for vendor, t in asked.market.conditions.vendors.items()
    }

    def most(size: int, cost: int, vendor: object) -> range:
        covering = -(-wanted // size)
        return range(max(covering, -(-lifts[str(vendor)] // cost)) + 1)

    keys = [(item, pack) for item in ITEMS for pack in asked.packs[item]]
    ranges = [most(pack.size, pack.cost, pack.vendor) for _, pack in keys]
    mixed = [
        most(min(b.contents.values()), b.cost, b.vendor) for b in asked.market.conditions.bundles
    ]
    for numbers in itertools.product(*ranges, *mixed):
        found = iter(numbers)
        single = {item: tuple(next(found) for _ in asked.packs[item]) for item in ITEMS}
        yield single, tuple(found)


def _fillings(asked: Asked) -> Iterator[Fills]:
    pairs = [(s.wanted, s.source) for s in asked.market.conditions.substitutions]
    ranges = [range(asked.demands[wanted] + 1) for wanted, _ in pairs]
    for numbers in itertools.product(*ranges):
        fills = dict(zip(pairs, numbers, strict=True))
        filled = {item: sum(n for (w, _), n in fills.items() if w == item) for item in ITEMS}
        if all(filled[item] <= asked.demands[item] for item in ITEMS):
            yield fills


def _used(asked: Asked, fills: Fills) -> dict[str, int]:
    used = dict(asked.demands)
    for (wanted, source), number in fills.items():
        used[wanted] -= number
        used[source] = used.get(source, 0) + number
    assert min(used.values()) >= 0
    return used


def _held(asked: Asked, numbers: Numbers, bundled: tuple[int, ...]) -> dict[str, int]:
    held = {
        item: sum(n * pack.size for n, pack in zip(each, asked.packs[item], strict=True))
        for item, each in numbers.items()
    }
    for number, bundle in zip(bundled, asked.market.conditions.bundles, strict=True):
        for item, pieces in bundle.contents.items():
            held[item] = held.get(item, 0) + number * pieces
    return held


def _spends(asked: Asked, numbers: Numbers, bundled: tuple[int, ...]) -> dict[object, int]:
    spends: dict[object, int] = {}
    for item, each in numbers.items():
        for number, pack in zip(each, asked.packs[item], strict=True):
            spends[pack.vendor] = spends.get(pack.vendor, 0) + number * pack.cost
    for number, bundle in zip(bundled, asked.market.conditions.bundles, strict=True):
        spends[bundle.vendor] = spends.get(bundle.vendor, 0) + number * bundle.cost
    return {vendor: spend for vendor, spend in spends.items() if spend}


def _paid(asked: Asked, spends: Mapping[object, int]) -> int | None:
    """Goods and deliveries; None where a vendor would not take the order."""
    paid = 0
    for vendor, spend in spends.items():
        t = asked.market.conditions.terms(vendor)
        if spend < t.minimum:
            return None
        free = t.free_from is not None and spend >= t.free_from
        paid += spend + (0 if free else t.delivery)
    return paid


def _weighed(asked: Asked, held: Mapping[str, int], used: Mapping[str, int], fills: Fills) -> int:
    """Penalties, less what is left over of what was bought, and stock that is taken."""
    conditions = asked.market.conditions
    penalties = {(s.wanted, s.source): s.penalty for s in conditions.substitutions}
    whole = sum(penalties[pair] * number for pair, number in fills.items())
    for item in {*held, *used}:
        # Bought and not used is a leftover; used and not bought comes from stock.
        whole -= conditions.value(item) * (held.get(item, 0) - used.get(item, 0))
    return whole
