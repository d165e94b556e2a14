"""Reading how a client can be reached."""

import re

import phonenumbers
from babel import Locale

from service.estimating import Shop
from service.leads.lead import Client
from service.leads.words import Words
from service.pages.posted import Fault, Posted

LONGEST_NAME = 120
_LONGEST_EMAIL = 254


def read_client(sent: Posted, shop: Shop, words: Words) -> tuple[Client, tuple[Fault, ...]]:
    """Name, email and phone from the fields of those names; one of the last two is enough."""
    name, email, number = sent.text("name"), sent.text("email"), sent.text("phone")
    faults: list[Fault] = []
    if not name:
        faults.append(
            Fault(field="name", text=words.say("Tell us your name, so we know whom to ask for."))
        )
    if len(name) > LONGEST_NAME:
        text = words.say("Keep the name to %(most)s characters, please.", most=LONGEST_NAME)
        faults.append(Fault(field="name", text=text))
    if not email and not number:
        text = words.say("Leave an email address or a phone number; one of the two is enough.")
        faults.append(Fault(field="email", text=text))
    if email and not is_email(email):
        text = words.say(
            "That doesn't look like an email address. It should be like sam@example.org."
        )
        faults.append(Fault(field="email", text=text))
    phone = international(number, shop) if number else None
    if number and phone is None:
        text = words.say("That phone number doesn't work. Give it with its area code.")
        faults.append(Fault(field="phone", text=text))
    return Client(name=name or None, email=email or None, phone=phone), tuple(faults)


def is_email(text: str) -> bool:
    """Whether a message could be sent there."""
    found = re.fullmatch(r"[^@\s]+@[^@\s]+\.[^@\s]+", text)
    return found is not None and len(text) <= _LONGEST_EMAIL


def dialled(text: str, shop: Shop) -> str | None:
    """What calls the first phone number of a text, its extension too; None without one."""
    found = phonenumbers.PhoneNumberMatcher(
        text, territory_of(shop), leniency=phonenumbers.Leniency.POSSIBLE
    )
    first = next(iter(found), None)
    if first is None:
        return None
    return phonenumbers.format_number(first.number, phonenumbers.PhoneNumberFormat.RFC3966)


def international(number: str, shop: Shop) -> str | None:
    """A phone number in the international way of writing, None where it can be none."""
    try:
        parsed = phonenumbers.parse(number, territory_of(shop))
    except phonenumbers.NumberParseException:
        return None
    # Possible, not valid: a number of a range that our list does not know yet is still theirs.
    if not phonenumbers.is_possible_number(parsed):
        return None
    return phonenumbers.format_number(parsed, phonenumbers.PhoneNumberFormat.INTERNATIONAL)


def territory_of(shop: Shop) -> str | None:
    """The shop's country, as its locale names it."""
    return Locale.parse(shop.locale.replace("-", "_")).territory
