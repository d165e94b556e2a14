"""What the service would answer, for the jobs' tests."""

from datetime import UTC, datetime, timedelta
from typing import Any

from service.contract.leads import Lease, Quoted
from service.contract.talk import Button, Delivery, OutgoingMessage, Picture

BASE = "http://service.test"
AT = datetime(2027, 1, 10, 12, 0, tzinfo=UTC)


def a_lease(kind: Any, *, maybe_done: bool = False) -> Lease:
    return Lease(
        step_id="s1",
        kind=kind,
        subject_id="7",
        fence=3,
        attempt=1,
        expires_at=AT + timedelta(seconds=10),
        maybe_done=maybe_done,
    )


def quoted(*, attempt: int = 1) -> Quoted:
    return Quoted(lead_id="L1", number="2027-001", state="quoted", attempt=attempt)


def a_delivery(picture: Picture | None = None) -> Delivery:
    message = OutgoingMessage(
        kind="ballpark",
        text="About $380 to $500.",
        buttons=[Button(label="Pick a time", url="https://shop.test/b/1")],
        picture=picture,
    )
    return Delivery(
        message_id="7", channel="telegram", chat_id="4711", delivery_key="k7", message=message
    )


def a_problem(status: int, *errors: tuple[str, str]) -> dict[str, Any]:
    listed = [{"field": field, "detail": detail} for field, detail in errors]
    return {"title": "No", "status": status, "errors": listed or None}
