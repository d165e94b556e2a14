"""Shopping lists, and what was bought: as JSON."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query

from service.api.access import Role, allow
from service.api.dependencies import Day, Given
from service.api.problems import Refusal
from service.contract import shopping as wire
from service.contract.estimate import Problem
from service.estimating.book import Key
from service.leads import purchases
from service.leads.lead import OWNER
from service.leads.ports import Ports
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import (
    Bag,
    Goods,
    MixedPack,
    PurchaseRefused,
    Scope,
    ShoppingList,
    StandIn,
    Thing,
    question,
    solve,
)

router = APIRouter(tags=["owner's desk"], dependencies=[Depends(allow(Role.OWNER))])

_NOT_THERE: dict[int | str, dict[str, Any]] = {
    404: {"model": Problem, "description": "There is no such request, or its job is over."}
}
_CHANGED: dict[int | str, dict[str, Any]] = {
    409: {"model": Problem, "description": "The purchase has changed since it was seen."}
}


@router.get("/shopping")
def read_shopping(ports: Given, until: Day | None = None) -> wire.ShoppingList:
    """What to buy for every job booked until a day; without one, for the next thirty days.

    It may take a few seconds, in which a proof is looked for that nothing is cheaper.
    """
    return _list(ports, Scope(until=_sound(until)))


@router.get("/leads/{lead_id}/shopping-list")
def read_list_of_lead(lead_id: str, ports: Given) -> wire.ShoppingList:
    """What to buy for one job."""
    return _list(ports, Scope(lead_id=lead_id))


@router.post("/shopping/set-aside", responses=_NOT_THERE)
def set_aside(body: wire.SetAside, ports: Given) -> wire.ShoppingList:
    """What the shelf has is promised to the jobs that lack it, the nearest first."""
    scope = _scope(body.lead_id, body.until)
    purchasing.aside_by(ports, scope, who=OWNER, now=ports.clock())
    return _list(ports, scope)


@router.get("/purchases")
def read_purchases(
    ports: Given, limit: Annotated[int, Query(ge=1, le=200)] = 50
) -> list[wire.Purchase]:
    """Purchases that were not undone, the newest first."""
    with ports.read() as work:
        found = work.purchases.lately(limit=limit)
    return [_purchase(each) for each in found]


@router.post("/purchases", responses=_NOT_THERE)
def add_purchases(body: wire.NewPurchases, ports: Given) -> wire.ShoppingList:
    """Something was bought: onto the shelf, and to the jobs that lack it. What is left to buy."""
    scope, now = _scope(body.lead_id, body.until), ports.clock()
    bought = [
        Bought(id=item.id, what=_goods(item), packs=item.packs, paid=item.paid)
        for item in body.items
    ]
    try:
        with ports.work() as work:
            purchasing.record(work, ports, bought, scope, who=OWNER, now=now)
            work.commit()
    except PurchaseRefused as error:
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(error)) from None
    purchasing.aside_by(ports, scope, who=OWNER, now=now)
    return _list(ports, scope)


@router.put("/purchases/{purchase_id}", responses=_CHANGED)
def change_purchase(purchase_id: str, body: wire.PurchaseChange, ports: Given) -> wire.Purchase:
    """A purchase was of another number, or never took place."""
    try:
        with ports.work() as work:
            changed = purchasing.change(
                work,
                ports,
                purchase_id,
                packs=body.packs,
                seen=body.seen,
                paid=body.paid,
                who=OWNER,
                now=ports.clock(),
            )
            work.commit()
    except PurchaseRefused as error:
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(error)) from None
    return _purchase(changed)


def _scope(lead_id: str | None, until: date | None) -> Scope:
    return Scope(lead_id=lead_id) if lead_id is not None else Scope(until=_sound(until))


def _sound(until: date | None) -> date | None:
    if until is not None and until.year > date.max.year - 1:
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, "That day is too far ahead.")
    return until


def _goods(item: wire.BoughtItem) -> Goods:
    if item.bag is not None:
        return Bag(**item.bag.model_dump())
    if item.mixed_pack is not None:
        return MixedPack(**item.mixed_pack.model_dump())
    return Thing(**(item.thing.model_dump() if item.thing else {}))


def _list(ports: Ports, scope: Scope) -> wire.ShoppingList:
    with ports.read() as work:
        asked = question(work, ports, scope, now=ports.clock())
    return _wire(solve(asked, ports.price_books.current()))


def _wire(found: ShoppingList) -> wire.ShoppingList:
    return wire.ShoppingList(
        numbers=[job.number for job in found.jobs],
        currency=found.currency,
        goods=found.goods,
        delivery=found.delivery,
        cost=found.cost,
        whole=found.whole,
        proven=found.proven,
        could_save=Decimal(0) if found.proven else found.could_save,
        suppliers=[wire.ShoppingAt.model_validate(each) for each in found.suppliers],
        shelf=[wire.OnShelf.model_validate(each) for each in found.shelf],
        stand_ins=[*_stand_ins(found.stand_ins)],
        left_over=[wire.Held.model_validate(each) for each in found.left_over],
        besides=[wire.BesidesBalloons.model_validate(each) for each in found.besides],
        unknown=[wire.Held.model_validate(each) for each in found.unknown],
    )


def _stand_ins(found: tuple[StandIn, ...]) -> Iterator[wire.StandsIn]:
    for each in found:
        yield wire.StandsIn(
            wanted=_held(each.wanted, each.count), by=_held(each.source, each.count)
        )


def _held(key: Key, count: int) -> wire.Held:
    return wire.Held(size_class=key[0], colour=key[1], count=count)


def _purchase(found: purchases.Purchase) -> wire.Purchase:
    return wire.Purchase(
        id=found.id,
        supplier=found.supplier,
        item=found.item,
        contents=[wire.Held.model_validate(each) for each in found.contents],
        packs=found.packs,
        cost=found.cost,
        currency=found.currency,
        bought_at=found.bought_at,
        who=found.who,
        leads=[job.lead_id for job in found.jobs],
        undone_at=found.undone_at,
    )
