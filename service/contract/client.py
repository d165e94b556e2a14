"""A typed client of the service, for bot and workers.

Every call that changes something is idempotent on the service's side (by update id,
idempotency key, version or fence), so a call whose answer was lost is simply made again.
"""

import asyncio
import re
from collections.abc import Mapping
from typing import Any, TypeVar
from urllib.parse import urlsplit

import httpx
from pydantic import BaseModel, TypeAdapter

from service.contract import tracing
from service.contract.brief import Brief
from service.contract.chores import Chore, PartDue
from service.contract.estimate import Problem
from service.contract.leads import (
    Lead,
    LeadReceipt,
    LeadRequest,
    Lease,
    Quoted,
    StepDone,
    StepFailure,
    Swept,
)
from service.contract.options import Option
from service.contract.owner import OwnerChatId, OwnerDecision, Pairing
from service.contract.place import Place
from service.contract.reminders import DueReminder, ReminderOutcome
from service.contract.shop import Shop
from service.contract.talk import (
    ChatMessage,
    Claim,
    Conversation,
    Delivery,
    InboxReceipt,
    OutgoingMessage,
    PendingUpdate,
    Turn,
    TurnReceipt,
    Update,
)
from service.contract.visits import Visit, Wait

_M = TypeVar("_M", bound=BaseModel)

# A local service answers in milliseconds; a lease lasts long enough for several of these.
_TIMEOUT = httpx.Timeout(5.0, connect=2.0)
# A document, or what to buy for a month of jobs, takes seconds.
_LONG_TIMEOUT = httpx.Timeout(30.0, connect=2.0)
_ALIVE_TIMEOUT_S = 1.0
_PAUSES_S = (0.1, 0.4, 1.2)

_PICTURE = re.compile(r"/quotes/[\w.-]+/picture\.(?:png|webp)")


class ServiceUnavailable(Exception):
    """The service did not answer, or answered that it cannot now. Try again later."""


