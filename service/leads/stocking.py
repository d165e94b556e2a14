"""Balloons come in and go out: for booked jobs, by counting, by buying."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from service.estimating import Estimate, PriceBook, Shopping, shop_for
from service.estimating.book import Holding
from service.leads.lead import Change, Lead, LeadError, StaleDecision
from service.leads.ports import UnitOfWork
from service.leads.stock import Key, Move, OnHand, Stock, Why

MOST = 100_000
"""Of one size and colour: more is a slip of the pen."""

BY_BOOK = "price book"
"""Who made the first count, where it was taken over from the price book."""

_SINCE_CHANGED = "The stock has changed since this page was loaded. Look again, then repeat it."


class StockRefused(LeadError):
    """Such balloons, or so many of them, cannot be on the shelf."""


def take_out(
    work: UnitOfWork, lead: Lead, estimate: Estimate, *, who: str, now: datetime
) -> tuple[OnHand, ...]:
    """Promise to a booked job what its estimate takes from stock; call it under the lead's lock.

    What the job has already, bought for it or promised before, it keeps as far as it still needs
    it. Asked again it changes nothing; with another estimate it makes good the difference. Returns
    what has been promised beyond what there is: that is to be bought.
    """
    wanted: Counter[Key] = Counter()
    for line in estimate.shopping.from_stock:
        wanted[line.size_class, line.colour] += line.count
    needed = _needed(estimate)
    for key, has in work.stock.of_lead(lead.id).items():
        wanted[key] = max(wanted[key], min(has, needed[key]))
    return _bring_to(work, lead, wanted, who=who, now=now)


def set_aside(
    work: UnitOfWork, lead: Lead, counts: Mapping[Key, int], *, who: str, now: datetime
) -> None:
    """Promise so many more to a job; below zero they come back. Under the lead's lock."""
    wanted = Counter(work.stock.of_lead(lead.id))
    wanted.update(counts)
    _bring_to(work, lead, wanted, who=who, now=now)


def give_back(work: UnitOfWork, lead: Lead, *, who: str, now: datetime) -> None:
    """A job is off: what it was promised is free again. Asked again it changes nothing."""
    _bring_to(work, lead, {}, who=who, now=now)


def on_hand(work: UnitOfWork, book: PriceBook) -> list[OnHand]:
    """Every size and colour that ever moved, by the names that the book has for them now."""
    found: dict[Key, OnHand] = {}
    for each in work.stock.on_hand():
        colour = book.colour(each.colour)
        each = replace(each, colour=colour.name if colour else each.colour)
        before = found.get((each.size_class, each.colour))
        if before is not None:
            each = replace(
                each, free=before.free + each.free, reserved=before.reserved + each.reserved
            )
        found[each.size_class, each.colour] = each
    return sorted(found.values(), key=lambda each: (each.size_class, each.colour))


def take_over(stock: Stock, book: PriceBook, *, now: datetime) -> bool:
    """The price book's stock as the first count, where nothing was ever counted."""
    stock.lock()
    if stock.newest():
        return False
    stock.add([_counted(key, held, BY_BOOK, now) for key, held in book.stock_of.items()])
    return bool(book.stock_of)


def count(
    work: UnitOfWork, book: PriceBook, counted: Mapping[Key, int], *, who: str, now: datetime
) -> int:
    """What lies on the shelf, promised or not, as it was counted; how many figures that changed.

    Counting the same again changes nothing. Raises StockRefused.
    """
    wanted = {_known(book, key): _sound(number) for key, number in counted.items()}
    work.stock.lock()
    there = {(e.size_class, e.colour): e.free + e.reserved for e in on_hand(work, book)}
    moves = [
        _counted(key, number - there.get(key, 0), who, now)
        for key, number in sorted(wanted.items())
        if number != there.get(key, 0)
    ]
    work.stock.add(moves)
    return len(moves)


def bring_in(
    work: UnitOfWork,
    book: PriceBook,
    key: Key,
    number: int,
    *,
    seen: int,
    who: str,
    now: datetime,
) -> None:
    """So many were bought. `seen` is the newest move that whoever says so was looking at.

    Raises StockRefused, StaleDecision.
    """
    _move(work, book, key, number, why=Why.BOUGHT, seen=seen, who=who, now=now)


def use_up(
    work: UnitOfWork,
    book: PriceBook,
    key: Key,
    number: int,
    *,
    seen: int,
    who: str,
    now: datetime,
) -> None:
    """So many burst, were given away or used otherwise. As `bring_in`."""
    _move(work, book, key, -number, why=Why.USED, seen=seen, who=who, now=now)


