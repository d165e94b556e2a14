"""How often a visitor may ask by the website's key."""

from fastapi import Request
from starlette.concurrency import run_in_threadpool

from service.leads.limits import EVERYBODY, Limit, keep_to, network_of
from service.leads.ports import Ports


async def keep_visitor_to(request: Request, ports: Ports, each: Limit, in_all: Limit) -> None:
    """Count one for where it comes from and one for all together. Raises TooOften."""
    address = request.client.host if request.client else ""
    await run_in_threadpool(_keep, ports, network_of(address), each, in_all)


def _keep(ports: Ports, visitor: str, each: Limit, in_all: Limit) -> None:
    keep_to(ports.limits, each, visitor)
    keep_to(ports.limits, in_all, EVERYBODY)
