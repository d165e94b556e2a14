"""What the money is for, and what is agreed on."""

from collections.abc import Iterator

from service.leads import price_lines
from service.leads.accounts import tax_on
from service.leads.phrasing import how_to_pay, last_day
from service.leads.speech import msg
from service.workshop.quote_document.case import Case
from service.workshop.quote_document.opening import title
from service.workshop.quote_document.values import Costs

_LIKELY = msg("Most likely")
_PICK = msg("Pick a set-up time on your quote's page: scan this code, or type the address below.")
_LOOK = msg("Your quote's page shows how it stands: scan this code, or type the address below.")
_PRICE_GOOD = msg("This price is good until %(day)s.")
_BALLPARK_GOOD = msg("This ballpark is good until %(day)s.")


def costs(case: Case) -> Costs | None:
    """The parts of the price; None where it has none."""
    words, quote = case.words, case.quote
    taxed = tuple(_taxed(case))
    tax = "" if taxed else words.tax(quote.estimate.price, quote.likely)
    lines = price_lines.told(quote, case.owner, words)
    if not lines:
        return None
    return Costs(
        lines=tuple((line.label, case.money(line.amount)) for line in lines),
        total=(title(case) if case.firm else words.say(_LIKELY), case.money(quote.likely)),
        tax=f"{tax[:1].upper()}{tax[1:]}",
        taxed=taxed,
        deposit=words.say(
            "The deposit is %(deposit)s; it is part of the price, not on top of it.",
            deposit=case.money(quote.deposit),
        ),
    )


def _taxed(case: Case) -> Iterator[tuple[str, str]]:
    """The tax on a firm price and what it comes to with it, where any is added."""
    tax = tax_on(case.quote)
    if case.firm and tax:
        yield case.words.say("Sales tax"), case.money(tax)
        yield case.words.say("In all, with tax"), case.money(case.quote.likely + tax)


def good_until(case: Case) -> str:
    """Until when the price stands."""
    day = last_day(case.quote, case.today, case.words)
    return case.words.say(_PRICE_GOOD if case.firm else _BALLPARK_GOOD, day=day)


def terms(case: Case) -> Iterator[str]:
    """The terms in short."""
    words, owner = case.words, case.owner
    if not case.booked:
        yield good_until(case)
        yield words.say(
            "A set-up time that you pick is kept for at least %(time)s. The deposit turns it into "
            "a booking: %(owner)s confirms the booking when the deposit is in.",
            time=words.lasting(case.book.calendar.hold),
            owner=owner,
        )
    if not case.firm:
        yield words.say(
            "It is a range, not a bill: %(owner)s confirms the final price before you pay the "
            "rest.",
            owner=owner,
        )
    if case.quote.brief.client_keeps:
        yield words.say(
            "Balloons are never released. Once they are yours, please cut them open and throw them "
            "away."
        )
    else:
        yield words.say(
            "Balloons are never released. Everything is taken down and thrown away by us."
        )


def booking(case: Case) -> Iterator[str]:
    """How to say yes, or what is still to be done."""
    words, standing = case.words, case.standing
    if not case.open and not case.booked:
        return
    if standing.link:
        picked = case.booked or standing.hold is not None
        yield words.say(_LOOK if picked else _PICK)
    if not case.booked and standing.hold is not None:
        until = words.moment(case.local(standing.hold.expires_at))
        yield words.say("Your set-up time is kept until %(until)s.", until=until)


def paying(case: Case) -> str:
    """What books it and how to pay that; empty where it cannot be booked, or is."""
    if case.booked or not case.open:
        return ""
    return case.words.say(
        "A deposit of %(deposit)s, which is part of the price, turns it into a booking. %(pay)s",
        deposit=case.money(case.quote.deposit),
        pay=how_to_pay(case.today, case.words),
    )
