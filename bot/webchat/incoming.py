"""From requests of the chat page to what the dialogue takes in."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, StringConstraints, ValidationError
from starlette.requests import Request

from bot.dialogue.messages import Incoming
from bot.dialogue.phrases import Phrases
from bot.webchat.bodies import TooLarge, TooSlow, body_of
from bot.webchat.problems import Refusal

TEXT_MOST = 4000
#: Of the campaign that brought the visitor.
SOURCE_MOST = 64
PHOTO_ID = r"[A-Za-z0-9_-]{1,64}"

# A character takes up to 12 bytes in JSON (a surrogate pair, escaped); the rest is room for the
# other fields.
_BODY_MOST = TEXT_MOST * 12 + 4096
_BODY_WITHIN_S = 20.0
_BUTTON_MOST_BYTES = 64
# A campaign comes from an address that anybody may write; what pairs an owner never does.
_PAIRS_OWNER = "owner-"

UpdateId = Annotated[str, StringConstraints(pattern=r"^[\w-]{1,64}$")]


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """What a client did. `update_id` is the client's own and tells its updates apart."""

    update_id: str
    incoming: Incoming


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid")

    update_id: UpdateId
    kind: Literal["text", "button", "start", "photo"]
    text: str = ""
    label: Annotated[str, StringConstraints(max_length=200)] | None = None
    message_ref: Annotated[str, StringConstraints(pattern=r"^\d{1,18}$")] | None = None
    photo: Annotated[str, StringConstraints(pattern=rf"^{PHOTO_ID}$")] | None = None


async def read(request: Request, phrases: Phrases) -> Arrival:
    """The update in a request. Raises `Refusal` with what to do about each fault."""
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise Refusal(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "Send JSON, as application/json.")
    try:
        sent = await body_of(request, most=_BODY_MOST, within_s=_BODY_WITHIN_S)
        body = _Body.model_validate_json(sent)
    except TooLarge:
        raise _too_long(phrases) from None
    except TooSlow:
        raise too_slow(phrases) from None
    except ValidationError as error:
        raise _unreadable(error) from None
    _check_text(body, phrases)
    return Arrival(update_id=body.update_id, incoming=_incoming(body, request))


def too_slow(phrases: Phrases) -> Refusal:
    """The refusal of what did not arrive in time."""
    return Refusal(HTTPStatus.REQUEST_TIMEOUT, phrases.say("page.problem.too_slow"))


def _incoming(body: _Body, request: Request) -> Incoming:
    text = body.text
    if body.kind == "start" and text.startswith(_PAIRS_OWNER):
        text = ""
    return Incoming(
        kind=body.kind,
        text=text,
        label=body.label,
        locale=_locale(request),
        message_ref=body.message_ref,
        photo=body.photo,
    )


def _check_text(body: _Body, phrases: Phrases) -> None:
    if len(body.text) > TEXT_MOST:
        raise _too_long(phrases)
    if body.kind in ("text", "button") and not body.text.strip():
        raise _at_fault(phrases.say("page.problem.empty"), "text", "is empty")
    if body.kind == "button" and len(body.text.encode()) > _BUTTON_MOST_BYTES:
        raise _at_fault(phrases.say("page.problem.button"), "text", "is too long")
    if body.kind == "start" and len(body.text) > SOURCE_MOST:
        raise _at_fault(f"A source has {SOURCE_MOST} characters at most.", "text", "is too long")
    if (body.kind == "photo") != (body.photo is not None):
        raise _at_fault("A photo, and only a photo, names its photo.", "photo", "does not fit")


def _at_fault(detail: str, field: str, fault: str) -> Refusal:
    return Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, faults=[(field, fault)])


def _too_long(phrases: Phrases) -> Refusal:
    most = f"{TEXT_MOST:,}"
    return Refusal(
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        phrases.say("page.problem.too_long", most=most),
        faults=[("text", f"is longer than {most} characters")],
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
    """The page puts its own language first of what its browser asks for."""
    preferred = request.headers.get("accept-language", "").split(",")[0].split(";")[0].strip()
    return preferred[:35] or None
