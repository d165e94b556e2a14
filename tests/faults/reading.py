"""Reads, when all is over, what the owner's API answers and what the Bot API server has seen."""

from collections.abc import Sequence

import httpx

from tests.bot_api import Call, Sent
from tests.faults.evidence import Cut, Evidence, LeadSeen, Posted
from tests.faults.posts import price_of
from tests.faults.shop import Shop

# Longer than anything takes that nobody slowed down.
_HANGS_S = 1.0
# The sender waits so long for an answer.
_PATIENCE_S = 25.0
_SENDERS = ("deliveries", "everything")
_SENDING = ("sendMessage", "sendPhoto")


async def leads_of(shop: Shop) -> list[LeadSeen]:
    """Every request as the owner's list shows it."""
    found: list[LeadSeen] = []
    headers = {"Authorization": f"Bearer {shop.keys['owner']}"}
    async with httpx.AsyncClient(base_url=shop.service, headers=headers, timeout=20) as http:
        before: str | None = None
        while True:
            params = {"limit": "100", **({"before": before} if before else {})}
            answer = await http.get("/v1/leads", params=params)
            answer.raise_for_status()
            page = answer.json()
            found += [
                LeadSeen(
                    lead_id=lead["lead_id"],
                    state=lead["state"],
                    channel=lead["channel"],
                    client=lead["source"],
                    price=price_of(lead["price"]) if lead["price"] else None,
                )
                for lead in page["leads"]
            ]
            before = page["next"]
            if before is None:
                return found


def read_bot_api(called: Sequence[Call], sent: Sequence[Sent], evidence: Evidence) -> None:
    """What the Bot API server took, and whether its sender can have heard of it."""
    calls = [call for call in called if call.method in _SENDING]
    breaks = [cut for cut in evidence.cuts if cut.target == "bot api" and cut.kind != "delay"]
    unheard = [call for call in calls if _is_unheard(call, breaks)]
    evidence.hung = [_waited(c, evidence.cuts) for c in calls if c.took_s > _HANGS_S]
    evidence.doubtful = {str(call.params.get("chat_id")) for call in unheard}
    of_chat: dict[str, list[float]] = {}
    for call in unheard:
        of_chat.setdefault(str(call.params.get("chat_id")), []).append(call.at)
    evidence.posted = [
        Posted(
            chat_id=str(one.chat_id),
            text=one.text,
            at=one.at,
            answered=not any(0 <= one.at - at < 0.5 for at in of_chat.get(str(one.chat_id), [])),
        )
        for one in sent
    ]


def _waited(call: Call, cuts: list[Cut]) -> tuple[float, float]:
    """How long somebody waited for a call: until its answer, their patience, or their end."""
    ends = [
        cut.began
        for cut in cuts
        if cut.kind == "kill" and cut.target in _SENDERS and cut.struck and cut.began > call.at
    ]
    return call.at, min([call.at + min(call.took_s, _PATIENCE_S), *ends])


def _is_unheard(call: Call, breaks: list[Cut]) -> bool:
    """Whether a call's answer was lost, came too late, or its connection broke meanwhile."""
    if call.status == 0 or call.took_s > _PATIENCE_S:
        return True
    ended = call.at + call.took_s
    return any(cut.began <= ended + 0.5 and call.at <= cut.ended for cut in breaks)
