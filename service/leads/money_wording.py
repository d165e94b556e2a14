"""What the shop says to a client about money, a canceled booking and the weather."""

from datetime import date
from decimal import Decimal

from service.estimating import PriceBook
from service.leads.accounts import BACK
from service.leads.balances import Rest
from service.leads.messages import Message
from service.leads.payments import Payment, PaymentKind
from service.leads.speech import msg
from service.leads.words import Words

_AS_ASKED = msg("As you asked, your booking for %(day)s is canceled. Thank you for telling us.")
_SORRY = msg("We are very sorry: we have to cancel your booking for %(day)s.")
_NOT_HERE = msg(
    "We wrote that your %(amount)s is here. That was a slip of ours, and we are sorry: it does not "
    "count."
)
_NOT_SENT = msg(
    "We wrote that we have sent %(amount)s back to you. That was a slip of ours, and we are sorry: "
    "it does not count."
)


def received(payment: Payment, words: Words, *, due: Decimal, on: date | None) -> Message:
    """Money has come; what is still due, and when."""
    said = words.say("Your %(amount)s is here, thank you!", amount=_amount(payment, words))
    left = _still_due(due, payment.currency, on, words) or words.say("Everything is paid.")
    return Message(kind="note", text=f"{said} {left}")


def sent_back(payment: Payment, words: Words, *, due: Decimal, on: date | None) -> Message:
    """Money has gone back: whether the price is lower by it, and what is still due, and when."""
    said = [words.say("We have sent %(amount)s back to you.", amount=_amount(payment, words))]
    if payment.kind is PaymentKind.GIFT:
        said.append(words.say("Your price is lower by that much."))
    said.append(_still_due(due, payment.currency, on, words))
    return Message(kind="note", text=" ".join(filter(None, said)))


def taken_back(payment: Payment, words: Words, *, due: Decimal, on: date | None) -> Message:
    """An entry that the client was told of was a mistake; what is due without it, and when."""
    said = words.say(
        _NOT_SENT if payment.kind in BACK else _NOT_HERE, amount=_amount(payment, words)
    )
    left = _still_due(due, payment.currency, on, words)
    return Message(kind="note", text=" ".join(filter(None, (said, left))))


def rest(left: Rest | None, words: Words) -> str:
    """What is to be paid after the deposit, and by when; empty where nothing is."""
    if left is None:
        return ""
    return words.say(
        "The rest, %(amount)s, is due by %(day)s.",
        amount=words.money(left.amount, left.currency),
        day=words.day(left.on),
    )


def _still_due(due: Decimal, currency: str, on: date | None, words: Words) -> str:
    if not due:
        return ""
    said = words.money(due, currency)
    if on is None:
        return words.say("Still due: %(due)s.", due=said)
    return words.say("Still due: %(due)s, by %(day)s.", due=said, day=words.day(on))


def _amount(payment: Payment, words: Words) -> str:
    return words.money(payment.amount, payment.currency)


def canceled(
    day: date,
    returned: Decimal,
    paid: Decimal,
    currency: str,
    book: PriceBook,
    words: Words,
    *,
    by_client: bool,
    text: str | None,
) -> Message:
    """The booking is off; `text` is the owner's own word to it, `paid` what was paid until now."""
    owner = book.shop.owner
    said = words.say(_AS_ASKED if by_client else _SORRY, day=words.day(day))
    goes_back = back(returned, paid, currency, words)
    reach = words.say(
        "If anything is unclear, reach %(owner)s: %(reach)s.",
        owner=owner,
        reach=words.reached_by(book.shop.contact),
    )
    paragraphs = (" ".join(filter(None, (said, goes_back))), text or "", reach)
    return Message(kind="note", text="\n\n".join(filter(None, paragraphs)))


def back(returned: Decimal, paid: Decimal, currency: str, words: Words) -> str:
    """What goes back of what was paid, and what is kept of it; empty where nothing was paid."""
    if not paid:
        return ""
    amount, whole = words.money(returned, currency), words.money(paid, currency)
    if returned == paid:
        return words.say("The %(amount)s you paid goes back to you, all of it.", amount=amount)
    if not returned:
        return words.say("Nothing of the %(paid)s you paid goes back.", paid=whole)
    return words.say(
        "Of the %(paid)s you paid, %(amount)s goes back to you, and %(kept)s is kept.",
        paid=whole,
        amount=amount,
        kept=words.money(paid - returned, currency),
    )


def fee_for_moving(fee: Decimal, currency: str, words: Words) -> Message:
    """Another date at such short notice costs something; it is in what was said to be due."""
    return Message(
        kind="note",
        text=words.say(
            "For the new date so close to the old one, %(fee)s is added to the price.",
            fee=words.money(fee, currency),
        ),
    )


def moved_for_weather(clause: str, words: Words) -> Message:
    """The weather makes the first date unsafe; `clause` is what the terms say of it."""
    said = words.say("We moved your date because of the weather, without a fee.")
    return Message(kind="note", text="\n\n".join(filter(None, (said, clause))))
