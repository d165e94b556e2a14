"""What routes are handed: ports, today's date, the application's places."""

from datetime import date
from typing import Annotated

from fastapi import Depends, Request
from pydantic import Field

from service.contract import times
from service.leads.ports import Ports
from service.leads.shop_time import zone_of


async def _ports(request: Request) -> Ports:
    ports: Ports = request.app.state.ports
    return ports


Given = Annotated[Ports, Depends(_ports)]

# The calendar's ends cannot be moved between zones.
Day = Annotated[times.Day, Field(ge=date(2000, 1, 1), lt=date(3000, 1, 1))]


def today(ports: Ports) -> date:
    """The date at the shop."""
    zone = zone_of(ports.price_books.current())
    return ports.clock().astimezone(zone).date()
