"""Who may open what: every route of the service, placed by hand.

`ROUTES` maps (method, path) to a placement; `test_access_table.py` asks every route as every caller
and fails where the answer is not what the placement says, and where a route has no placement. A new
route gets a line in its section: `keys(...)` under /v1, `OWNERS` or `EVERYONES` at the desk,
`link(...)` for what a signed link opens, `OPEN` for what is anybody's. `answer` is what a caller who
is let in gets to a GET, or to an empty body, if not 200 or, for other methods, anything that is no
refusal. `of_another` is what it answers about an object that is another client's, where that differs.

A path's parameters stand for the objects that the test makes, by name; one that it does not know is
filled with a made-up value, so that the row needs `answer=404`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from service.leads.handling import BOOKING_LINK, QUOTE_LINK, STATUS_LINK, WELCOME_LINK


class Caller(StrEnum):
    """Everybody who may try."""

    STRANGER = "a stranger"
    OWN_LINK = "a client with their own link"
    OTHER_LINK = "a client with a link to something else"
    WEBSITE = "the website's key"
    BOT = "the bot's key"
    WORKER = "a worker's key"
    OWNER_KEY = "the owner's key"
    HELPER = "a helper"
    OWNER = "the owner"
    STALE = "the owner with an old form"


class Outcome(StrEnum):
    """What a caller gets."""

    IN = "let in"
    UNAUTHORIZED = "401"
    FORBIDDEN = "403"
    NOT_FOUND = "404"
    SIGN_IN = "asked to sign in"


KEYS = (Caller.WEBSITE, Caller.BOT, Caller.WORKER, Caller.OWNER_KEY)
SESSIONS = (Caller.HELPER, Caller.OWNER, Caller.STALE)


@dataclass(frozen=True, kw_only=True)
class Placement:
    """What each caller gets. `purpose` is of the link that a path's token is."""

    outcomes: Mapping[Caller, Outcome]
    purpose: str | None = None
    query: str = ""
    answer: int | None = None
    of_another: Outcome | None = None

    def answers(self, answer: int) -> "Placement":
        """Whoever is let in gets this."""
        return replace(self, answer=answer)

    def asks(self, query: str) -> "Placement":
        """The address needs this query."""
        return replace(self, query=query)

    def another(self, outcome: Outcome) -> "Placement":
        """Whoever is let in gets this about what is another's."""
        return replace(self, of_another=outcome)


def _all(outcome: Outcome, **others: Outcome) -> Mapping[Caller, Outcome]:
    return {each: others.get(each.name, outcome) for each in Caller}


OPEN = Placement(outcomes=_all(Outcome.IN))

OWNERS = Placement(
    outcomes=_all(
        Outcome.SIGN_IN, HELPER=Outcome.FORBIDDEN, OWNER=Outcome.IN, STALE=Outcome.FORBIDDEN
    )
)
"""The owner's alone, by a form of the session's where something changes."""

EVERYONES = Placement(
    outcomes=_all(Outcome.SIGN_IN, HELPER=Outcome.IN, OWNER=Outcome.IN, STALE=Outcome.FORBIDDEN)
)
"""For everybody who is signed in."""


def keys(*allowed: Caller) -> Placement:
    """For those API keys; other keys are known and refused, everybody else has none."""
    refused = dict.fromkeys(KEYS, Outcome.FORBIDDEN)
    let_in = dict.fromkeys(allowed, Outcome.IN)
    return Placement(outcomes={**_all(Outcome.UNAUTHORIZED), **refused, **let_in})


def link(purpose: str) -> Placement:
    """Opened by a link for that purpose alone; keys and sessions open nothing."""
    return Placement(outcomes=_all(Outcome.NOT_FOUND, OWN_LINK=Outcome.IN), purpose=purpose)


ANY_KEY = keys(*KEYS)
OWNER_KEY = keys(Caller.OWNER_KEY)
BOT_KEY = keys(Caller.BOT)
WORKER_KEY = keys(Caller.WORKER)

