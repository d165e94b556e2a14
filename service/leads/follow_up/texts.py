"""The texts that the shop writes by itself about a request, which the owner may word anew.

The owner sees a text with its placeholders in braces, "Held until {until}"; in the code and in the
catalogues the same stands as "Held until %(until)s".
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from service.leads.speech import msg

LONGEST: Final = 1500


@dataclass(frozen=True, kw_only=True, slots=True)
class Text:
    """A text that can be worded anew; `english` is its name in the catalogues.

    `needs` are the placeholders without which it would leave out what the client must know.
    """

    key: str
    about: str
    english: str
    needs: frozenset[str] = frozenset()

    @property
    def placeholders(self) -> tuple[str, ...]:
        """All that may stand in it, in the order of the shipped text."""
        return tuple(dict.fromkeys(_NAMED.findall(self.english)))


_NAMED = re.compile(r"%\((\w+)\)s")
_BRACED = re.compile(r"\{([^{}]*)\}")

NUDGE = Text(
    key="nudge",
    about="a price is about to lapse, and the client has not answered",
    english=msg(
        "Your price %(number)s is good until %(until)s. Would you like to go on with it? Pick a "
        "set-up time, or write to us with any question. If not, there's nothing you need to do."
    ),
    needs=frozenset({"until"}),
)
HOLD = Text(
    key="hold",
    about="a held date is about to run out",
    english=msg(
        "%(day)s is still held for you, until %(until)s. A deposit of %(deposit)s turns it into a "
        "booking. %(pay)s"
    ),
    needs=frozenset({"until", "deposit", "pay"}),
)
BALANCE = Text(
    key="balance",
    about="the rest of the price is due soon",
    english=msg(
        "%(day)s is coming up! %(amount)s of the price is still open and due by %(due)s. %(pay)s "
        "If it is on its way already, thank you, and never mind this message."
    ),
    needs=frozenset({"amount", "due", "pay"}),
)
BALANCE_TODAY = Text(
    key="balance.now",
    about="the rest of the price is due today, or was before",
    english=msg(
        "%(day)s is coming up! %(amount)s of the price is still open and due now. %(pay)s If it "
        "is on its way already, thank you, and never mind this message."
    ),
    needs=frozenset({"amount", "pay"}),
)
PAY = Text(
    key="pay",
    about="how to pay, where the price book does not say",
    english=msg("To pay, reach us: %(reach)s."),
    needs=frozenset({"reach"}),
)
DAY_BEFORE = Text(
    key="day_before",
    about="the day before: when we come, and how we are reached",
    english=msg(
        "Tomorrow is the day! %(owner)s arrives at %(arrive)s and is ready by %(ready)s. On the "
        "day you reach us here: %(reach)s."
    ),
    needs=frozenset({"arrive", "ready", "reach"}),
)
PLACE = Text(
    key="day_before.place",
    about="the day before: where we come to, as you have it",
    english=msg("We come to: %(place)s. Please say so if that is not right."),
    needs=frozenset({"place"}),
)
ACCESS = Text(
    key="day_before.access",
    about="the day before: getting in and parking",
    english=msg(
        "Is there a door code, a loading entrance or somebody to ask for? And where may we park?"
    ),
)
WEATHER = Text(
    key="day_before.weather",
    about="the day before, outdoors: the weather",
    english=msg(
        "As it stands outdoors, please look at the forecast with us. In strong wind, a "
        "thunderstorm or great heat it can't safely stay up: have a place under a roof in mind. "
        "We'll call you if we are in doubt."
    ),
)
THANKS = Text(
    key="thanks",
    about="the day after: thank you, and a photo",
    english=msg(
        "Thank you for having us! We hope it was a lovely day. If you have a photo with the "
        "garland in it, we'd love to see it: just send it here."
    ),
)
THANKS_ELSEWHERE = Text(
    key="thanks.form",
    about="the day after, to clients of the website's form, who cannot send a photo there",
    english=msg(
        "Thank you for having us! We hope it was a lovely day. If you have a photo with the "
        "garland in it, we'd love to see it: %(reach)s."
    ),
    needs=frozenset({"reach"}),
)
STOP_HERE = Text(
    key="stop",
    about="below every reminder in a chat: how to stop them",
    english=msg("No reminders, please? Write “stop”."),
)

UNDER_REVIEW = Text(
    key="review",
    about="you look at a request before it has a price",
    english=msg("Thank you! %(owner)s wants to look at this one before naming a price."),
)
REVIEW_NUMBER = Text(
    key="review.number",
    about="you look first: the number of the request",
    english=msg("Your request is number %(number)s, and the answer comes right here."),
    needs=frozenset({"number"}),
)
SOON = Text(
    key="review.soon",
    about="you look first, and the event is within three days",
    english=msg("It's soon, so the quickest way is to call: %(reach)s."),
    needs=frozenset({"reach"}),
)
FIRM = Text(
    key="firm",
    about="a firm price: how it begins",
    english=msg("%(owner)s has looked at your request."),
)
DECLINED = Text(
    key="declined",
    about="a kind no, where you write none of your own",
    english=msg(
        "Thank you for asking us. %(owner)s can't take this one on, and would rather tell you now "
        "than keep you waiting. We hope your day goes beautifully."
    ),
)
HELD = Text(
    key="held",
    about="a date is held",
    english=msg(
        "%(day)s is held for you: we arrive at %(arrive)s and are ready by %(ready)s. We keep "
        "it until %(until)s. A deposit of %(deposit)s turns it into a booking. %(pay)s"
    ),
    needs=frozenset({"day", "until", "deposit", "pay"}),
)
BOOKED = Text(
    key="booked",
    about="the deposit has come",
    english=msg(
        "Your %(paid)s arrived, thank you! %(day)s is booked. %(owner)s comes at %(arrive)s and "
        "is ready by %(ready)s."
    ),
    needs=frozenset({"day", "arrive"}),
)
HOLD_OVER = Text(
    key="hold_over",
    about="a held date has run out",
    english=msg(
        "No deposit came, so the set-up time we held for %(day)s is free again. Still want "
        "it? Open your quote and pick a time."
    ),
    needs=frozenset({"day"}),
)
MOVED = Text(
    key="moved",
    about="you have moved a date",
    english=msg(
        "Your set-up has a new time: %(day)s. %(owner)s comes at %(arrive)s and is ready by "
        "%(ready)s."
    ),
    needs=frozenset({"day", "arrive"}),
)
GIVEN_BACK = Text(
    key="given_back",
    about="a client gave a held date back",
    english=msg(
        "Done: %(day)s is no longer held for you, and there is nothing to pay. If things change, "
        "pick a time again from your quote."
    ),
    needs=frozenset({"day"}),
)
RECEIVED = Text(
    key="received",
    about="money has come",
    english=msg("Your %(amount)s is here, thank you!"),
    needs=frozenset({"amount"}),
)
REFUNDED = Text(
    key="refunded",
    about="money has gone back",
    english=msg("We have sent %(amount)s back to you."),
    needs=frozenset({"amount"}),
)

TEXTS: Mapping[str, Text] = {
    text.key: text
    for text in (
        *(UNDER_REVIEW, REVIEW_NUMBER, SOON, FIRM, DECLINED, NUDGE, HELD, HOLD, HOLD_OVER),
        *(GIVEN_BACK, BOOKED, MOVED, RECEIVED, REFUNDED, BALANCE, BALANCE_TODAY, PAY),
        *(DAY_BEFORE, PLACE, ACCESS, WEATHER, THANKS, THANKS_ELSEWHERE, STOP_HERE),
    )
}
"""By key, in the order in which clients come across them."""


def faults_of(text: Text, said: str) -> tuple[str, ...]:
    """What keeps the owner's words from taking the place of a text; empty where nothing does."""
    if not said.strip():
        return ("Write a text, or go back to the shipped one.",)
    found = _BRACED.findall(said)
    known = set(text.placeholders)
    faults = [f"There is no {{{name}}} here." for name in dict.fromkeys(found) if name not in known]
    missing = [name for name in text.placeholders if name in text.needs - set(found)]
    faults += [f"{{{name}}} is missing: the client needs to know it." for name in missing]
    if re.search(r"[{}]", _BRACED.sub("", said)):
        faults.append("A brace stands alone. Placeholders look like {day}.")
    if len(said) > LONGEST:
        faults.append(f"Keep it to {LONGEST:,} characters; it has {len(said):,} now.")
    return tuple(faults)


def in_braces(said: str) -> str:
    """A text of the catalogues as the owner reads it."""
    return _NAMED.sub(r"{\1}", said).replace("%%", "%")


def from_braces(said: str) -> str:
    """The owner's text as it is filled in."""
    return _BRACED.sub(r"%(\1)s", said.replace("%", "%%"))
