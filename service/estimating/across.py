"""One shopping list for several jobs: their balloons pooled, then bought at the least cost."""

from collections import Counter
from collections.abc import Iterable, Mapping

from service.estimating.answer import Estimate, Shopping
from service.estimating.book import Key, PriceBook
from service.estimating.integer_program import optimum
from service.estimating.shopping import offers_for, purchase
from service.estimating.spares import enough_of

TIME_LIMIT_S = 10.0
"""So long the solver may look for a proven optimum; then the gap is reported."""


def shopping_across(
    estimates: Iterable[Estimate], book: PriceBook, *, time_limit_s: float = TIME_LIMIT_S
) -> Shopping:
    """What to buy for all `estimates` together.

    Spares are pooled as well: the balloons of a size and colour guard every job that has them,
    so that fewer are needed than by adding up the jobs' own lists.
    """
    wanted = _with_spares(_placed(estimates), book)
    offers = offers_for(wanted, book)
    packs = {key: offer.packs for key, offer in offers.items()}
    stock = {key: book.stock_of[key] for key in offers if key in book.stock_of}
    plan = optimum(book.shelf.market, wanted, packs, stock=stock, time_limit_s=time_limit_s)
    return purchase(plan, wanted, offers, book).shopping


def _placed(estimates: Iterable[Estimate]) -> Mapping[Key, int]:
    placed: Counter[Key] = Counter()
    for each in estimates:
        for line in each.spares:
            placed[line.size_class, line.colour] += line.placed
    return dict(sorted(placed.items()))


def _with_spares(placed: Mapping[Key, int], book: PriceBook) -> Mapping[Key, int]:
    level = book.policy.service_level
    odds = {size.size_class: size.breakage for size in book.sizes}
    return {key: enough_of(number, odds[key[0]], level)[0] for key, number in placed.items()}
