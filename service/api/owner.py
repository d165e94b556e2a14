"""The owner's own chats, as the bot brings them: pairing, what waits, decisions."""

from dataclasses import replace
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Request, Response
from starlette.concurrency import run_in_threadpool

from service.api import views
from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.idempotency import DECLARED, attempt, once
from service.api.problems import Refusal
from service.contract import owner as wire
from service.contract import talk
from service.contract.estimate import Channel, Problem
from service.leads import owner_words, owning
from service.leads.lead import LeadError, NotPaired
from service.leads.messages import Message
from service.leads.plain import unturned
from service.leads.ports import UnitOfWork

router = APIRouter(prefix="/owner", tags=["owner"], dependencies=[Depends(allow(Role.BOT))])

ChatId = Annotated[str, Path(max_length=128, pattern=r"^[\w.-]+$")]

_STRANGER: dict[int | str, dict[str, object]] = {
    403: {"model": Problem, "description": "The chat is not the owner's."}
}


@router.post(
    "/pairings",
    status_code=HTTPStatus.NO_CONTENT,
    responses={
        404: {"model": Problem, "description": "The token was never made."},
        410: {"model": Problem, "description": "The token has been used, or its time is over."},
    },
)
def pair(body: wire.Pairing, ports: Given) -> None:
    """Make the chat that says the desk's token the owner's."""
    with ports.work() as work:
        owning.pair(
            work,
            ports,
            body.channel,
            body.chat_id,
            token=body.token,
            name=body.name,
            now=ports.clock(),
        )
        work.commit()


@router.get("/chats")
def chats(ports: Given) -> list[wire.OwnerChatId]:
    """The chats that are the owner's."""
    with ports.read() as work:
        return [wire.OwnerChatId.model_validate(chat) for chat in work.owner_chats.every()]


@router.get("/chats/{channel}/{chat_id}/waiting", responses=_STRANGER)
def waiting(channel: Channel, chat_id: ChatId, ports: Given) -> list[talk.OutgoingMessage]:
    """What waits for the owner, a message each."""
    with ports.read() as work:
        owning.refuse_strangers(work, channel, chat_id)
        return [_shown(message) for message in owning.waiting(work, ports)]


@router.get("/chats/{channel}/{chat_id}/today", responses=_STRANGER)
def today(channel: Channel, chat_id: ChatId, ports: Given) -> list[talk.OutgoingMessage]:
    """Set-ups of today and tomorrow, and holds that run out soon."""
    with ports.read() as work:
        owning.refuse_strangers(work, channel, chat_id)
        return [_shown(owning.today(work, ports, now=ports.clock()))]


def _shown(message: Message) -> talk.OutgoingMessage:
    """Clients' names and words are in it."""
    return views.message_to_wire(replace(message, text=unturned(message.text)))


@router.post(
    "/chats/{channel}/{chat_id}/decisions",
    status_code=HTTPStatus.NO_CONTENT,
    response_class=Response,
    responses=_STRANGER
    | {409: {"model": Problem, "description": "It cannot be done; the detail says why."}},
    openapi_extra=DECLARED,
)
async def decide(
    channel: Channel, chat_id: ChatId, body: wire.OwnerDecision, request: Request, ports: Given
) -> Response:
    """Carry out what the owner decided in the chat, once per Idempotency-Key."""
    this = await attempt(request, scope="owner")

    def act(work: UnitOfWork) -> tuple[int, str]:
        decision = owning.Decision(**dict(body))
        try:
            owning.decide(work, ports, channel, chat_id, decision, now=ports.clock())
        except NotPaired:
            raise
        except LeadError as error:
            raise Refusal(HTTPStatus.CONFLICT, owner_words.why_not(error)) from error
        return HTTPStatus.NO_CONTENT, ""

    return await run_in_threadpool(once, ports, this, act)
