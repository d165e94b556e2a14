"""The bot's door to the service: dialogue values on this side, the wire on the other.

`ServiceUnavailable` leaves every call that got no answer: the update stays in the inbox and is
taken again later.
"""

from bot.gateway.gateway import Gateway
from bot.gateway.values import (
    LeadRefused,
    Pending,
    Picture,
    Received,
    Shown,
    Standing,
    TurnConflict,
)
from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from service.contract.direct import Direct
from service.contract.estimate import Channel

__all__ = [
    "Channel",
    "Direct",
    "Gateway",
    "LeadRefused",
    "Pending",
    "Picture",
    "Received",
    "ServiceClient",
    "ServiceRefused",
    "ServiceUnavailable",
    "Shown",
    "Standing",
    "TurnConflict",
]
