"""The cheapest plan: by structure in a millisecond, or by the general solver where that fails."""

from collections.abc import Mapping
from contextlib import suppress

from service.estimating.covering.effort import CutShort, Tangled
from service.estimating.covering.integer_program import optimum
from service.estimating.covering.market import Market
from service.estimating.covering.offers import Item, Pack
from service.estimating.covering.plans import Plan

TIME_LIMIT_S = 2.0
"""So long the general solver may look for a proof while somebody waits."""


def cheapest(
    market: Market[Item],
    demands: Mapping[Item, int],
    packs: Mapping[Item, tuple[Pack, ...]],
    *,
    stock: Mapping[Item, int] | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> Plan[Item]:
    """The cheapest plan, proven so, or the best found within `time_limit_s` [s] and its gap.

    Raises Uncoverable and OffersError as `Market.quickly` does, and TimeoutError where there was
    no time to find any plan.
    """
    try:
        plan = market.quickly(demands, packs, stock=stock)
    except (Tangled, CutShort):
        return optimum(market, demands, packs, stock=stock, time_limit_s=time_limit_s)
    if not plan.proven:
        with suppress(TimeoutError):
            solved = optimum(market, demands, packs, stock=stock, time_limit_s=time_limit_s)
            return min(solved, plan, key=lambda found: (found.objective, found.gap))
    return plan
