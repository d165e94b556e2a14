"""What a line of the list is of, as its form carries it."""

import json
from decimal import Decimal, InvalidOperation
from typing import Any

from service.workshop.shopping_list import (
    Bag,
    Besides,
    Goods,
    Line,
    MixedPack,
    PurchaseRefused,
    Thing,
)

_LONGEST_ID = 32


def of_line(line: Line) -> list[Any]:
    """A bag or a mixed pack."""
    if line.size_class is None or line.colour is None:
        return ["kit", line.supplier, line.item]
    return ["bag", line.supplier, line.size_class, line.colour, line.pack_size]


def of_besides(each: Besides) -> list[Any]:
    """Something besides balloons."""
    return ["thing", each.item, str(each.unit_cost)]


def written(purchase_id: str, what: list[Any], packs: int) -> str:
    """A line in a form's hidden field."""
    return json.dumps([purchase_id, packs, *what], ensure_ascii=False, separators=(",", ":"))


def read(text: str) -> tuple[str, int, Goods]:
    """The purchase's id, how many were listed, and what it is of.

    Raises PurchaseRefused for what no page of ours has written.
    """
    try:
        match json.loads(text):
            case [str(known), int(packs), "bag", str(supplier), int(size), str(name), int(holds)]:
                bag = Bag(supplier=supplier, size_class=size, colour=name, pack_size=holds)
                return known[:_LONGEST_ID], packs, bag
            case [str(known), int(packs), "kit", str(supplier), str(item)]:
                return known[:_LONGEST_ID], packs, MixedPack(supplier=supplier, item=item)
            case [str(known), int(packs), "thing", str(item), str(cost)]:
                return known[:_LONGEST_ID], packs, Thing(item=item, unit_cost=Decimal(cost))
    except (ValueError, InvalidOperation):
        pass
    raise PurchaseRefused("This page was made before the list changed. Load it afresh.")
