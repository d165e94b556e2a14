"""What the shop says to a client about money, a canceled booking and the weather."""

from datetime import date
from decimal import Decimal

from service.estimating import PriceBook
from service.leads.messages import Message
from service.leads.speech import msg
from service.leads.words import Words

_AS_ASKED = msg("As you asked, your booking for %(day)s is canceled. Thank you for telling us.")
_SORRY = msg("We are very sorry: we have to cancel your booking for %(day)s.")


def received(
    amount: Decimal, currency: str, words: Words, *, due: Decimal, on: date | None
) -> Message:
    """Money has come; what is still due, and when."""
    said = [words.say("Your %(amount)s is here, thank you!", amount=words.money(amount, currency))]
    if not due:
        said.append(words.say("Everything is paid."))
    elif on is None:
        said.append(words.say("Still due: %(due)s.", due=words.money(due, currency)))
    else:
        said.append(
            words.say(
                "Still due: %(due)s, by %(day)s.",
                due=words.money(due, currency),
                day=words.day(on),
            )
        )
    return Message(kind="note", text=" ".join(said))


def refunded(amount: Decimal, currency: str, words: Words) -> Message:
    """Money has gone back."""
    text = words.say("We have sent %(amount)s back to you.", amount=words.money(amount, currency))
    return Message(kind="note", text=text)


def canceled(
    day: date,
    returned: Decimal,
    currency: str,
    book: PriceBook,
    words: Words,
    *,
    by_client: bool,
    text: str | None,
) -> Message:
    """The booking is off; `text` is the owner's own word to it."""
    owner = book.shop.owner
    said = words.say(_AS_ASKED if by_client else _SORRY, day=words.day(day))
    back = (
        words.say("%(amount)s goes back to you.", amount=words.money(returned, currency))
        if returned
        else ""
    )
    reach = words.say(
        "If anything is unclear, reach %(owner)s: %(reach)s.",
        owner=owner,
        reach=words.reached_by(book.shop.contact),
    )
    paragraphs = (" ".join(filter(None, (said, back))), text or "", reach)
    return Message(kind="note", text="\n\n".join(filter(None, paragraphs)))


def fee_for_moving(fee: Decimal, due: Decimal, currency: str, words: Words) -> Message:
    """Another date at such short notice costs something."""
    return Message(
        kind="note",
        text=words.say(
            "For the new date so close to the old one, %(fee)s is added. Still due in all: "
            "%(due)s.",
            fee=words.money(fee, currency),
            due=words.money(due, currency),
        ),
    )


def moved_for_weather(clause: str, words: Words) -> Message:
    """The weather makes the first date unsafe; `clause` is what the terms say of it."""
    said = words.say("We moved your date because of the weather, without a fee.")
    return Message(kind="note", text="\n\n".join(filter(None, (said, clause))))
