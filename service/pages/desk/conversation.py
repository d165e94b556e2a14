"""One conversation at the desk: everything that was said, and the owner's own answer."""

import re
from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response

from service.leads import stuck, talking, words
from service.leads.lead import Lead, NotFound, StaleDecision
from service.leads.owner_words import CHANNELS, summary_of
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.chat import Chat
from service.pages.desk.stuck_rows import row_of_stuck
from service.pages.desk.wording import READ_BY, state_of
from service.pages.newer import newer_than
from service.pages.posted import Posted, Sent, too_long
from service.pages.visit import Instead, go_to

router = APIRouter()

_LONGEST = 2000

ANSWERED = "Your words are on their way to the client."
_STALE = "Look at the latest words, then press the button once more if it still fits."


def _chat(channel: str, chat_id: str, desk: SignedIn) -> Chat:
    # What no channel gives out is not looked up: PostgreSQL takes no NUL, for one.
    if channel not in CHANNELS or not re.fullmatch(r"[\w.-]{1,128}", chat_id):
        raise Instead(_nowhere(desk))
    return Chat(channel=channel, chat_id=chat_id)


Named = Annotated[Chat, Depends(_chat)]


@router.get("/conversations/{number}")
def numbered(number: str, desk: SignedIn) -> Response:
    """The conversation of that number, as it is called outside of the desk."""
    if not re.fullmatch(r"[0-9]{1,9}", number):
        return _nowhere(desk)
    try:
        with desk.visit.ports.read() as work:
            channel, chat_id = work.chats.chat_of(int(number))
    except NotFound:
        return _nowhere(desk)
    return go_to(Chat(channel=channel, chat_id=chat_id).path)


@router.get("/conversations/{channel}/{chat_id}")
def conversation_page(chat: Named, desk: SignedIn, done: str = "") -> Response:
    """The conversation. `done` says that the owner has just answered."""
    return _page(desk, chat, notice=ANSWERED if done == "answered" else None)


@router.post("/conversations/{channel}/{chat_id}/answer")
def answer(chat: Named, desk: Confirmed, sent: Sent) -> Response:
    """The owner's own words to the client."""
    text, now = sent.text("answer"), desk.visit.now
    fault = _fault(text)
    if fault:
        return _page(
            desk,
            chat,
            entered=text,
            faults={"answer": fault},
            status=HTTPStatus.UNPROCESSABLE_ENTITY,
        )
    return _done(
        desk,
        chat,
        sent,
        lambda work, seen: talking.answer_as_owner(
            work, chat.channel, chat.chat_id, text, seen=seen, now=now
        ),
        then=chat.path,
        done="?done=answered",
    )


@router.post("/conversations/{channel}/{chat_id}/settle")
def settle(chat: Named, desk: Confirmed, sent: Sent) -> Response:
    """There is nothing to answer."""
    return _done(
        desk,
        chat,
        sent,
        lambda work, seen: talking.settle(work, chat.channel, chat.chat_id, seen=seen),
        then="/desk",
    )


def talk_of(desk: Desk, work: UnitOfWork, chat: Chat) -> dict[str, Any]:
    """What templates need to show a conversation with the form under it."""
    attention = work.chats.attention(chat.channel, chat.chat_id)
    since = attention.calls_since
    return {
        "chat": chat,
        "said": work.chats.messages(chat.channel, chat.chat_id),
        "seen": attention.last_seq,
        "calls_since": since and words.moment(since.astimezone(desk.visit.zone)),
        "read_by": READ_BY[chat.channel],
        "longest": _LONGEST,
        "zone": desk.visit.zone,
    }


def _name(leads: list[Lead]) -> str:
    return next((lead.client.name for lead in leads if lead.client.name), "A client")


def _fault(text: str) -> str | None:
    if not text:
        return "Write a few words first, or press “Nothing to answer”."
    return too_long(text, _LONGEST)


def _done(
    desk: Desk,
    chat: Chat,
    sent: Posted,
    act: Callable[[UnitOfWork, int], object],
    *,
    then: str,
    done: str = "",
) -> Response:
    try:
        with desk.visit.ports.work() as work:
            leads = _leads(desk, work, chat)
            act(work, _seen(sent))
            work.commit()
    except StaleDecision as error:
        return _page(
            desk,
            chat,
            entered=sent.text("answer"),
            trouble=f"{error} {_STALE}",
            status=HTTPStatus.CONFLICT,
        )
    # The same form stands on the pages of this conversation's requests.
    asked = [lead.id for lead in leads if lead.id == sent.text("lead")]
    return go_to((f"/desk/leads/{asked[0]}" if asked else then) + done)


def _seen(sent: Posted) -> int:
    seen = sent.text("seen")
    return int(seen) if re.fullmatch(r"[0-9]{1,9}", seen) else 0


def _leads(desk: Desk, work: UnitOfWork, chat: Chat) -> list[Lead]:
    """The conversation's requests; a page instead where there is no such conversation."""
    leads = work.leads.of_chat(chat.channel, chat.chat_id)
    if not leads and not work.chats.attention(chat.channel, chat.chat_id).last_seq:
        raise Instead(_nowhere(desk))
    return leads


def _nowhere(desk: Desk) -> Response:
    return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such conversation")


def _page(
    desk: Desk,
    chat: Chat,
    *,
    notice: str | None = None,
    trouble: str | None = None,
    entered: str = "",
    faults: Mapping[str, str] | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    ports = desk.visit.ports
    with ports.read() as work:
        leads = _leads(desk, work, chat)
        return desk.show(
            "desk/conversation.html",
            status=status,
            who=_name(leads),
            channel=CHANNELS[chat.channel],
            leads=[
                (lead, state_of(lead, newer_than(work, ports, lead)), summary_of(lead.brief))
                for lead in leads
            ],
            stuck=[row_of_stuck(each) for each in stuck.of_chat(work, chat.channel, chat.chat_id)],
            notice=notice,
            trouble=trouble,
            entered=entered,
            faults=faults or {},
            **talk_of(desk, work, chat),
        )