def with_stock(book: PriceBook, holdings: Sequence[Holding] | None) -> PriceBook:
    """The book with what is on hand in place of its own stock; None leaves it as it is.

    Balloons in a size or colour that the book no longer has stay on the shelf unseen.
    """
    if holdings is None:
        return book
    known = tuple(h for h in holdings if book.size(h.size_class) and book.colour(h.colour))
    return book if known == book.stock else replace(book, stock=known)


def to_buy(short: Sequence[OnHand], book: PriceBook) -> Shopping | None:
    """The cheapest way to what booked jobs were promised beyond what there is."""
    wanted: Counter[Key] = Counter()
    for each in short:
        colour = book.colour(each.colour)
        if each.short and colour is not None and book.size(each.size_class):
            wanted[each.size_class, colour.name] += each.short
    return shop_for(wanted, replace(book, stock=())).shopping if wanted else None


def _move(
    work: UnitOfWork,
    book: PriceBook,
    key: Key,
    number: int,
    *,
    why: Why,
    seen: int,
    who: str,
    now: datetime,
) -> None:
    size_class, colour = _known(book, key)
    if not _sound(abs(number)):
        raise StockRefused("Give a number from 1 up.")
    work.stock.lock()
    if work.stock.newest() != seen:
        raise StaleDecision(_SINCE_CHANGED)
    move = Move(size_class=size_class, colour=colour, count=number, why=why, at=now, who=who)
    shelf = {(e.size_class, e.colour): e.on_shelf for e in on_hand(work, book)}
    if shelf.get((size_class, colour), 0) + number < 0:
        raise StockRefused("There are not so many on the shelf. Count what is there instead.")
    work.stock.add([move])


def _counted(key: Key, difference: int, who: str, now: datetime) -> Move:
    return Move(
        size_class=key[0], colour=key[1], count=difference, why=Why.COUNTED, at=now, who=who
    )


def _known(book: PriceBook, key: Key) -> Key:
    """The key by the colour's own name."""
    size_class, colour = key
    known = book.colour(colour)
    if known is None or book.size(size_class) is None:
        raise StockRefused("Your price book has no balloon of that size and color.")
    return size_class, known.name


def _sound(number: int) -> int:
    if not 0 <= number <= MOST:
        raise StockRefused(f"Give a whole number from 0 to {MOST:,}.")
    return number


def said(count: int, size_class: int, colour: str) -> str:
    """ "12 navy (10 in)"."""
    return f"{count:,} {colour} ({size_class} in)"


def _needed(estimate: Estimate) -> Counter[Key]:
    """What the job takes in all, and what its estimate puts in the place of it."""
    needed: Counter[Key] = Counter()
    for line in (*estimate.spares, *estimate.helium.latex):
        needed[line.size_class, line.colour] += line.taken
    for fill in estimate.shopping.filled:
        needed[fill.by_size_class, fill.by_colour] += fill.count
    return needed


def _bring_to(
    work: UnitOfWork, lead: Lead, wanted: Mapping[Key, int], *, who: str, now: datetime
) -> tuple[OnHand, ...]:
    out = work.stock.of_lead(lead.id)
    moves = [
        Move(
            size_class=key[0],
            colour=key[1],
            count=more_back,
            why=Why.RETURNED if more_back > 0 else Why.BOOKED,
            lead_id=lead.id,
            at=now,
            who=who,
        )
        for key in sorted(out.keys() | wanted.keys())
        if (more_back := out.get(key, 0) - wanted.get(key, 0))
    ]
    if not moves:
        return ()
    work.stock.add(moves)
    taken = {(move.size_class, move.colour) for move in moves if move.count < 0}
    there = work.stock.on_hand()
    short = tuple(e for e in there if e.short and (e.size_class, e.colour) in taken)
    work.leads.note(lead.id, _change(moves, short, who, now))
    return short


def _change(moves: Sequence[Move], short: Sequence[OnHand], who: str, now: datetime) -> Change:
    taken = [said(-m.count, m.size_class, m.colour) for m in moves if m.count < 0]
    back = [said(m.count, m.size_class, m.colour) for m in moves if m.count > 0]
    if not taken:
        return Change(
            at=now, who=who, what="gave balloons back to stock", detail={"balloons": back}
        )
    detail = {
        "balloons": taken,
        "back": [f"back: {each}" for each in back],
        "short": [f"short: {said(e.short, e.size_class, e.colour)}" for e in short],
    }
    detail = {name: lines for name, lines in detail.items() if lines}
    return Change(at=now, who=who, what="took balloons from stock", detail=detail)
