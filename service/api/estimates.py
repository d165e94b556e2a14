"""`POST /v1/estimates`: a brief comes in, the whole computed answer goes out."""

from fastapi import APIRouter, Depends, Request

from service.api import translate
from service.api.access import Role, allow
from service.api.dependencies import Given, today
from service.contract.brief import Brief
from service.contract.estimate import Estimate, Problem
from service.contract.shop import Shop, StockColour
from service.estimating import estimate
from service.leads import words

router = APIRouter(tags=["estimates"])

_ANYBODY = Depends(allow(Role.BOT, Role.WORKER, Role.WEBSITE, Role.OWNER))


@router.post(
    "/estimates",
    dependencies=[_ANYBODY],
    responses={422: {"model": Problem, "description": "What to correct, field by field."}},
)
async def make_estimate(brief: Brief, request: Request, ports: Given) -> Estimate:
    """Estimate a brief. Nothing is stored; the same brief gives the same answer.

    Measures are metres. Money is decimal strings in the shop's currency.
    """
    book = ports.price_books.current()
    core = translate.brief_to_core(brief, request.app.state.places, book.shop)
    answer = estimate(core, book, today=today(ports))
    return translate.estimate_to_wire(answer)


@router.get("/shop", dependencies=[_ANYBODY])
def shop(ports: Given) -> Shop:
    """The shop's card: name, time zone, colours it works with."""
    book = ports.price_books.current()
    return Shop(
        name=book.shop.name,
        town=book.shop.town,
        owner_name=book.shop.owner,
        contact=words.reached_by(book.shop.contact),
        time_zone=book.shop.time_zone,
        currency=book.shop.currency,
        colours=[StockColour(name=c.name, hex=c.hex) for c in book.colours],
    )