ROUTES: dict[tuple[str, str], Placement] = {
    # Anybody's
    ("GET", "/"): OPEN,
    ("GET", "/healthz"): OPEN,
    ("GET", "/readyz"): OPEN,
    ("GET", "/metrics"): OPEN,
    ("GET", "/openapi.json"): OPEN,
    ("GET", "/docs"): OPEN,
    ("GET", "/docs/oauth2-redirect"): OPEN,
    ("GET", "/form"): OPEN,
    ("POST", "/form"): OPEN,
    ("GET", "/form/embed.js"): OPEN,
    # What clients' links open
    ("GET", "/quotes/{token}"): link(QUOTE_LINK),
    ("GET", "/requests/{token}"): link(STATUS_LINK),
    ("GET", "/bookings/{token}"): link(BOOKING_LINK),
    ("POST", "/bookings/{token}"): link(BOOKING_LINK),
    ("GET", "/v1/quotes/{token}"): link(QUOTE_LINK),
    ("GET", "/v1/bookings/{token}/windows"): link(BOOKING_LINK),
    ("POST", "/v1/bookings/{token}/holds"): link(BOOKING_LINK),
    # The API
    ("POST", "/v1/estimates"): ANY_KEY,
    ("POST", "/v1/estimates/explanation"): keys(Caller.BOT, Caller.WORKER, Caller.OWNER_KEY),
    ("POST", "/v1/options"): ANY_KEY,
    ("GET", "/v1/shop"): ANY_KEY,
    ("GET", "/v1/places/nearest"): BOT_KEY.asks("latitude=42.36&longitude=-71.18"),
    ("POST", "/v1/leads"): keys(Caller.BOT, Caller.WEBSITE, Caller.OWNER_KEY),
    ("GET", "/v1/leads"): OWNER_KEY,
    ("GET", "/v1/leads/{lead_id}"): ANY_KEY,
    ("POST", "/v1/leads/{lead_id}/quotes"): WORKER_KEY,
    ("POST", "/v1/leads/{lead_id}/reviews"): WORKER_KEY,
    ("POST", "/v1/leads/{lead_id}/decisions"): OWNER_KEY,
    ("POST", "/v1/inbox"): BOT_KEY,
    ("GET", "/v1/inbox"): BOT_KEY.asks("channel=webchat"),
    ("GET", "/v1/conversations/{channel}/{chat_id}"): BOT_KEY,
    ("POST", "/v1/conversations/{channel}/{chat_id}/turns"): BOT_KEY,
    ("GET", "/v1/conversations/{channel}/{chat_id}/messages"): BOT_KEY,
    ("PUT", "/v1/photos/{photo_id}"): BOT_KEY,
    ("GET", "/v1/photos/{photo_id}"): BOT_KEY.asks("channel=webchat&chat_id=own").another(
        Outcome.NOT_FOUND
    ),
    ("POST", "/v1/owner/pairings"): BOT_KEY,
    ("GET", "/v1/owner/chats"): BOT_KEY,
    # The test's chats are clients': the bot may ask, and hears that they are not the owner's.
    ("GET", "/v1/owner/chats/{channel}/{chat_id}/waiting"): BOT_KEY.answers(403),
    ("GET", "/v1/owner/chats/{channel}/{chat_id}/today"): BOT_KEY.answers(403),
    ("POST", "/v1/owner/chats/{channel}/{chat_id}/decisions"): BOT_KEY,
    ("POST", "/v1/steps/{step_id}/lease"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/sending"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/done"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/failures"): WORKER_KEY,
    ("POST", "/v1/steps/{step_id}/again"): OWNER_KEY,
    ("GET", "/v1/messages/{message_id}"): WORKER_KEY,
    ("POST", "/v1/outbox/sweep"): WORKER_KEY,
    ("GET", "/v1/people"): OWNER_KEY,
    ("POST", "/v1/people"): OWNER_KEY,
    ("POST", "/v1/people/{person_id}/invitations"): OWNER_KEY,
    ("POST", "/v1/people/{person_id}/end"): OWNER_KEY,
    ("GET", "/v1/jobs"): OWNER_KEY,
    ("GET", "/v1/jobs/{hold_id}"): OWNER_KEY,
    # Signing in
    ("GET", "/desk/sign-in"): OPEN,
    # Without the page's own token nobody is let in, whoever they are.
    ("POST", "/desk/sign-in"): OPEN.answers(403),
    ("GET", "/desk/welcome/{token}"): link(WELCOME_LINK),
    ("POST", "/desk/welcome/{token}"): link(WELCOME_LINK).answers(422),
    ("POST", "/desk/sign-out"): EVERYONES,
    # The desk
    ("GET", "/desk"): OWNERS,
    ("POST", "/desk/steps/{step_id}/again"): OWNERS,
    ("GET", "/desk/leads/{lead_id}"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/send"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/price"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/decline"): OWNERS,
    ("POST", "/desk/leads/{lead_id}/deposit"): OWNERS,
    ("GET", "/desk/conversations/{number}"): OWNERS,
    ("GET", "/desk/conversations/{channel}/{chat_id}"): OWNERS,
    ("POST", "/desk/conversations/{channel}/{chat_id}/answer"): OWNERS,
    ("POST", "/desk/conversations/{channel}/{chat_id}/settle"): OWNERS,
    ("GET", "/desk/photos/{photo_id}"): OWNERS,
    ("GET", "/desk/telegram"): OWNERS,
    ("POST", "/desk/telegram/invitation"): OWNERS,
    ("POST", "/desk/telegram/unpair"): OWNERS,
    ("GET", "/desk/more"): OWNERS,
    ("GET", "/desk/account"): EVERYONES,
    ("POST", "/desk/account/sessions/{key}/end"): EVERYONES,
    ("POST", "/desk/account/sign-out-everywhere"): EVERYONES,
    ("POST", "/desk/account/password"): EVERYONES,
    ("GET", "/desk/people"): OWNERS,
    ("POST", "/desk/people"): OWNERS,
    ("POST", "/desk/people/{person_id}/invitation"): OWNERS,
    ("POST", "/desk/people/{person_id}/end"): OWNERS,
    ("GET", "/desk/jobs"): EVERYONES,
    ("GET", "/desk/jobs/{hold_id}"): EVERYONES,
}

UNPLACED = frozenset({"/v1", "/v1/{rest:path}"})
"""What answers every other address under /v1, by any method: nothing is there."""

FILES = frozenset({"/static", "/static-offline-docs"})
"""Mounted folders of files that are anybody's."""
