"""`POST /v1/estimates` and what belongs to it: the answer as text, and what else could be had."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import PlainTextResponse
from starlette.concurrency import run_in_threadpool

from service import estimating as core
from service.api import translate
from service.api.access import Role, allow
from service.api.answers import RecentAnswers
from service.api.dependencies import Given, today
from service.api.problems import Refusal
from service.api.visitors import keep_visitor_to
from service.contract.brief import Brief
from service.contract.estimate import Estimate, Problem
from service.contract.options import Option
from service.contract.shop import Shop, StockColour
from service.estimating import as_text, options
from service.leads import limits, words
from service.leads.ports import Ports

router = APIRouter(tags=["estimates"])

_ANYBODY = Depends(allow(Role.BOT, Role.WORKER, Role.WEBSITE, Role.OWNER))
_THE_SHOP = Depends(allow(Role.BOT, Role.WORKER, Role.OWNER))
_TOO_MANY = {"model": Problem, "description": "By the website's key, too many; see Retry-After."}
_TO_CORRECT = {"model": Problem, "description": "What to correct, field by field."}


@router.post("/estimates", response_model=Estimate, responses={422: _TO_CORRECT, 429: _TOO_MANY})
async def make_estimate(
    brief: Brief, request: Request, role: Annotated[Role, _ANYBODY]
) -> Response:
    """Estimate a brief. Nothing is stored; the same brief gives the same answer.

    It goes by the price book, and by what the shop has accepted of its finished jobs' lessons.
    Measures are metres. Money is decimal strings in the shop's currency. The website's key stands
    in a page that anybody can read: it gets the price, and not what the shop pays, earns or buys.
    In the same shape `cost_lines`, `explanation`, `drivers` and the lists of `shopping` are empty
    for it, and `cost`, the costs of `shopping` and those of `fittings` are zero.
    """
    ports: Ports = request.app.state.ports
    whole = role is not Role.WEBSITE
    if not whole:
        await keep_visitor_to(request, ports, limits.ESTIMATES, limits.ESTIMATES_IN_ALL)
    book, calibration, day = ports.price_books.current(), ports.calibrations.current(), today(ports)

    def read() -> core.Brief:
        return translate.brief_to_core(brief, request.app.state.places, book.shop)

    def work_out(wanted: core.Brief) -> dict[bool, bytes]:
        # The core's own JSON is the wire's: building the wire's models would check it twice.
        answer = core.estimate(wanted, book, calibration, today=day)
        views = {True: translate.estimate_to_json(answer)}
        if not whole:
            # What a website asks for, the shop's own worker mostly asks for soon.
            views[False] = translate.estimate_to_json(translate.for_anybody(answer))
        return views

    answers: RecentAnswers = request.app.state.recent_answers
    answers.going_by(book, calibration, day)
    known = answers.give(await request.body(), read, work_out, whole=whole)
    return Response(known, media_type="application/json")


@router.post(
    "/estimates/explanation",
    dependencies=[_THE_SHOP],
    response_class=PlainTextResponse,
    responses={422: _TO_CORRECT},
)
async def explain(brief: Brief, request: Request, ports: Given) -> PlainTextResponse:
    """Estimate a brief and say as text where every figure comes from. Nothing is stored.

    It tells the shop's wage, costs and mark-up, so that the website's key is refused.
    """
    wanted = _read(brief, request, ports)
    book, calibration = ports.price_books.current(), ports.calibrations.current()
    answer = core.estimate(wanted, book, calibration, today=today(ports))
    return PlainTextResponse(as_text(answer.explanation))


@router.post("/options", responses={422: _TO_CORRECT, 429: _TOO_MANY})
async def list_options(
    brief: Brief,
    request: Request,
    ports: Given,
    role: Annotated[Role, _ANYBODY],
    estimates: Annotated[
        bool, Query(description="Whether each option carries its whole estimate.")
    ] = False,
) -> list[Option]:
    """What else could be had, the nearest to the brief first; nothing is stored.

    With a budget: what fits it, by less coverage, lighter fullness or fewer accents; where nothing
    does, the cheapest. Without one: the fullnesses side by side, what mixes them as it is between
    the lightest and the richest. The website's key gets prices only, no whole estimates.
    """
    if estimates and role is Role.WEBSITE:
        raise Refusal(HTTPStatus.FORBIDDEN, "The website key sees prices; leave estimates out.")
    if role is Role.WEBSITE:
        await keep_visitor_to(request, ports, limits.ESTIMATES, limits.ESTIMATES_IN_ALL)
    wanted = _read(brief, request, ports)
    book, calibration = ports.price_books.current(), ports.calibrations.current()
    found = await run_in_threadpool(options, wanted, book, calibration, today=today(ports))
    return [translate.option_to_wire(option, whole=estimates) for option in found]


@router.get("/shop", dependencies=[_ANYBODY])
def shop(ports: Given) -> Shop:
    """The shop's card: name, time zone, colours it works with, answers to side questions."""
    book = ports.price_books.current()
    return Shop(
        name=book.shop.name,
        town=book.shop.town,
        owner_name=book.shop.owner,
        contact=words.reached_by(book.shop.contact),
        contacts={
            language: ports.wording.in_language(language).reached_by(book.shop.contact)
            for language in ports.wording.languages
        },
        time_zone=book.shop.time_zone,
        currency=book.shop.currency,
        locale=book.shop.locale,
        colours=[StockColour(name=c.name, hex=c.hex) for c in book.colours],
        aliases={alias: c.name for c in book.colours for alias in c.aliases},
        foil_shapes=sorted(book.fittings.foils.shape_names),
        privacy_url=f"{ports.public_url}/privacy",
        answers={topic: dict(said) for topic, said in book.answers.items()},
    )


def _read(brief: Brief, request: Request, ports: Ports) -> core.Brief:
    shop = ports.price_books.current().shop
    return translate.brief_to_core(brief, request.app.state.places, shop)
