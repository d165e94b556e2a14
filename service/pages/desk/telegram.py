"""Connecting the owner's own Telegram with the shop, and taking that back."""

from dataclasses import dataclass

from fastapi import APIRouter, Response

from service.leads import owning, words
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter()


@dataclass(frozen=True, kw_only=True, slots=True)
class Invitation:
    """How to connect: a link where the bot's name is known, and the words to send to it."""

    link: str | None
    words: str


@router.get("/telegram")
def telegram_page(desk: SignedIn) -> Response:
    """Which chats are connected."""
    return _page(desk)


@router.post("/telegram/invitation")
def invite(desk: Confirmed) -> Response:
    """A fresh invitation, good once and for a quarter of an hour."""
    with desk.visit.ports.work() as work:
        token = owning.open_pairing(work, now=desk.visit.now)
        work.commit()
    payload = f"{owning.PAYLOAD}{token}"
    bot = desk.visit.ports.telegram_bot
    link = f"https://t.me/{bot}?start={payload}" if bot else None
    return _page(desk, Invitation(link=link, words=f"/start {payload}"))


@router.post("/telegram/unpair")
def unpair(desk: Confirmed, sent: Sent) -> Response:
    """Nothing is told in this chat any more, and nothing can be decided there."""
    with desk.visit.ports.work() as work:
        work.owner_chats.unpair("telegram", sent.text("chat_id"))
        work.commit()
    return go_to("/desk/telegram")


def _page(desk: Desk, invitation: Invitation | None = None) -> Response:
    with desk.visit.ports.read() as work:
        chats = work.owner_chats.every()
    zone = desk.visit.zone
    return desk.show(
        "desk/telegram.html",
        chats=[(chat, words.moment(chat.paired_at.astimezone(zone))) for chat in chats],
        invitation=invitation,
        minutes=int(owning.PAIRING_LASTS.total_seconds() / 60),
        digest_at=words.clock(desk.visit.book.calendar.digest_at),
    )
