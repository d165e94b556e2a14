"""From requests of the chat page to what the dialogue takes in."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, StringConstraints, ValidationError
from starlette.requests import Request

from bot.dialogue.messages import Incoming
from bot.webchat.problems import Refusal

TEXT_MOST = 4000
# A character takes up to 12 bytes in JSON (a surrogate pair, escaped); the rest is room for the
# other fields.
_BODY_MOST = TEXT_MOST * 12 + 4096
_BUTTON_MOST_BYTES = 64

UpdateId = Annotated[str, StringConstraints(pattern=r"^[\w-]{1,64}$")]


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """What a client did. `update_id` is the client's own and tells its updates apart."""

    update_id: str
    incoming: Incoming


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid")

    update_id: UpdateId
    kind: Literal["text", "button", "start"]
    text: str = ""
    label: Annotated[str, StringConstraints(max_length=200)] | None = None


async def read(request: Request) -> Arrival:
    """The update in a request. Raises `Refusal` with what to do about each fault."""
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise Refusal(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "Send JSON, as application/json.")
    try:
        body = _Body.model_validate_json(await _bounded(request))
    except ValidationError as error:
        raise _unreadable(error) from None
    _check_text(body)
    return Arrival(
        update_id=body.update_id,
        incoming=Incoming(
            kind=body.kind, text=body.text, label=body.label, locale=_locale(request)
        ),
    )


async def _bounded(request: Request) -> bytes:
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > _BODY_MOST:
            raise _too_long("more than that")
    return bytes(body)


def _check_text(body: _Body) -> None:
    if len(body.text) > TEXT_MOST:
        raise _too_long(f"{len(body.text):,}")
    if body.kind != "start" and not body.text.strip():
        detail = "The message is empty. Please write a few words about your event."
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, faults=[("text", "is empty")])
    if body.kind == "button" and len(body.text.encode()) > _BUTTON_MOST_BYTES:
        detail = "That is no button of this chat. Send it as text instead."
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, faults=[("text", "is too long")])


def _too_long(length: str) -> Refusal:
    return Refusal(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        f"A message can have {TEXT_MOST:,} characters; this one has {length}. "
        "Please send it in parts.",
        faults=[("text", f"is longer than {TEXT_MOST:,} characters")],
    )


def _unreadable(error: ValidationError) -> Refusal:
    faults = [
        (".".join(str(part) for part in one["loc"]) or "body", one["msg"])
        for one in error.errors(include_url=False, include_input=False, include_context=False)
    ]
    named = "; ".join(f"{field}: {message}" for field, message in faults)
    return Refusal(
        HTTPStatus.UNPROCESSABLE_ENTITY, f"The update cannot be read. {named}", faults=faults
    )


def _locale(request: Request) -> str | None:
    preferred = request.headers.get("accept-language", "").split(",")[0].split(";")[0].strip()
    return preferred[:35] or None
