"""Where a request comes from, as far as counting needs it."""

import hashlib
import ipaddress

from starlette.requests import Request


def visitor_of(request: Request) -> str | None:
    """A digest that stands for the visitor's network; None for this machine itself.

    From there speaks a proxy that does not say for whom, and all visitors would count as one.
    """
    address = request.client.host if request.client else ""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return _digest(address)
    if parsed.is_loopback:
        return None
    if parsed.version == 6 and parsed.ipv4_mapped is None:
        # One connection has as many addresses as it likes.
        return _digest(str(ipaddress.ip_network((parsed, 64), strict=False)))
    return _digest(str(parsed))


def _digest(network: str) -> str:
    return hashlib.sha256(network.encode()).hexdigest()[:32]
