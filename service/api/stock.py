"""Balloons on hand: what is free, promised and short; counting; what came in and went out."""

from datetime import datetime
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Query

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import stock as wire
from service.contract.estimate import Problem
from service.estimating import PriceBook
from service.leads import stocking
from service.leads.lead import OWNER
from service.leads.ports import UnitOfWork
from service.leads.stock import OnHand

router = APIRouter(
    prefix="/stock", tags=["owner's desk"], dependencies=[Depends(allow(Role.OWNER))]
)


@router.get("")
def read_stock(ports: Given) -> wire.Stock:
    """What is on the shelf, what booked jobs were promised, and what is short."""
    with ports.read() as work:
        return _stock(work, ports.price_books.current())


@router.post(
    "",
    responses={409: {"model": Problem, "description": "The stock has changed since it was seen."}},
)
def change_stock(body: wire.StockChange, ports: Given) -> wire.Stock:
    """A count of the shelf, or balloons that were bought or used."""
    book, now = ports.price_books.current(), ports.clock()
    with ports.work() as work:
        try:
            _change(work, book, body, now)
        except stocking.StockRefused as error:
            raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, str(error)) from None
        answer = _stock(work, book)
        work.commit()
    return answer


@router.get("/moves")
def read_moves(
    ports: Given,
    before: Annotated[int | None, Query(ge=1, lt=2**31)] = None,
    limit: Annotated[int, Query(ge=1, le=200)] = 50,
) -> list[wire.Move]:
    """What came in and went out, the newest first, beyond the move `before`."""
    with ports.read() as work:
        moves = work.stock.moves(before=before, limit=limit)
    return [wire.Move.model_validate(move) for move in moves]


def _change(work: UnitOfWork, book: PriceBook, body: wire.StockChange, now: datetime) -> None:
    if body.why == "counted":
        counted = {(each.size_class, each.colour): each.count for each in body.items}
        stocking.count(work, book, counted, who=OWNER, now=now)
        return
    (item,) = body.items
    act = stocking.bring_in if body.why == "bought" else stocking.use_up
    key = item.size_class, item.colour
    act(work, book, key, item.count, seen=body.seen or 0, who=OWNER, now=now)


def _stock(work: UnitOfWork, book: PriceBook) -> wire.Stock:
    there = stocking.on_hand(work, book)
    return wire.Stock(
        seen=work.stock.newest(),
        on_hand=[wire.OnHand.model_validate(each) for each in there],
        reserved=[wire.Reserved.model_validate(each) for each in work.stock.reserved()],
        to_buy=_to_buy(there, book),
    )


def _to_buy(there: list[OnHand], book: PriceBook) -> list[wire.ToBuy]:
    shopping = stocking.to_buy(there, book)
    return [
        wire.ToBuy(item=line.item, supplier=line.supplier, packs=line.packs, cost=str(line.cost))
        for line in (shopping.lines if shopping else ())
    ]
