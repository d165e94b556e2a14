"""How fast visitors of the web chat may go on, counted for all bot processes together."""

from datetime import timedelta

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import visits as wire
from service.leads import limits
from service.leads.ports import Ports

router = APIRouter(tags=["conversations"], dependencies=[Depends(allow(Role.BOT))])

_CHANNEL = "webchat"


@router.post("/visits")
def count_visit(visit: wire.Visit, ports: Given) -> wire.Wait:
    """Count what a visitor of the web chat is about to do, and say for how long it should wait.

    By the chat, and by where the visitor is: whoever throws the chat's cookie away is no other.
    """
    bounds = _BOUNDS[visit.brings]
    counted = [(bounds[0], visit.chat_id), (bounds[1], visit.visitor)]
    is_new = _is_new(ports, visit.chat_id)
    if is_new:
        counted += [
            (limits.NEW_CHATS, visit.visitor),
            (limits.NEW_CHATS_IN_ALL, limits.EVERYBODY),
        ]
    for limit, who in counted:
        wait = limits.wait_for(ports.limits, limit, who)
        if wait:
            return _seconds(wait)
    if is_new:
        limits.wait_for(ports.limits, limits.ONE_CHAT, visit.chat_id)
    return _seconds(timedelta(0))


def _is_new(ports: Ports, chat_id: str) -> bool:
    """Whether nothing is kept of the chat yet, and it was not counted as new before."""
    with ports.read() as work:
        if work.chats.attention(_CHANNEL, chat_id).conversation_id is not None:
            return False
    return not limits.is_used_up(ports.limits, limits.ONE_CHAT, chat_id)


def _seconds(wait: timedelta) -> wire.Wait:
    return wire.Wait(seconds=wait.total_seconds())


_BOUNDS = {
    "update": (limits.CHAT_UPDATES, limits.UPDATES),
    "photo": (limits.CHAT_PHOTOS, limits.PHOTOS),
}
