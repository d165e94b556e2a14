"""What routes are handed: ports, today's date, the application's places."""

from datetime import date
from typing import Annotated
from zoneinfo import ZoneInfo

from fastapi import Depends, Request

from service.leads.ports import Ports


async def _ports(request: Request) -> Ports:
    ports: Ports = request.app.state.ports
    return ports


Given = Annotated[Ports, Depends(_ports)]


def today(ports: Ports) -> date:
    """The date at the shop."""
    zone = ZoneInfo(ports.price_books.current().shop.time_zone)
    return ports.clock().astimezone(zone).date()
