"""What a job needs besides balloons: foils, accents and helium to buy, frames to hire, supplies."""

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Mapping
from decimal import Decimal

from service.estimating import (
    Brief,
    Estimate,
    Fitting,
    FloatLine,
    PriceBook,
    mount_price,
    sort_foils,
)
from service.estimating.book import Key
from service.leads.paid import LONGEST_ITEM
from service.workshop.shopping_list.values import Extra, Sort

_BOUGHT = {"foils": Sort.BUY, "accents": Sort.BUY, "hire": Sort.HIRE}
_AT_HAND = frozenset({"line", "fixings", "consumables"})
_WEAR = " wear"
"""What stands in for wear on a tool: the tool is there."""


def extras(
    brief: Brief,
    estimate: Estimate,
    book: PriceBook,
    bought: Mapping[str, int],
    *,
    in_bags: Collection[Key] = (),
    making_on: dt.date | None,
    leaves_on: dt.date | None,
) -> tuple[Extra, ...]:
    """What is still to be got; `book` is the quote's own, `bought` counts by item what is there.

    Latex that floats and is bought with the others, `in_bags`, is not among it.
    """
    left, found = dict(bought), []
    for sort, item, count, fitting in _needed(brief, estimate, book, in_bags):
        there = min(count, left.get(item, 0))
        left[item] = left.get(item, 0) - there
        if count > there:
            found.append(
                Extra(
                    sort=sort,
                    item=item,
                    unit=fitting.unit,
                    count=count - there,
                    # No shop asks for what fastens it; that is among the supplies.
                    unit_cost=fitting.unit_cost - mount_price(fitting, book.fittings),
                    wanted_on=leaves_on if _goes_along(sort, fitting) else making_on,
                )
            )
    return tuple(_pooled(found))


def _needed(
    brief: Brief, estimate: Estimate, book: PriceBook, in_bags: Collection[Key]
) -> Iterator[tuple[Sort, str, int, Fitting]]:
    afloat = list(estimate.helium.balloons)
    for fitting in estimate.fittings:
        sort = _sort_of(fitting, book)
        if sort is None:
            continue
        if fitting.code == "foils":
            for name, count in _foils(brief, fitting, book):
                yield sort, name, count, fitting
        elif afloat and fitting.label == afloat[0].label:
            for name, count in _floating(afloat.pop(0), in_bags):
                yield sort, name, count, fitting
        else:
            yield sort, fitting.label[:LONGEST_ITEM], fitting.count, fitting


def _floating(line: FloatLine, in_bags: Collection[Key]) -> Iterator[tuple[str, int]]:
    """By colour, with spares, where they are known: what the shop keeps no bags of."""
    if not line.colours:
        yield line.label[:LONGEST_ITEM], line.count
    for each in line.colours:
        if (each.size_class, each.colour) not in in_bags:
            yield f"{line.label}, {each.colour}"[:LONGEST_ITEM], each.taken


def _sort_of(fitting: Fitting, book: PriceBook) -> Sort | None:
    """None for what the shop owns."""
    if fitting.code in _AT_HAND:
        return None if fitting.label.endswith(_WEAR) else Sort.SUPPLIES
    if fitting.code == "covers":
        own = {cover.label for cover in book.fittings.covers}
        return None if fitting.label in own else Sort.HIRE
    if fitting.code == "helium":
        return Sort.HIRE if fitting.unit == "cylinder" else Sort.BUY
    return _BOUGHT.get(fitting.code)


def _goes_along(sort: Sort, fitting: Fitting) -> bool:
    """Whether it is wanted on the way to the site rather than at the bench."""
    return sort is Sort.HIRE or fitting.code == "helium"


def _foils(brief: Brief, fitting: Fitting, book: PriceBook) -> Iterator[tuple[str, int]]:
    """Each foil by what it shows: the price is one for all digits, but a 5 is no 0."""
    found = sort_foils(brief.foils, book.fittings.foils.shape_names)
    of_sort = {
        "foil digit": found.digits,
        "foil letter": tuple("".join(found.words).upper()),
        "foil shape": found.shapes,
    }
    named, shown = next(
        (pair for pair in of_sort.items() if fitting.label.startswith(pair[0])), (fitting.label, ())
    )
    for each in dict.fromkeys(shown):
        yield f"{named} {each}"[:LONGEST_ITEM], shown.count(each)
    if len(shown) < fitting.count:
        yield named, fitting.count - len(shown)


def _pooled(found: Iterable[Extra]) -> Iterator[Extra]:
    """Those of one name and price together."""
    counts: dict[tuple[Sort, str, str, Decimal, dt.date | None], int] = {}
    for each in found:
        key = each.sort, each.item, each.unit, each.unit_cost, each.wanted_on
        counts[key] = counts.get(key, 0) + each.count
    for (sort, item, unit, unit_cost, wanted_on), count in counts.items():
        yield Extra(
            sort=sort,
            item=item,
            unit=unit,
            count=count,
            unit_cost=unit_cost,
            wanted_on=wanted_on,
        )
