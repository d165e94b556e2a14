"""One client's conversation with the web chat, over HTTP, as the chat page itself has it."""

import asyncio
import uuid
from collections.abc import Callable
from typing import Any

import httpx

from deploy.options import Outcome

# The queued ballpark takes a second or two; a first retry after a fault comes within seconds.
_PATIENCE_S = 60.0
_LOOK_EVERY_S = 0.1

Message = dict[str, Any]


class Refused(Exception):
    """The chat does not take the message; the text says why."""


async def converse(chat: str, text: str, show: Callable[[str], None]) -> Outcome:
    """Say `text`, confirm the read-back when it comes, and wait for the reply.

    Shows each message as it comes. Raises Refused when the chat does not take a message,
    httpx.HTTPError when it does not answer, TimeoutError when a promised reply does not come.
    """
    async with httpx.AsyncClient(base_url=chat, timeout=30) as http:
        (await http.post("/chat/session")).raise_for_status()
        await _send(http, kind="text", text=text)
        seen = 0
        async with asyncio.timeout(_PATIENCE_S):
            while True:
                messages = await _messages(http, after=seen)
                for message in messages:
                    show(_as_text(message))
                    seen = message["seq"]
                said = [message for message in messages if message["direction"] == "out"]
                outcome = await _react(http, said)
                if outcome is not None:
                    return outcome
                await asyncio.sleep(_LOOK_EVERY_S)


async def _react(http: httpx.AsyncClient, said: list[Message]) -> Outcome | None:
    """What the shop's new words mean; None while a reply is still to come."""
    by_kind = {message["kind"]: message for message in said}
    if ballpark := by_kind.get("ballpark"):
        return Outcome.BALLPARK if _has_link(ballpark) else Outcome.FAILED
    if "review" in by_kind:
        return Outcome.REVIEW
    if readback := by_kind.get("readback"):
        confirm = next(b for b in readback["buttons"] if b["value"].startswith("confirm"))
        await _send(http, kind="button", text=confirm["value"], label=confirm["label"])
        return None
    return None if not said or "working" in by_kind else Outcome.ASKED


def _has_link(message: Message) -> bool:
    return any(button["url"] for button in message["buttons"])


async def _send(http: httpx.AsyncClient, **update: str) -> None:
    body = {"update_id": str(uuid.uuid4()), **update}
    response = await http.post("/chat/updates", json=body)
    if response.is_client_error:
        raise Refused(response.json()["detail"])
    response.raise_for_status()


async def _messages(http: httpx.AsyncClient, *, after: int) -> list[Message]:
    response = await http.get("/chat/messages", params={"after": after})
    response.raise_for_status()
    messages: list[Message] = response.json()
    return messages


def _as_text(message: Message) -> str:
    who = "client" if message["direction"] == "in" else "shop"
    head, *more = message["text"].splitlines() or [""]
    lines = [f"{who:>6}: {head}", *(f"{'':8}{line}".rstrip() for line in more)]
    if message["picture"]:
        lines.append(f"{'':8}[picture: {message['picture']['alt']}]")
    for button in message["buttons"]:
        link = f" {button['url']}" if button.get("url") else ""
        lines.append(f"{'':8}[{button['label']}]{link}")
    return "\n".join(lines)
