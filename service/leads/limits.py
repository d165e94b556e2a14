"""How often somebody may do something: room for people in a hurry, none for a program that floods.

Counted for all processes together; a look at the price costs nobody anything, so that these are far
above what anybody does by hand.
"""

import ipaddress
import math
from dataclasses import dataclass
from datetime import timedelta

from service.leads.ports import RateLimit

_MINUTE, _HOUR = timedelta(minutes=1), timedelta(hours=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Limit:
    """At most `most` of `what` in any `per`, for each that is counted."""

    what: str
    most: int
    per: timedelta


# By the website's key, which anybody can read in a page's source: from each address, and in all.
LEADS = Limit(what="leads", most=30, per=_HOUR)
LEADS_IN_ALL = Limit(what="leads in all", most=1000, per=_HOUR)
ESTIMATES = Limit(what="estimates", most=300, per=5 * _MINUTE)
ESTIMATES_IN_ALL = Limit(what="estimates in all", most=6000, per=5 * _MINUTE)

# The website's form, from each address. A family that asks for three parties, mistypes and
# corrects, stays well below.
FORMS = Limit(what="form", most=12, per=_HOUR)
FORMS_IN_ALL = Limit(what="forms in all", most=1000, per=_HOUR)

# By each client's link.
PICTURES = Limit(what="pictures", most=240, per=10 * _MINUTE)
PAPERS = Limit(what="papers", most=60, per=10 * _MINUTE)
WINDOWS = Limit(what="windows", most=240, per=10 * _MINUTE)
HOLDS = Limit(what="holds", most=30, per=_HOUR)

# In the web chat: by each chat, and from each address, where a school may sit.
CHAT_UPDATES = Limit(what="updates of a chat", most=150, per=_MINUTE)
CHAT_PHOTOS = Limit(what="photos of a chat", most=40, per=_HOUR)
UPDATES = Limit(what="updates", most=1200, per=10 * _MINUTE)
PHOTOS = Limit(what="photos", most=120, per=_HOUR)
NEW_CHATS = Limit(what="new chats", most=60, per=_HOUR)
NEW_CHATS_IN_ALL = Limit(what="new chats in all", most=1000, per=_HOUR)
# A chat that has been counted as new is not counted again before anything of it is stored.
ONE_CHAT = Limit(what="one chat", most=1, per=_HOUR)

EVERYBODY = "everybody"
"""Who is counted for all together."""

MOST_PHOTOS = 100
"""A conversation holds so many photos."""


class TooOften(Exception):
    """Too much of it; after `wait` there is room again."""

    def __init__(self, wait: timedelta) -> None:
        super().__init__("That's a lot of requests just now. Send this one again later.")
        self.wait = wait

    @property
    def retry_after(self) -> str:
        """The seconds to wait, as the header says them."""
        return str(math.ceil(self.wait.total_seconds()))


def wait_for(limits: RateLimit, limit: Limit, who: str) -> timedelta:
    """Count one; zero, or how long to wait."""
    return limits.wait(limit.what, who, most=limit.most, per=limit.per)


def is_used_up(limits: RateLimit, limit: Limit, who: str) -> bool:
    """Whether one more would have to wait; nothing is counted."""
    return limits.is_used_up(limit.what, who, most=limit.most, per=limit.per)


def keep_to(limits: RateLimit, limit: Limit, who: str) -> None:
    """Count one. Raises TooOften."""
    wait = wait_for(limits, limit, who)
    if wait:
        raise TooOften(wait)


def network_of(address: str) -> str:
    """Who sits at an address: of the newer kind, the network that one connection has."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address[:50]
    if parsed.version == 6 and parsed.ipv4_mapped is None:
        return str(ipaddress.ip_network((parsed, 64), strict=False))
    return str(parsed)
