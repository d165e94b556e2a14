"""Build sheets over the API."""

from collections import Counter
from collections.abc import Callable
from typing import Any

from tests.service.api.conftest import Service
from tests.service.rendering import reading


def test_the_owner_reads_how_to_build_a_quote(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> None:
    lead = post_lead()
    path = f"/v1/leads/{lead['lead_id']}/build-sheet"
    owner = service.client("owner")
    early = owner.get(path)
    assert early.status_code == 404
    assert early.headers["content-type"] == "application/problem+json"
    work_off()
    sheet = owner.get(path).json()
    assert sheet["number"] == lead["number"]
    placed, spared = Counter[tuple[int, str]](), 0
    for total in sheet["totals"]:
        placed[total["size_class"], total["colour"]] += total["count"]
        spared += total["spares"]
    assert spared > 0
    in_bags = Counter[tuple[int, str]]()
    for bag in sheet["bags"]:
        assert bag["label"].endswith(f"{bag['parts'][-1]['last']}")
        assert bag["parts"][0]["copy"] == 1
        for held in bag["contents"]:
            in_bags[held["size_class"], held["colour"]] += held["count"]
    assert in_bags == placed
    steps = [step for stretch in sheet["pieces"][0]["stretches"] for step in stretch["steps"]]
    assert steps[0]["first"] == 1
    assert {letter for step in steps for letter in step["letters"]} == {
        each["letter"] for each in sheet["pieces"][0]["letters"]
    }


def test_the_owner_gets_the_build_sheet_on_paper(
    service: Service,
    post_lead: Callable[..., dict[str, Any]],
    work_off: Callable[[], list[dict[str, Any]]],
) -> None:
    lead = post_lead()
    work_off()
    path = f"/v1/leads/{lead['lead_id']}/build-sheet.pdf"
    answer = service.client("owner").get(f"{path}?paper=a4")
    assert answer.headers["content-type"] == "application/pdf"
    assert f"Build sheet {lead['number']}" in reading.text_of(answer.content)
    assert reading.sizes_of(answer.content)[0] == (210, 297)
