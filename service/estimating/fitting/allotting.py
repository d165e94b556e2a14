"""Giving out what there is among those who want it. Knows nothing of what it is."""

from collections.abc import Mapping, Sequence


def allot(
    wanted: Sequence[int], serving: Sequence[Sequence[int]], stock: Sequence[int]
) -> tuple[Mapping[int, int], ...]:
    """How many of each item every demand gets, so that as much as can be is met.

    Demand i is for `wanted[i]` of any of the items `serving[i]`, the best named first; of item k
    there are `stock[k]`. No other way to give them out meets more, and what is free is taken in
    the order in which it was named. Augmenting paths: Kuhn 1955, Naval Research Logistics
    Quarterly 2, 83.
    """
    held: list[list[int]] = [[] for _ in stock]
    for demand, number in enumerate(wanted):
        for _ in range(number):
            # Where one finds no place, the next one of the same demand finds none either.
            if not _seat(demand, serving, stock, held, set()):
                break
    given: tuple[dict[int, int], ...] = tuple({} for _ in wanted)
    for item, demands in enumerate(held):
        for demand in demands:
            given[demand][item] = given[demand].get(item, 0) + 1
    return given


def _seat(
    demand: int,
    serving: Sequence[Sequence[int]],
    stock: Sequence[int],
    held: list[list[int]],
    asked: set[int],
) -> bool:
    for item in serving[demand]:
        if len(held[item]) < stock[item]:
            held[item].append(demand)
            return True
    for item in serving[demand]:
        if item in asked:
            continue
        asked.add(item)
        for place, other in enumerate(held[item]):
            if other != demand and _seat(other, serving, stock, held, asked):
                held[item][place] = demand
                return True
    return False
