"""Photos that clients send, kept with their conversation."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract.estimate import Channel, Problem
from service.contract.talk import PHOTO_ID
from service.leads.lead import NotFound
from service.leads.ports import Ports

router = APIRouter(
    prefix="/photos", tags=["conversations"], dependencies=[Depends(allow(Role.BOT))]
)

_JPEG = "image/jpeg"
_BYTES = {"type": "string", "format": "binary"}
_BEGINS = b"\xff\xd8\xff"

PhotoId = Annotated[str, Path(pattern=PHOTO_ID)]
ChatId = Annotated[str, Query(max_length=128, pattern=r"^[\w.-]+$")]


@router.put(
    "/{photo_id}",
    status_code=HTTPStatus.NO_CONTENT,
    openapi_extra={"requestBody": {"required": True, "content": {_JPEG: {"schema": _BYTES}}}},
    responses={
        409: {
            "model": Problem,
            "description": "The name stands for another chat's photo, or the chat has enough.",
        },
        413: {"model": Problem, "description": "More than 2 MB."},
        415: {"model": Problem, "description": "Not a JPEG."},
    },
)
async def keep(
    photo_id: PhotoId, channel: Channel, chat_id: ChatId, request: Request, ports: Given
) -> None:
    """Keep a photo of a conversation. The same name again changes nothing."""
    jpeg = await request.body()
    if request.headers.get("content-type") != _JPEG or not jpeg.startswith(_BEGINS):
        raise Refusal(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "Send a JPEG, as image/jpeg.")
    await run_in_threadpool(_keep, ports, photo_id, channel, chat_id, jpeg)


def _keep(ports: Ports, photo_id: str, channel: str, chat_id: str, jpeg: bytes) -> None:
    with ports.work() as work:
        work.chats.keep_photo(photo_id, channel, chat_id, jpeg, now=ports.clock())
        work.commit()


@router.get(
    "/{photo_id}",
    response_class=Response,
    responses={
        200: {"content": {_JPEG: {}}},
        404: {"model": Problem, "description": "This conversation has no such photo."},
    },
)
def read(photo_id: PhotoId, channel: Channel, chat_id: ChatId, ports: Given) -> Response:
    """A photo of a conversation."""
    with ports.read() as work:
        photo = work.chats.photo(photo_id)
    if photo is None or (photo.channel, photo.chat_id) != (channel, chat_id):
        raise NotFound("This conversation has no such photo.")
    return Response(photo.jpeg, media_type=_JPEG)
