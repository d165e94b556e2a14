"""What was really paid for a job's purchases, by the cost lines of its estimate."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from service.estimating import Estimate, Fitting, PriceBook, mount_price
from service.estimating.book import Key
from service.leads.lead import Quote
from service.leads.ports import UnitOfWork
from service.leads.purchases import Purchase

_CENT = Decimal("0.01")
_NOTHING = Decimal(0)

_BOUGHT = frozenset({"foils", "accents", "covers", "hire", "helium"})
"""What is bought or hired for a job; of supplies a roll serves many."""

_SORT_OF_FOIL = ", air-filled"

LONGEST_ITEM = 200
"""Characters of an item's name in a list."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Thing:
    """What was paid for `count` of a cost line's quantity, bought as these `items`.

    `spent` is this job's part of what was paid; `amount` has what fastens it besides, as the cost
    line has.
    """

    items: tuple[str, ...]
    count: int
    spent: Decimal
    amount: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Paid:
    """What was written down as bought for a job.

    `things` go by the label of the cost line; `balloons` is what one of a size and colour cost, in
    the packs that were bought for the job.
    """

    things: Mapping[str, Thing]
    balloons: Mapping[Key, Decimal]

    @property
    def spent(self) -> Decimal:
        """All that was paid for this job besides the balloons of its pieces."""
        return sum((each.spent for each in self.things.values()), _NOTHING)

    def real(self, label: str, planned: Decimal, quantity: Decimal) -> Decimal | None:
        """What a cost line really came to: what was paid, and the rest of it as planned.

        None where nothing was written down for it.
        """
        thing = self.things.get(label)
        if thing is None or not quantity:
            return None
        rest = max(_NOTHING, 1 - thing.count / quantity)
        return thing.amount + planned * rest


def paid_for(work: UnitOfWork, quote: Quote, book: PriceBook) -> Paid:
    """What was paid for the job of a quote; `book` is the quote's own."""
    bought = work.purchases.of_leads([quote.lead_id])
    rates = _rates(bought)
    things: dict[str, Thing] = {}
    for label, fittings in _by_label(quote.estimate):
        found = _thing(quote.lead_id, label, fittings, bought, book)
        afloat = _afloat(quote.estimate, label, rates)
        if thing := found or afloat:
            things[label] = thing
    return Paid(things=things, balloons=rates)


def _by_label(estimate: Estimate) -> Iterator[tuple[str, Sequence[Fitting]]]:
    found: dict[str, list[Fitting]] = {}
    for fitting in estimate.fittings:
        if fitting.code in _BOUGHT:
            found.setdefault(fitting.label, []).append(fitting)
    yield from found.items()


def _thing(
    lead_id: str,
    label: str,
    fittings: Sequence[Fitting],
    bought: Iterable[Purchase],
    book: PriceBook,
) -> Thing | None:
    items, count, spent = [], 0, _NOTHING
    for purchase in bought:
        mine = sum(job.count for job in purchase.jobs if job.lead_id == lead_id)
        if mine and not purchase.contents and _is_of(purchase.item, label):
            items.append(purchase.item)
            count += mine
            # What was bought beyond the need was bought for these jobs as well.
            spent += purchase.cost * mine / sum(job.count for job in purchase.jobs)
    if not items:
        return None
    count = min(count, sum(each.count for each in fittings))
    spent = spent.quantize(_CENT)
    mounts = mount_price(fittings[0], book.fittings) * count
    names = tuple(dict.fromkeys(items))
    return Thing(items=names, count=count, spent=spent, amount=spent + mounts)


def _is_of(item: str, label: str) -> bool:
    """Whether the list calls it so: "foil digit 5" is a foil digit."""
    sort = label.removesuffix(_SORT_OF_FOIL)
    longer = f"{sort} " if sort != label else f"{label}, "
    return item in (label[:LONGEST_ITEM], sort) or item.startswith(longer)


def _afloat(estimate: Estimate, label: str, rates: Mapping[Key, Decimal]) -> Thing | None:
    """Latex that floats and was bought in bags with the rest."""
    found = None
    for line in (line for line in estimate.helium.balloons if line.label == label):
        for each in line.colours:
            rate = rates.get((each.size_class, each.colour))
            if rate is not None:
                more = (rate * each.placed).quantize(_CENT)
                before = found or Thing(items=(), count=0, spent=_NOTHING, amount=_NOTHING)
                found = replace(
                    before,
                    items=(*before.items, f"{each.colour} {each.size_class} in"),
                    count=before.count + each.placed,
                    spent=before.spent + more,
                    amount=before.amount + more,
                )
    return found


def _rates(bought: Iterable[Purchase]) -> Mapping[Key, Decimal]:
    """What one balloon cost: of a mixed pack each the same."""
    paid: Counter[Key] = Counter()
    cost: dict[Key, Decimal] = {}
    for purchase in bought:
        in_pack = sum(held.count for held in purchase.contents)
        for held in purchase.contents:
            key = held.size_class, held.colour
            paid[key] += held.count * purchase.packs
            cost[key] = cost.get(key, _NOTHING) + purchase.cost * held.count / in_pack
    return {key: cost[key] / count for key, count in paid.items() if count}