class ServiceRefused(Exception):
    """The service understood and said no; `problem` tells why. Trying again changes nothing."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(f"{problem.status} {problem.title}")
        self.problem = problem


class ServiceClient:
    """Calls the service at `base_url` with one role's API key."""

    def __init__(
        self, base_url: str, api_key: str, *, transport: httpx.AsyncBaseTransport | None = None
    ) -> None:
        # Cookies, redirects and passwords, which a client of httpx looks after at each call, there
        # are none here: requests go to the transport as they are.
        self._transport = transport or httpx.AsyncHTTPTransport()
        self._base = base_url.rstrip("/")
        self._key = f"Bearer {api_key}"

    async def aclose(self) -> None:
        """Close the connections."""
        await self._transport.aclose()

    async def answers(self) -> bool:
        """Whether the service answers at all. Asks once."""
        try:
            answer = await self._ask("GET", "/healthz", timeout=httpx.Timeout(_ALIVE_TIMEOUT_S))
            return answer.status_code < 500
        except httpx.TransportError:
            return False

    async def shop(self) -> Shop:
        """The shop's card: name, time zone, colours."""
        return await self._get("/v1/shop", Shop)

    async def take_lead(self, request: LeadRequest, *, key: str) -> LeadReceipt:
        """Store a lead once per `key`."""
        headers = {"Idempotency-Key": f'"{key}"'}
        return await self._post("/v1/leads", request, LeadReceipt, headers=headers)

    async def lead(self, lead_id: str) -> Lead:
        """One lead, whole."""
        return await self._get(f"/v1/leads/{lead_id}", Lead)

    async def quote(self, step_id: str) -> Quoted:
        """Have a lead quoted, from the step's lease to its end. Refused with 409 as `lease` is."""
        return await self._post(f"/v1/steps/{step_id}/quote", None, Quoted)

    async def receive(self, update: Update, *, holder: str | None = None) -> InboxReceipt:
        """Commit an incoming update. Only afterwards may its channel be told that it arrived.

        A `holder` is about to take its turn: the conversation is claimed as by `claim`.
        """
        path = f"/v1/inbox?holder={holder}" if holder else "/v1/inbox"
        return await self._post(path, update, InboxReceipt)

    async def visit(self, visit: Visit) -> Wait:
        """Count what a visitor of the web chat is about to do."""
        return await self._post("/v1/visits", visit, Wait)

    async def pending(self, channel: str, *, older_than_s: float) -> list[PendingUpdate]:
        """Updates that were committed but never answered, oldest first."""
        response = await self._send(
            "GET", "/v1/inbox", params={"channel": channel, "older_than_s": older_than_s}
        )
        return TypeAdapter(list[PendingUpdate]).validate_json(response.content)

    async def conversation(self, channel: str, chat_id: str) -> Conversation:
        """Where a conversation stands; a new one has version 0 and an empty state."""
        return await self._get(f"/v1/conversations/{channel}/{chat_id}", Conversation)

    async def claim(self, channel: str, chat_id: str, claim: Claim) -> Conversation:
        """Claim a conversation's turns for a few seconds, and read where it stands."""
        path = f"/v1/conversations/{channel}/{chat_id}/claim"
        return await self._post(path, claim, Conversation)

    async def let_go(self, channel: str, chat_id: str, holder: str) -> None:
        """Leave a conversation's turns to others."""
        path = f"/v1/conversations/{channel}/{chat_id}/claim"
        await self._send("DELETE", path, params={"holder": holder})

    async def turn(self, channel: str, chat_id: str, turn: Turn) -> TurnReceipt:
        """Store a turn. Refused with 409 when another turn came first: read again and redo."""
        return await self._post(f"/v1/conversations/{channel}/{chat_id}/turns", turn, TurnReceipt)

    async def messages(
        self, channel: str, chat_id: str, *, after: int = 0, wait_s: float = 0
    ) -> list[ChatMessage]:
        """Messages with `seq` beyond `after`; waits up to `wait_s` for the first to come."""
        response = await self._send(
            "GET",
            f"/v1/conversations/{channel}/{chat_id}/messages",
            params={"after": after, "wait_s": wait_s},
            timeout=httpx.Timeout(wait_s + 5.0, connect=2.0),
        )
        return TypeAdapter(list[ChatMessage]).validate_json(response.content)

    async def keep_photo(self, photo_id: str, channel: str, chat_id: str, jpeg: bytes) -> None:
        """Keep a photo of a conversation, once per `photo_id`."""
        await self._send(
            "PUT",
            f"/v1/photos/{photo_id}",
            body=jpeg,
            params={"channel": channel, "chat_id": chat_id},
        )

    async def photo(self, photo_id: str, channel: str, chat_id: str) -> bytes:
        """A photo of a conversation, a JPEG. Refused with 404 where it has no such photo."""
        response = await self._send(
            "GET", f"/v1/photos/{photo_id}", params={"channel": channel, "chat_id": chat_id}
        )
        return response.content

    async def nearest_place(self, latitude: float, longitude: float) -> Place | None:
        """The place that a location in degrees is in or next to, None where none is known."""
        response = await self._send(
            "GET", "/v1/places/nearest", params={"latitude": latitude, "longitude": longitude}
        )
        return TypeAdapter(Place | None).validate_json(response.content)

    async def options(self, brief: Brief) -> list[Option]:
        """What else could be had, the nearest to the brief first."""
        response = await self._send("POST", "/v1/options", body=brief)
        return TypeAdapter(list[Option]).validate_json(response.content)

    async def pair_owner(self, pairing: Pairing) -> None:
        """Make a chat the owner's. Refused with 404 or 410 for a token that is no good."""
        await self._send("POST", "/v1/owner/pairings", body=pairing)

    async def owner_chats(self) -> list[OwnerChatId]:
        """The chats that are the owner's."""
        response = await self._send("GET", "/v1/owner/chats")
        return TypeAdapter(list[OwnerChatId]).validate_json(response.content)

    async def owner_sees(self, channel: str, chat_id: str, view: str) -> list[OutgoingMessage]:
        """What the owner asked to see in the chat: `waiting` or `today`."""
        response = await self._send("GET", f"/v1/owner/chats/{channel}/{chat_id}/{view}")
        return TypeAdapter(list[OutgoingMessage]).validate_json(response.content)

    async def owner_decides(
        self, channel: str, chat_id: str, decision: OwnerDecision, *, key: str
    ) -> None:
        """Carry out a decision once per `key`. Refused with 409 where that cannot be done."""
        await self._send(
            "POST",
            f"/v1/owner/chats/{channel}/{chat_id}/decisions",
            body=decision,
            headers={"Idempotency-Key": f'"{key}"'},
        )

    async def lease(self, step_id: str) -> Lease:
        """Take a step. Refused with 409 when it is done, dead, held, or not its turn."""
        return await self._post(f"/v1/steps/{step_id}/lease", None, Lease)

    async def renew(self, step_id: str, done: StepDone) -> None:
        """Keep a step that is still worked on. Refused with 409 when the lease has passed on."""
        await self._send("POST", f"/v1/steps/{step_id}/renewals", body=done)

    async def step_sending(self, step_id: str, done: StepDone) -> None:
        """Say, before the outside is touched, that from now on the step may have happened."""
        await self._send("POST", f"/v1/steps/{step_id}/sending", body=done)

    async def step_done(self, step_id: str, done: StepDone) -> None:
        """Confirm a step's effect."""
        await self._send("POST", f"/v1/steps/{step_id}/done", body=done)

    async def step_failed(self, step_id: str, failure: StepFailure) -> None:
        """Give a step back, to be tried again or to be shown to the owner."""
        await self._send("POST", f"/v1/steps/{step_id}/failures", body=failure)

    async def remind(self, reminder_id: str, due: DueReminder) -> ReminderOutcome:
        """Have a reminder that is due written, put off or dropped, which finishes its step."""
        return await self._post(f"/v1/reminders/{reminder_id}/due", due, ReminderOutcome)

    async def do_part(self, part_id: str, due: PartDue) -> Chore:
        """Have one part of a long work made, which finishes its step."""
        path = f"/v1/chores/parts/{part_id}/due"
        return await self._post(path, due, Chore, timeout=_LONG_TIMEOUT)

    async def delivery(self, message_id: str) -> Delivery:
        """A message to be sent through a push channel."""
        return await self._get(f"/v1/messages/{message_id}", Delivery)

    async def picture(self, url: str) -> bytes:
        """The picture behind a message's public address, asked for at this client's own.

        Raises ValueError for an address that is not of a quote's picture: our key goes along.
        """
        parts = urlsplit(url)
        if not _PICTURE.fullmatch(parts.path):
            raise ValueError("not the address of a picture")
        response = await self._send("GET", f"{parts.path}?{parts.query}")
        return response.content

    async def sweep(self) -> Swept:
        """Hand every owed step that nobody works on to the queue again."""
        return await self._post("/v1/outbox/sweep", None, Swept)

    async def _get(self, path: str, model: type[_M]) -> _M:
        response = await self._send("GET", path)
        return model.model_validate_json(response.content)

    async def _post(
        self,
        path: str,
        body: BaseModel | None,
        model: type[_M],
        *,
        headers: Mapping[str, str] | None = None,
        timeout: httpx.Timeout = _TIMEOUT,
    ) -> _M:
        response = await self._send("POST", path, body=body, headers=headers, timeout=timeout)
        return model.model_validate_json(response.content)

    async def _send(
        self,
        method: str,
        path: str,
        *,
        body: BaseModel | bytes | None = None,
        headers: Mapping[str, str] | None = None,
        params: Mapping[str, Any] | None = None,
        timeout: httpx.Timeout = _TIMEOUT,
    ) -> httpx.Response:
        sent = dict(headers or {})
        if followed := tracing.header():
            sent[tracing.HEADER] = followed
        content = None
        if isinstance(body, bytes):
            content = body
            sent.setdefault("Content-Type", "image/jpeg")
        elif body is not None:
            content = body.model_dump_json().encode()
            sent["Content-Type"] = "application/json"
        for pause in (*_PAUSES_S, None):
            try:
                response = await self._ask(
                    method, path, content=content, headers=sent, params=params, timeout=timeout
                )
            except httpx.TransportError as error:
                if pause is None:
                    raise ServiceUnavailable(type(error).__name__) from None
            else:
                if response.status_code < 500 and not _is_under_way(response, pause):
                    return _accepted(response)
                if pause is None:
                    raise ServiceUnavailable(f"status {response.status_code}")
            await asyncio.sleep(pause)
        raise AssertionError("the last pause is None")

    async def _ask(
        self,
        method: str,
        path: str,
        *,
        timeout: httpx.Timeout,
        content: bytes | None = None,
        headers: Mapping[str, str] | None = None,
        params: Mapping[str, Any] | None = None,
    ) -> httpx.Response:
        """Ask once. Raises httpx.TransportError."""
        request = httpx.Request(
            method,
            f"{self._base}{path}",
            params=params,
            headers={"Authorization": self._key, **(headers or {})},
            content=content,
            extensions={"timeout": timeout.as_dict()},
        )
        response = await self._transport.handle_async_request(request)
        try:
            await response.aread()
        finally:
            await response.aclose()
        return response


def _is_under_way(response: httpx.Response, pause: float | None) -> bool:
    """Whether an earlier call of the same is still being worked on, and may be asked for again."""
    wait = response.status_code == 409 and "Retry-After" in response.headers
    return wait and pause is not None


def _accepted(response: httpx.Response) -> httpx.Response:
    if response.status_code < 400:
        return response
    try:
        problem = Problem.model_validate_json(response.content)
    except ValueError:
        problem = Problem(title=response.reason_phrase, status=response.status_code)
    raise ServiceRefused(problem)
