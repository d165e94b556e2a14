"""What may become of a request: who asks, and what they get, for a table of all routes."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum


class Caller(StrEnum):
    """Everybody who may try."""

    STRANGER = "a stranger"
    OWN_LINK = "a client with their own link"
    OTHER_LINK = "a client with a link to something else"
    WEBSITE = "the website's key"
    BOT = "the bot's key"
    WORKER = "a worker's key"
    OWNER_KEY = "the owner's key"
    METRICS = "the key for figures"
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


KEYS = (Caller.WEBSITE, Caller.BOT, Caller.WORKER, Caller.OWNER_KEY, Caller.METRICS)
SESSIONS = (Caller.HELPER, Caller.OWNER, Caller.STALE)


@dataclass(frozen=True, kw_only=True)
class Placement:
    """What each caller gets; `purpose` is of the link that a path's token is.

    Whoever is let in gets 200 to a GET, or is led on; to anything else, sent with an empty body,
    all that is no refusal. The other fields say where that is different.
    """

    outcomes: Mapping[Caller, Outcome]
    purpose: str | None = None
    query: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    body: Mapping[str, object] = field(default_factory=dict)
    answer: int | None = None
    of_another: Outcome | None = None

    def answers(self, answer: int) -> "Placement":
        """Whoever is let in gets this."""
        return replace(self, answer=answer)

    def naming(self, **names: str) -> "Placement":
        """What the path's parameters are; one of the test's objects in braces."""
        return replace(self, names=names)

    def asks(self, query: str) -> "Placement":
        """The address needs this query."""
        return replace(self, query=query)

    def sends(self, **body: object) -> "Placement":
        """What is sent is read before anything else, and has to be this."""
        return replace(self, body=body)

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


def keys(*allowed: Caller, nothing_to: Caller | None = None) -> Placement:
    """For those API keys; other keys are known and refused, everybody else has none.

    To `nothing_to` it is as if there were no such thing.
    """
    refused = dict.fromkeys(KEYS, Outcome.FORBIDDEN)
    let_in = dict.fromkeys(allowed, Outcome.IN)
    hidden = {nothing_to: Outcome.NOT_FOUND} if nothing_to else {}
    return Placement(outcomes={**_all(Outcome.UNAUTHORIZED), **refused, **let_in, **hidden})


def link(purpose: str) -> Placement:
    """Opened by a link for that purpose alone; keys and sessions open nothing."""
    return Placement(outcomes=_all(Outcome.NOT_FOUND, OWN_LINK=Outcome.IN), purpose=purpose)
