"""The inbox and the conversations behind the bot."""

from datetime import timedelta
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query, Request
from starlette.concurrency import run_in_threadpool

from service.api import views
from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import talk
from service.contract.estimate import Channel, Problem
from service.leads import talking
from service.leads.ports import Ports

router = APIRouter(tags=["conversations"], dependencies=[Depends(allow(Role.BOT))])

ChatId = Annotated[str, Path(max_length=128, pattern=r"^[\w.-]+$")]

_CONFLICT: dict[int | str, dict[str, object]] = {
    409: {"model": Problem, "description": "Another turn came first: read again and redo."}
}


@router.post("/inbox")
def receive(
    update: talk.Update, ports: Given, holder: talk.Holder | None = None
) -> talk.InboxReceipt:
    """Commit an incoming update. The same channel and update id is the same update.

    With `holder` its turn is about to be taken: the conversation is claimed, and told.
    """
    with ports.work() as work:
        row, duplicate = work.inbox.receive(
            update.channel,
            update.chat_id,
            update.update_id,
            update.model_dump(mode="json"),
            ports.clock(),
        )
        work.commit()
    receipt = talk.InboxReceipt(inbox_id=row.id, duplicate=duplicate, handled=row.handled)
    if holder is None or row.handled or row.chat_id != update.chat_id:
        return receipt
    claimed = _claimed(ports, update.channel, update.chat_id, holder)
    return receipt.model_copy(update={"conversation": claimed})


@router.get("/inbox")
def pending(
    ports: Given,
    channel: Channel,
    older_than_s: Annotated[float, Query(ge=0, le=86_400)] = 5.0,
) -> list[talk.PendingUpdate]:
    """Updates that were committed and never answered, oldest first."""
    before = ports.clock() - timedelta(seconds=older_than_s)
    with ports.read() as work:
        return [views.pending(row) for row in work.inbox.pending(channel, received_before=before)]


@router.get("/conversations/{channel}/{chat_id}")
def read_conversation(channel: Channel, chat_id: ChatId, ports: Given) -> talk.Conversation:
    """Where a conversation stands; version 0 and an empty state when it is new."""
    return _conversation(ports, channel, chat_id)


@router.post("/conversations/{channel}/{chat_id}/claim")
def claim(channel: Channel, chat_id: ChatId, claim: talk.Claim, ports: Given) -> talk.Conversation:
    """Claim the turns of a conversation for a few seconds, and read where it stands.

    Processes that keep to it do not work out the same turn twice. What decides is the version:
    a turn is stored without a claim, too.
    """
    return _claimed(ports, channel, chat_id, claim.holder)


@router.delete("/conversations/{channel}/{chat_id}/claim", status_code=HTTPStatus.NO_CONTENT)
def let_go(channel: Channel, chat_id: ChatId, holder: talk.Holder, ports: Given) -> None:
    """Leave the turns of a conversation to others."""
    ports.claims.let_go(channel, chat_id, holder)


def _claimed(ports: Ports, channel: Channel, chat_id: str, holder: str) -> talk.Conversation:
    mine = ports.claims.claim(channel, chat_id, holder)
    return _conversation(ports, channel, chat_id, held=not mine)


def _conversation(
    ports: Ports, channel: Channel, chat_id: str, *, held: bool = False
) -> talk.Conversation:
    with ports.read() as work:
        standing = work.chats.standing(channel, chat_id)
        waiting = work.inbox.pending_of(channel, chat_id)
    return talk.Conversation(
        channel=channel,
        chat_id=chat_id,
        version=standing.version,
        state=standing.state,
        pending=[views.pending(row) for row in waiting],
        held=held,
        owner_spoke=standing.owner_spoke,
        owner=standing.owner,
        under_review=standing.under_review,
        stopped=standing.stopped,
    )


@router.post("/conversations/{channel}/{chat_id}/turns", responses=_CONFLICT)
def take_turn(channel: Channel, chat_id: ChatId, turn: talk.Turn, ports: Given) -> talk.TurnReceipt:
    """Store a turn: new state and messages, together or not at all, once per update."""
    with ports.work() as work:
        applied = talking.take_turn(
            work,
            ports,
            channel,
            chat_id,
            inbox_id=turn.inbox_id,
            version=turn.version,
            state=turn.state,
            messages=[views.message_from_wire(message) for message in turn.messages],
            calls_owner=turn.calls_owner,
            photo_id=turn.photo_id,
            stops=turn.stops,
            now=ports.clock(),
        )
        version = turn.version + 1 if applied else work.chats.state(channel, chat_id)[0]
        work.commit()
    if turn.lets_go is not None:
        ports.claims.let_go(channel, chat_id, turn.lets_go)
    return talk.TurnReceipt(version=version, applied=applied)


@router.get("/conversations/{channel}/{chat_id}/messages")
async def read_messages(
    channel: Channel,
    chat_id: ChatId,
    ports: Given,
    request: Request,
    after: Annotated[int, Query(ge=0, lt=2**63)] = 0,
    wait_s: Annotated[float, Query(ge=0, le=60)] = 0.0,
) -> list[talk.ChatMessage]:
    """Messages beyond `after`; with `wait_s`, waits so long for the first to come."""
    deadline = ports.clock() + timedelta(seconds=wait_s)
    while True:
        with ports.watch.news(channel, chat_id) as news:
            found = await run_in_threadpool(_messages, ports, channel, chat_id, after)
            left = deadline - ports.clock()
            if found or left <= timedelta(0) or ports.watch.closing:
                return found
            await news.come(within=left)
        if await request.is_disconnected():
            return []  # pages come and go by the thousand: nobody reads for those that left


def _messages(ports: Ports, channel: str, chat_id: str, after: int) -> list[talk.ChatMessage]:
    with ports.read() as work:
        return [views.stored(m) for m in work.chats.messages(channel, chat_id, after=after)]
