"""The shopping list's pages and files, and what is pressed on them."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Response

from service.leads.lead import NotFound, StaleDecision
from service.leads.ports import UnitOfWork
from service.leads.purchases import Purchase
from service.leads.shop_time import EVER, today_at
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.shopping import goods, showing
from service.pages.posted import Posted, Sent, read_amount
from service.pages.visit import Instead, go_to
from service.workshop import purchasing
from service.workshop.purchasing import Bought
from service.workshop.shopping_list import (
    PurchaseRefused,
    Scope,
    ShoppingList,
    Sort,
    question,
    solve,
    until_of,
)
from service.workshop.shopping_list import wording as said

router = APIRouter()

_LATELY = 12
_NO_DAY = "Give a day from today on."
_NO_NUMBER = "Give a whole number."
_NO_AMOUNT = "Give an amount such as 17.50, or leave it empty."
_NOTICES = {
    "bought": "Written down. What the packs hold beyond these jobs is free for others.",
    "again": "That was written down before: nothing was changed.",
    "aside": "Set aside for these jobs.",
    "changed": "Changed.",
    "undone": "Undone: it is as if it had not been bought.",
}
_ROW = re.compile(r"row-[0-9a-z-]{1,60}")
_Paper = Annotated[str, Query(max_length=10)]


@router.get("/shopping")
def shopping_page(desk: SignedIn, until: str = "", done: str = "") -> Response:
    """What to buy for every booked job until a day."""
    scope, faults = _until(desk, until)
    return _page(desk, scope, until=until, faults=faults, done=done)


@router.get("/shopping.csv")
def shopping_csv(desk: SignedIn, until: str = "") -> Response:
    """The same as a table."""
    return _csv(desk, _until(desk, until)[0])


@router.get("/shopping.pdf")
def shopping_pdf(desk: SignedIn, until: str = "", paper: _Paper = "") -> Response:
    """The same on paper."""
    return _pdf(desk, _until(desk, until)[0], paper)


@router.get("/leads/{lead_id}/shopping")
def job_page(lead_id: str, desk: SignedIn, done: str = "") -> Response:
    """What to buy for one job."""
    return _page(desk, _of_job(desk, lead_id), done=done)


@router.get("/leads/{lead_id}/shopping.csv")
def job_csv(lead_id: str, desk: SignedIn) -> Response:
    """The same as a table."""
    return _csv(desk, _of_job(desk, lead_id))


@router.get("/leads/{lead_id}/shopping.pdf")
def job_pdf(lead_id: str, desk: SignedIn, paper: _Paper = "") -> Response:
    """The same on paper."""
    return _pdf(desk, _of_job(desk, lead_id), paper)


@router.post("/shopping/bought")
def bought(desk: Confirmed, sent: Sent) -> Response:
    """One line was bought, as many packs of it as is said."""
    scope = _posted_scope(desk, sent)
    try:
        known, _, what = goods.read(sent.text("goods"))
    except PurchaseRefused as error:
        return desk.trouble(HTTPStatus.CONFLICT, "Not written down", str(error))
    packs, paid, faults = _typed(sent)
    if not faults:
        try:
            return _record(desk, scope, [Bought(id=known, what=what, packs=packs, paid=paid)], sent)
        except PurchaseRefused as error:
            faults = {f"packs-{sent.text('row')}": str(error)}
    return _page(desk, scope, faults=faults, typed=_kept(sent))


@router.post("/shopping/all")
def all_bought(desk: Confirmed, sent: Sent) -> Response:
    """Everything that was listed at a supplier was bought."""
    scope = _posted_scope(desk, sent)
    try:
        listed = [goods.read(text) for text in sent.every("goods")]
        found = [Bought(id=known, what=what, packs=packs) for known, packs, what in listed]
        return _record(desk, scope, found, sent)
    except PurchaseRefused as error:
        return desk.trouble(HTTPStatus.CONFLICT, "Not written down", str(error))


@router.post("/shopping/aside")
def aside(desk: Confirmed, sent: Sent) -> Response:
    """What the shelf has goes to the jobs that lack it."""
    scope = _posted_scope(desk, sent)
    purchasing.aside_by(desk.visit.ports, scope, who=desk.who, now=desk.visit.now)
    return _back(scope, "aside")


@router.post("/shopping/purchases/{purchase_id}")
def change(purchase_id: str, desk: Confirmed, sent: Sent) -> Response:
    """A purchase was of another number, or never took place."""
    scope, undo = _posted_scope(desk, sent), bool(sent.text("undo"))
    packs, paid, faults = _typed(sent)
    if faults and not undo:
        return _page(desk, scope, faults=faults, typed=_kept(sent))
    visit = desk.visit
    try:
        with visit.ports.work() as work:
            purchasing.change(
                work,
                visit.ports,
                purchase_id,
                packs=0 if undo else packs,
                seen=_whole(sent.text("seen")) or 0,
                paid=None if undo else paid,
                who=desk.who,
                now=visit.now,
            )
            work.commit()
    except (PurchaseRefused, StaleDecision) as error:
        return desk.trouble(HTTPStatus.CONFLICT, "Not changed", str(error))
    return _back(scope, "undone" if undo else "changed")


def _record(desk: Desk, scope: Scope, found: list[Bought], sent: Posted) -> Response:
    visit = desk.visit
    try:
        with visit.ports.work() as work:
            new = purchasing.record(work, visit.ports, found, scope, who=desk.who, now=visit.now)
            work.commit()
    except NotFound as gone:
        return desk.trouble(HTTPStatus.CONFLICT, "Not written down", str(gone))
    if new and sent.text("stand_ins"):
        purchasing.aside_by(visit.ports, scope, who=desk.who, now=visit.now)
    return _back(scope, "bought" if new else "again", next_row=sent.text("next"))


def _page(
    desk: Desk,
    scope: Scope,
    *,
    until: str = "",
    faults: Mapping[str, str] | None = None,
    typed: Mapping[str, str] | None = None,
    done: str = "",
) -> Response:
    visit = desk.visit
    found = _list(desk, scope)
    with visit.ports.read() as work:
        bought = list(showing.done(work, _purchases(work, scope, found), desk))
    day = until_of(scope, found.today)
    return desk.show(
        "desk/shopping.html",
        found=found,
        lead_id=scope.lead_id or "",
        until=until or day.isoformat(),
        until_said=said.short_day(day, found.today),
        asked="" if scope.until is None else f"?until={scope.until.isoformat()}",
        sections=list(showing.sections(found, desk)),
        proof=said.proof(found),
        to_buy=showing.besides(found, Sort.BUY),
        to_hire=showing.besides(found, Sort.HIRE),
        supplies=showing.supplies(found),
        left=list(said.by_size(found.left_over, visit.words)),
        stand_ins=[said.stand_in(each, visit.words) for each in found.stand_ins],
        unknown=said.counts(found.unknown, visit.words) if found.unknown else "",
        lately=bought[:_LATELY],
        earlier=bought[_LATELY:],
        notice=_NOTICES.get(done),
        faults=faults or {},
        typed=typed or {},
        status=HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK,
    )


def _purchases(work: UnitOfWork, scope: Scope, found: ShoppingList) -> list[Purchase]:
    """All for the jobs of the list, and the newest of any others; the newest first."""
    of_jobs = work.purchases.of_leads([job.lead_id for job in found.jobs])
    others = work.purchases.lately(limit=_LATELY) if scope.lead_id is None else []
    every = {each.id: each for each in (*of_jobs, *others)}
    return sorted(every.values(), key=lambda each: each.bought_at, reverse=True)


def _list(desk: Desk, scope: Scope) -> ShoppingList:
    visit = desk.visit
    try:
        with visit.ports.read() as work:
            asked = question(work, visit.ports, scope, now=visit.now)
    except NotFound as gone:
        raise Instead(
            desk.trouble(HTTPStatus.NOT_FOUND, "There is no shopping list here", str(gone))
        ) from gone
    return solve(asked, visit.book)


def _pdf(desk: Desk, scope: Scope, paper: str) -> Response:
    from service.rendering.paper import MEDIA_TYPE
    from service.rendering.shopping_file import pdf_file

    try:
        file = pdf_file(desk.visit.ports, scope, paper=paper)
    except NotFound as gone:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no shopping list here", str(gone))
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))


def _csv(desk: Desk, scope: Scope) -> Response:
    from service.rendering.shopping_file import csv_file

    try:
        file = csv_file(desk.visit.ports, scope)
    except NotFound as gone:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no shopping list here", str(gone))
    headers = {
        "Content-Disposition": f'attachment; filename="{file.name}"',
        "Cache-Control": "no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return Response(file.content, media_type="text/csv; charset=utf-8", headers=headers)


def _until(desk: Desk, text: str) -> tuple[Scope, dict[str, str]]:
    """The jobs until that day; the usual ones where it is none."""
    today = today_at(desk.visit.now, desk.visit.book)
    if not text:
        return Scope(), {}
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return Scope(), {"until": _NO_DAY}
    if not today <= day <= today + EVER:
        return Scope(), {"until": _NO_DAY}
    return Scope(until=day), {}


def _of_job(desk: Desk, lead_id: str) -> Scope:
    with desk.visit.ports.read() as work:
        desk.lead(work, lead_id)
    return Scope(lead_id=lead_id)


def _posted_scope(desk: Desk, sent: Posted) -> Scope:
    lead_id = sent.text("lead")
    return _of_job(desk, lead_id) if lead_id else _until(desk, sent.text("until"))[0]


def _back(scope: Scope, done: str, *, next_row: str = "") -> Response:
    """To the list again; to its next line, so that nobody looks for their place in a shop."""
    of_job = scope.lead_id is not None
    path = f"/desk/leads/{scope.lead_id}/shopping" if of_job else "/desk/shopping"
    until = {"until": scope.until.isoformat()} if scope.until else {}
    place = f"#{next_row}" if _ROW.fullmatch(next_row) else ""
    return go_to(f"{path}?{urlencode({**until, 'done': done})}{place}")


def _typed(sent: Posted) -> tuple[int, Decimal | None, dict[str, str]]:
    """How many, what was paid, and what is wrong by the name of its field."""
    faults, row = {}, sent.text("row")
    packs, said_paid = _whole(sent.text("packs")), sent.text("paid")
    paid = read_amount(said_paid) if said_paid else None
    if packs is None:
        faults[f"packs-{row}"] = _NO_NUMBER
    if said_paid and paid is None:
        faults[f"paid-{row}"] = _NO_AMOUNT
    return packs or 0, paid, faults


def _kept(sent: Posted) -> Mapping[str, str]:
    return {name: sent.text(name) for name in ("row", "packs", "paid")}


def _whole(text: str) -> int | None:
    digits = text.replace(",", "")
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 10 else None
