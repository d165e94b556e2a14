"""Quotes as files over the API."""

from collections.abc import Callable
from typing import Any

from tests.service.api.conftest import Service
from tests.service.rendering import reading


def test_the_owner_gets_a_quote_on_paper(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> None:
    path = f"/v1/leads/{post_lead()['lead_id']}/quote.pdf"
    owner = service.client("owner")
    early = owner.get(path)
    assert early.status_code == 404
    assert early.headers["content-type"] == "application/problem+json"
    work_off()
    answer = owner.get(f"{path}?paper=a4")
    assert answer.headers["content-type"] == "application/pdf"
    assert "Your ballpark" in reading.text_of(answer.content)
    assert reading.sizes_of(answer.content)[0] == (210, 297)
