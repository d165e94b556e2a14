"""What the service would answer, for the jobs' tests: the rowing club's frame and its estimate."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from service import estimating as core
from service.api.translate import estimate_to_wire
from service.contract.brief import Brief
from service.contract.estimate import Estimate
from service.contract.leads import Client, Lead, Lease, StepOutcome
from service.contract.talk import Button, Delivery, OutgoingMessage, Picture
from service.storage.price_book import read_price_book

BOOK_FILE = Path(__file__).parents[2] / "deploy" / "price_book.yaml"
BASE = "http://service.test"
AT = datetime(2027, 1, 10, 12, 0, tzinfo=UTC)


def a_lease(kind: Any = "quote", *, maybe_done: bool = False) -> Lease:
    return Lease(
        step_id="s1",
        kind=kind,
        subject_id="L1" if kind == "quote" else "7",
        fence=3,
        attempt=1,
        expires_at=AT + timedelta(seconds=10),
        maybe_done=maybe_done,
        brief=a_brief() if kind == "quote" else None,
    )


def a_brief() -> Brief:
    frame = {"support": "round_top_frame", "width_m": 1.2192, "height_m": 2.1336}
    return Brief.model_validate({"pieces": [frame], "palette": ["sage"]})


def an_outcome() -> StepOutcome:
    return StepOutcome(lead_id="L1", number="2027-001", state="quoted")


def a_lead() -> Lead:
    return Lead(
        lead_id="L1",
        number="2027-001",
        state="new",
        quote=None,
        channel="webchat",
        chat_id="c1",
        language="en",
        client=Client(name="Imke Osei"),
        brief=a_brief(),
        review_reasons=[],
        created_at=AT,
        source=None,
        estimate=None,
    )


def an_estimate() -> Estimate:
    """The estimate that the core gives for that frame."""
    book = read_price_book(BOOK_FILE.read_text(encoding="utf-8"), BOOK_FILE.name)
    frame = core.Piece(support=core.Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
    answer = core.estimate(core.Brief(pieces=(frame,)), book, today=AT.date())
    return estimate_to_wire(answer)


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
