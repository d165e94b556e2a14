"""The service as the bot meets it, in memory: what happened stays in plain sight."""

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import httpx

from service.contract.brief import Brief
from service.contract.client import ServiceClient
from service.contract.leads import LeadRequest
from service.contract.talk import Turn, Update

RECEIVED_AT = datetime(2027, 1, 10, 15, 0, tzinfo=UTC).isoformat()
CARD = {
    "name": "Harbor Lane Garlands",
    "town": "Millbrook Landing",
    "owner_name": "Odile",
    "contact": "odile@harborlane.example",
    "contacts": {"es": "correo odile@harborlane.example"},
    "time_zone": "America/New_York",
    "currency": "USD",
    "aliases": {"moss": "sage"},
    "answers": {"deposit": {"en": "Half of it.", "es": "La mitad."}},
    "colours": [{"name": "sage", "hex": "#a3b899"}, {"name": "cream", "hex": "#f3e9d2"}],
}


@dataclass
class FakeService:
    """Keeps the promises of the wire: same update id, same key, same version, same answer."""

    updates: list[Update] = field(default_factory=list)
    handled: set[int] = field(default_factory=set)
    states: dict[str, tuple[int, dict[str, Any]]] = field(default_factory=dict)
    said: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    leads: dict[str, Brief] = field(default_factory=dict)
    lead_requests: list[LeadRequest] = field(default_factory=list)
    owner_spoke: set[str] = field(default_factory=set)  # chats that the owner wrote to
    reviewed: set[str] = field(default_factory=set)  # chats whose newest lead waits for the owner
    pictured: dict[int, str] = field(default_factory=dict)  # photos, by their update
    calling: list[str] = field(default_factory=list)  # chats that wait for the owner
    stopped: set[str] = field(default_factory=set)  # chats that want nothing unasked
    photos: dict[str, tuple[str, bytes]] = field(default_factory=dict)
    # What is at a place, by its latitude and longitude as they were asked for.
    places: dict[tuple[str, str], dict[str, str]] = field(default_factory=dict)
    options: list[dict[str, Any]] = field(default_factory=list)
    asked_options: list[dict[str, Any]] = field(default_factory=list)
    tokens: set[str] = field(default_factory=set)  # invitations from the desk
    owners: set[str] = field(default_factory=set)  # chats that are the owner's
    decisions: dict[str, dict[str, Any]] = field(default_factory=dict)  # by key
    refuse_decision: str | None = None
    holders: dict[str, str] = field(default_factory=dict)  # who takes a chat's turns now
    requests: list[str] = field(default_factory=list)
    # Called before a turn is looked at: a test lets something happen at just that moment.
    before_turn: Callable[[], None] = lambda: None
    refuse_lead: dict[str, Any] | None = None
    down: bool = False

    def client(self) -> ServiceClient:
        return ServiceClient(
            "http://service.test", "a-bot-key", transport=httpx.MockTransport(self._answer)
        )

    def _answer(self, request: httpx.Request) -> httpx.Response:
        self.requests.append(f"{request.method} {request.url.path}")
        if self.down:
            return _problem(503, "down for a moment")
        parts = request.url.path.removeprefix("/v1/").split("/")
        match request.method, parts:
            case "GET", ["shop"]:
                return httpx.Response(200, json=CARD)
            case "POST", ["inbox"]:
                holder = request.url.params.get("holder")
                return self._receive(Update.model_validate_json(request.content), holder)
            case "GET", ["inbox"]:
                return httpx.Response(200, json=self._pending(request.url.params["channel"]))
            case "GET", ["conversations", channel, chat, "messages"]:
                return httpx.Response(200, json=self.said.get(f"{channel}/{chat}", []))
            case "GET", ["conversations", channel, chat]:
                return httpx.Response(200, json=self._conversation(channel, chat))
            case "POST", ["conversations", channel, chat, "claim"]:
                holder = json.loads(request.content)["holder"]
                return httpx.Response(200, json=self._claimed(channel, chat, holder))
            case "DELETE", ["conversations", channel, chat, "claim"]:
                self.holders.pop(f"{channel}/{chat}", None)
                return httpx.Response(204)
            case "POST", ["conversations", channel, chat, "turns"]:
                return self._turn(f"{channel}/{chat}", Turn.model_validate_json(request.content))
            case "POST", ["leads"]:
                return self._lead(request)
            case "PUT", ["photos", photo_id]:
                self.photos.setdefault(photo_id, (_chat(request), request.content))
                return httpx.Response(204)
            case "GET", ["photos", photo_id]:
                return self._photo(photo_id, _chat(request))
            case "GET", ["places", "nearest"]:
                where = request.url.params["latitude"], request.url.params["longitude"]
                return httpx.Response(200, content=json.dumps(self.places.get(where)))
            case "POST", ["options"]:
                self.asked_options.append(json.loads(request.content))
                return httpx.Response(200, json=self.options)
            case "POST", ["owner", "pairings"]:
                return self._pair(json.loads(request.content))
            case "GET", ["owner", "chats"]:
                named = [chat.split("/") for chat in sorted(self.owners)]
                return httpx.Response(200, json=[{"channel": c, "chat_id": i} for c, i in named])
            case "GET", ["owner", "chats", channel, chat, view]:
                return self._sees(f"{channel}/{chat}", view)
            case "POST", ["owner", "chats", channel, chat, "decisions"]:
                return self._decide(f"{channel}/{chat}", request)
        return _problem(404, "no such page")

    def _receive(self, update: Update, holder: str | None) -> httpx.Response:
        known = [one.update_id for one in self.updates]
        duplicate = update.update_id in known
        if not duplicate:
            self.updates.append(update)
        inbox_id = [one.update_id for one in self.updates].index(update.update_id) + 1
        receipt: dict[str, Any] = {
            "inbox_id": inbox_id,
            "duplicate": duplicate,
            "handled": inbox_id in self.handled,
        }
        if holder is not None and inbox_id not in self.handled:
            receipt["conversation"] = self._claimed(update.channel, update.chat_id, holder)
        return httpx.Response(200, json=receipt)

    def _pending(self, channel: str, chat: str | None = None) -> list[dict[str, Any]]:
        return [
            {"inbox_id": n, "received_at": RECEIVED_AT, "update": update.model_dump(mode="json")}
            for n, update in enumerate(self.updates, start=1)
            if n not in self.handled
            and update.channel == channel
            and chat in (None, update.chat_id)
        ]

    def _claimed(self, channel: str, chat: str, holder: str) -> dict[str, Any]:
        held = self.holders.setdefault(f"{channel}/{chat}", holder) != holder
        return self._conversation(channel, chat, held=held)

    def _conversation(self, channel: str, chat: str, *, held: bool = False) -> dict[str, Any]:
        version, state = self.states.get(f"{channel}/{chat}", (0, {}))
        return {
            "channel": channel,
            "chat_id": chat,
            "version": version,
            "state": state,
            "pending": self._pending(channel, chat),
            "owner_spoke": f"{channel}/{chat}" in self.owner_spoke,
            "owner": f"{channel}/{chat}" in self.owners,
            "under_review": f"{channel}/{chat}" in self.reviewed,
            "stopped": f"{channel}/{chat}" in self.stopped,
            "held": held,
        }

    def _turn(self, chat: str, turn: Turn) -> httpx.Response:
        self.before_turn()
        version, _ = self.states.get(chat, (0, {}))
        if turn.inbox_id in self.handled:
            return httpx.Response(200, json={"version": version, "applied": False})
        if turn.version != version:
            return _problem(409, "another turn came first")
        self.states[chat] = (version + 1, turn.state)
        self.handled.add(turn.inbox_id)
        if turn.lets_go == self.holders.get(chat):
            self.holders.pop(chat, None)
        if turn.photo_id is not None:
            self.pictured[turn.inbox_id] = turn.photo_id
        if turn.calls_owner:
            self.calling.append(chat)
        if turn.stops is not None:
            (self.stopped.add if turn.stops else self.stopped.discard)(chat)
        shown = self.said.setdefault(chat, [])
        for message in turn.messages:
            shown.append(
                message.model_dump(mode="json")
                | {"seq": len(shown) + 1, "direction": "out", "at": RECEIVED_AT}
            )
        return httpx.Response(200, json={"version": version + 1, "applied": True})

    def _lead(self, request: httpx.Request) -> httpx.Response:
        if self.refuse_lead is not None:
            return httpx.Response(422, json=self.refuse_lead)
        lead = LeadRequest.model_validate_json(request.content)
        self.lead_requests.append(lead)
        key = request.headers["Idempotency-Key"]
        if self.leads.setdefault(key, lead.brief) != lead.brief:
            return _problem(422, "this key came with another brief before")
        receipt = {"lead_id": "l1", "number": "L-1", "state": "new", "status_url": "/s"}
        return httpx.Response(202, json=receipt)

    def _photo(self, photo_id: str, chat: str) -> httpx.Response:
        kept = self.photos.get(photo_id)
        if kept is None or kept[0] != chat:
            return _problem(404, "no such photo")
        return httpx.Response(200, content=kept[1], headers={"Content-Type": "image/jpeg"})

    def _pair(self, pairing: dict[str, Any]) -> httpx.Response:
        chat = f"{pairing['channel']}/{pairing['chat_id']}"
        if chat not in self.owners and pairing["token"] not in self.tokens:
            return _problem(404, "no such token")
        self.tokens.discard(pairing["token"])
        self.owners.add(chat)
        return httpx.Response(204)

    def _sees(self, chat: str, view: str) -> httpx.Response:
        if chat not in self.owners:
            return _problem(403, "not the owner's")
        return httpx.Response(200, json=[{"kind": "owner", "text": f"what is seen of {view}"}])

    def _decide(self, chat: str, request: httpx.Request) -> httpx.Response:
        if chat not in self.owners:
            return _problem(403, "not the owner's")
        if self.refuse_decision is not None:
            return _problem(409, self.refuse_decision)
        decision = json.loads(request.content)
        key = request.headers["Idempotency-Key"]
        if self.decisions.setdefault(key, decision) != decision:
            return _problem(422, "this key came with another decision before")
        return httpx.Response(204)


def an_option(piece: dict[str, Any], low: str, likely: str, high: str) -> dict[str, Any]:
    """What else could be had, within the budget, as the service says it."""
    price = {"low": low, "likely": likely, "high": high, "currency": "USD"}
    return {
        "changes": ["something lighter"],
        "fits": True,
        "brief": {"pieces": [piece]},
        "price": price | {"tax_included": False, "deposit": "100"},
        "balloons_total": 120,
    }


def _chat(request: httpx.Request) -> str:
    return f"{request.url.params['channel']}/{request.url.params['chat_id']}"


def _problem(status: int, title: str) -> httpx.Response:
    body = json.dumps({"title": title, "status": status})
    return httpx.Response(status, content=body)
