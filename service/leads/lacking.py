"""What is in the way of a set-up time, in words for the owner."""

from service.leads.diary import Lacking, Short
from service.leads.offering import Broken, NoneFree, Why

_WHY = {
    Why.WEEKDAY: "You are closed on that weekday.",
    Why.CLOSED: "That day is among your days off.",
    Why.VENUE: "The venue lets you in for too short a time.",
    Why.TOO_LONG: "Setting up takes longer than the hours of that day leave before the event.",
    Why.NOTICE: "That is sooner than the notice that you need.",
    Why.MAKING: "Making it all does not fit in before any of the times, while the balloons last.",
}

BREAKS = {
    Broken.NOTICE: "sooner than your notice",
    Broken.MAKING: "making does not fit",
}
"""Which of her own rules the owner breaks by taking a time."""


def owner_reasons(none: NoneFree) -> list[str]:
    """Why a day has no time to offer."""
    reasons = [_WHY.get(none.why, ""), *map(owner_reason, none.shorts)]
    return [reason for reason in reasons if reason]


def owner_reason(short: Short) -> str:
    """ "The round top frame 4 x 7 ft is out that day.", or the like."""
    match short.lacking:
        case Lacking.EQUIPMENT:
            verb = "is" if len(short.items) == 1 else "are"
            return f"The {' and the '.join(short.items)} {verb} out that day."
        case Lacking.TRAVEL:
            return "The drive to or from another job leaves too little time."
        case Lacking.CREW:
            return "Another job takes that time."
