"""What makes a letter of a quote: thanks at its head, a good word above the owner's name."""

from service.leads.lead import LeadState
from service.leads.speech import msg
from service.workshop.quote_document.case import Case

_THANKS_BALLPARK = msg(
    "Thank you for asking us! Here is how it could look, and about what it would cost."
)
_THANKS_FIRM = msg("Thank you for asking us! Here is how it will look, and what it costs.")
_THANKS_BOOKED = msg("Thank you for having us do your balloons! Here is all that we settled.")
_ANOTHER_WAY = msg("Would you like anything another way? Tell us: nothing is settled yet.")
_GLADLY = msg("We would love to be part of your day.")
_LOOKING_FORWARD = msg("We look forward to your day.")
_AFTERWARDS = msg("We hope it was a lovely day.")


def thanks(case: Case) -> str:
    """The first sentence; empty where the price no longer stands."""
    if not _stands(case):
        return ""
    if case.booked:
        return case.words.say(_THANKS_BOOKED)
    return case.words.say(_THANKS_FIRM if case.firm else _THANKS_BALLPARK)


def closing(case: Case) -> str:
    """The last sentence; empty where the price no longer stands."""
    if not _stands(case):
        return ""
    if case.standing.state is LeadState.DONE:
        return case.words.say(_AFTERWARDS)
    if case.booked:
        return case.words.say(_LOOKING_FORWARD)
    return case.words.say(_GLADLY if case.firm else _ANOTHER_WAY)


def _stands(case: Case) -> bool:
    return case.open or case.booked or not case.sent
