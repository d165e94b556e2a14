"""Balloons on hand: what is free, promised and short, counting, and every move."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.estimating import PriceBook, ShoppingLine
from service.leads import stocking, words
from service.leads.lead import LeadError
from service.leads.ports import UnitOfWork
from service.leads.stock import Key, Move, OnHand, Why
from service.leads.stocking import StockRefused
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Posted, Sent
from service.pages.visit import go_to

router = APIRouter(prefix="/stock")

_MOVES = 40
_RECENT = 8
_SPARE_ROWS = 4
_MOST_ROWS = 300
_NO_NUMBER = "Give a whole number."
_FIELDS = ("size", "colour", "count", "why", "seen")

_WHY = {
    Why.COUNTED: "counted",
    Why.BOUGHT: "bought",
    Why.BOOKED: "promised",
    Why.RETURNED: "given back",
    Why.UNUSED: "left over from the job",
    Why.USED: "used or burst",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """Balloons of one size and colour; `hex` is None for a colour the book no longer has."""

    key: str
    size_class: int
    colour: str
    hex: str | None
    on_shelf: int
    reserved: int
    free: int
    short: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """A booked job, and what it was promised."""

    path: str
    number: str
    when: str
    what: Sequence[str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """A move as it is listed."""

    when: str
    what: str
    count: str
    why: str
    who: str
    path: str | None
    number: str


@router.get("")
def stock_page(desk: SignedIn, done: str = "") -> Response:
    """What is on hand."""
    return _page(desk, notice="Written down." if done else None)


@router.post("")
def move(desk: Confirmed, sent: Sent) -> Response:
    """So many came in or went out."""
    values = {name: sent.text(name) for name in _FIELDS}
    number, size, seen = (_whole(values[name]) for name in ("count", "size", "seen"))
    if number is None:
        return _page(desk, values=values, faults={"count": _NO_NUMBER})
    act = stocking.bring_in if values["why"] == Why.BOUGHT else stocking.use_up
    key = size or 0, values["colour"]
    try:
        with desk.visit.ports.work() as work:
            book = desk.visit.book
            act(work, book, key, number, seen=seen or 0, who=desk.who, now=desk.visit.now)
            work.commit()
    except StockRefused as error:
        return _page(desk, values=values, faults={"count": str(error)})
    except LeadError as error:
        return desk.trouble(HTTPStatus.CONFLICT, "Not written down", str(error))
    return go_to("/desk/stock?done=1")


@router.get("/count")
def count_page(desk: SignedIn) -> Response:
    """A stock-take: many sizes and colours at once."""
    return _count_page(desk)


@router.post("/count")
def count(desk: Confirmed, sent: Sent) -> Response:
    """What was counted; what was left empty stays as it is."""
    counted, faults = _counted(sent)
    if not faults:
        try:
            with desk.visit.ports.work() as work:
                stocking.count(work, desk.visit.book, counted, who=desk.who, now=desk.visit.now)
                work.commit()
            return go_to("/desk/stock?done=1")
        except StockRefused as error:
            faults = {"new": str(error)}
    return _count_page(desk, sent=sent, faults=faults)


@router.get("/moves")
def moves_page(desk: SignedIn, before: str = "") -> Response:
    """What came in and went out, newest first."""
    with desk.visit.ports.read() as work:
        found = work.stock.moves(before=_whole(before), limit=_MOVES + 1)
        shown = found[:_MOVES]
        return desk.show(
            "desk/stock_moves.html",
            moves=_told(desk, work, shown),
            older=shown[-1].id if len(found) > _MOVES else None,
        )


def _page(
    desk: Desk,
    *,
    values: Mapping[str, str] | None = None,
    faults: Mapping[str, str] | None = None,
    notice: str | None = None,
) -> Response:
    book = desk.visit.book
    with desk.visit.ports.read() as work:
        there = stocking.on_hand(work, book)
        bought = stocking.to_buy(there, book)
        return desk.show(
            "desk/stock.html",
            lines=[_line(each, book) for each in there if each.free or each.reserved],
            jobs=_jobs(work),
            to_buy=[_buy(each) for each in bought.lines] if bought else [],
            buy_cost=words.money(bought.cost, book.shop.currency) if bought else "",
            moves=_told(desk, work, work.stock.moves(before=None, limit=_RECENT)),
            seen=work.stock.newest(),
            sizes=[size.size_class for size in book.sizes],
            colours=[colour.name for colour in book.colours],
            values=values or dict.fromkeys(_FIELDS, ""),
            faults=faults or {},
            notice=notice,
            most=stocking.MOST,
            status=HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK,
        )


def _count_page(
    desk: Desk, *, sent: Posted | None = None, faults: Mapping[str, str] | None = None
) -> Response:
    book = desk.visit.book
    with desk.visit.ports.read() as work:
        lines = [_line(each, book) for each in stocking.on_hand(work, book)]
    known = [line for line in lines if line.hex is not None][:_MOST_ROWS]
    return desk.show(
        "desk/stock_count.html",
        lines=known,
        sizes=[size.size_class for size in book.sizes],
        colours=[colour.name for colour in book.colours],
        spare=range(_SPARE_ROWS),
        typed=dict(sent.items()) if sent else {},
        faults=faults or {},
        status=HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK,
    )


def _counted(sent: Posted) -> tuple[dict[Key, int], dict[str, str]]:
    """What was typed by size and colour, and what is wrong by the name of its field."""
    counted: dict[Key, int] = {}
    faults: dict[str, str] = {}
    rows = min(_whole(sent.text("rows")) or 0, _MOST_ROWS)
    typed = [(f"count-{i}", sent.text(f"key-{i}")) for i in range(rows)]
    typed += [
        (f"newcount-{i}", f"{sent.text(f'newsize-{i}')} {sent.text(f'newcolour-{i}')}")
        for i in range(_SPARE_ROWS)
    ]
    for field, key in typed:
        said = sent.text(field)
        if not said:
            continue
        number = _whole(said)
        size, _, colour = key.partition(" ")
        if number is None or number > stocking.MOST:
            faults[field] = _NO_NUMBER
        elif not colour:
            faults[field] = "Choose the color."
        else:
            counted[_whole(size) or 0, colour] = number
    return counted, faults


def _line(each: OnHand, book: PriceBook) -> Line:
    colour = book.colour(each.colour)
    return Line(
        key=f"{each.size_class} {each.colour}",
        size_class=each.size_class,
        colour=each.colour,
        hex=colour.hex if colour and book.size(each.size_class) else None,
        on_shelf=each.on_shelf,
        reserved=each.reserved,
        free=each.free,
        short=each.short,
    )


def _jobs(work: UnitOfWork) -> list[Job]:
    promised: dict[str, list[str]] = {}
    for each in work.stock.reserved():
        said = stocking.said(each.count, each.size_class, each.colour)
        promised.setdefault(each.lead_id, []).append(said)
    return [_job(work, lead_id, what) for lead_id, what in promised.items()]


def _job(work: UnitOfWork, lead_id: str, what: Sequence[str]) -> Job:
    lead = work.leads.get(lead_id)
    day = lead.brief.event.date
    return Job(
        path=f"/desk/leads/{lead_id}",
        number=lead.number,
        when=words.day(day) if day else "no date yet",
        what=what,
    )


def _buy(line: ShoppingLine) -> str:
    packs = "1 pack" if line.packs == 1 else f"{line.packs} packs"
    return f"{packs} of {line.item}, from {line.supplier}"


def _told(desk: Desk, work: UnitOfWork, moves: Sequence[Move]) -> list[Told]:
    leads = {id_: work.leads.get(id_).number for id_ in {m.lead_id for m in moves if m.lead_id}}
    zone = desk.visit.zone
    return [
        Told(
            when=words.moment(each.at.astimezone(zone)),
            what=f"{desk.visit.words.colour(each.colour)} ({each.size_class} in)",
            count=f"+{each.count}" if each.count > 0 else f"−{-each.count}",
            why=_WHY[each.why],
            who="you" if each.who == desk.who else each.who,
            path=f"/desk/leads/{each.lead_id}" if each.lead_id else None,
            number=leads.get(each.lead_id or "", ""),
        )
        for each in moves
    ]


def _whole(text: str) -> int | None:
    digits = text.replace(",", "")
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 10 else None
