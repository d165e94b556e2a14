"""One key, one effect: twins at once on SQLite and PostgreSQL, and one that comes too early."""

import asyncio
import json
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from http import HTTPStatus

import httpx
import pytest
from fastapi import Response
from sqlalchemy import Engine

from service.api import idempotency
from service.api.idempotency import Attempt, once
from service.api.problems import Refusal
from service.contract.client import ServiceClient
from service.contract.leads import LeadRequest
from service.leads import handling
from service.leads.lead import Client
from service.leads.ports import UnitOfWork
from tests.service.api.conftest import CANONICAL
from tests.service.building import BuiltShop, a_brief

TWINS = 50


@pytest.fixture
def shop(engine: Engine) -> BuiltShop:
    return BuiltShop(engine=engine)


def an_attempt(key: str = "k", body: str = "b") -> Attempt:
    return Attempt(scope="leads:bot", key=key, fingerprint=body)


def taking(shop: BuiltShop) -> Callable[[UnitOfWork], tuple[int, str]]:
    def act(work: UnitOfWork) -> tuple[int, str]:
        lead = handling.take_lead(
            work,
            lead_id=shop.ports.new_id(),
            brief=a_brief(),
            client=Client(),
            channel="api",
            chat_id=None,
            language="en",
            now=shop.now,
        )
        return HTTPStatus.ACCEPTED, json.dumps({"lead_id": lead.id})

    return act


def leads(shop: BuiltShop) -> int:
    with shop.ports.read() as work:
        return len(work.leads.page(before=None, limit=99, state=None))


def test_fifty_at_once_under_one_key_make_one_lead_and_get_one_answer(shop: BuiltShop) -> None:
    start = threading.Barrier(TWINS)

    def post(_number: int) -> Response:
        start.wait()
        return once(shop.ports, an_attempt(), taking(shop))

    with ThreadPoolExecutor(TWINS) as pool:
        answers = list(pool.map(post, range(TWINS)))
    assert {answer.status_code for answer in answers} == {202}
    assert len({bytes(answer.body) for answer in answers}) == 1
    assert leads(shop) == 1
    assert len(shop.queue.steps) == 1


def test_another_process_that_knows_nothing_of_the_first_makes_no_second_lead(
    shop: BuiltShop,
) -> None:
    """The processes share the database only."""
    start = threading.Barrier(2)

    def post(_number: int) -> Response:
        start.wait()
        return idempotency._once(shop.ports, an_attempt(), taking(shop))

    with ThreadPoolExecutor(2) as pool:
        first, second = pool.map(post, range(2))
    assert bytes(first.body) == bytes(second.body)
    assert leads(shop) == 1


def test_a_twin_that_would_wait_long_is_told_to_come_again(
    shop: BuiltShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(idempotency, "_PATIENCE_S", 0.05)
    begun, go_on = threading.Event(), threading.Event()

    def slow(work: UnitOfWork) -> tuple[int, str]:
        begun.set()
        assert go_on.wait(10)
        return taking(shop)(work)

    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(once, shop.ports, an_attempt(), slow)
        assert begun.wait(10)
        with pytest.raises(Refusal) as refused:
            once(shop.ports, an_attempt(), taking(shop))
        go_on.set()
        answer = first.result()
    assert refused.value.status == HTTPStatus.CONFLICT
    assert refused.value.retry_after is not None
    assert once(shop.ports, an_attempt(), taking(shop)).body == answer.body
    assert leads(shop) == 1


def test_the_same_key_with_another_body_is_422(shop: BuiltShop) -> None:
    once(shop.ports, an_attempt(), taking(shop))
    with pytest.raises(Refusal) as refused:
        once(shop.ports, an_attempt(body="other"), taking(shop))
    assert refused.value.status == HTTPStatus.UNPROCESSABLE_ENTITY


def test_a_first_one_that_fails_leaves_the_key_free(shop: BuiltShop) -> None:
    def broken(_work: UnitOfWork) -> tuple[int, str]:
        raise LookupError

    with pytest.raises(LookupError):
        once(shop.ports, an_attempt(), broken)
    assert once(shop.ports, an_attempt(), taking(shop)).status_code == 202


async def _take(answers: list[httpx.Response]) -> str:
    transport = httpx.MockTransport(lambda _: answers.pop(0))
    service = ServiceClient("http://shop.test", "key", transport=transport)
    receipt = await service.take_lead(LeadRequest.model_validate({"brief": CANONICAL}), key="k")
    await service.aclose()
    return receipt.lead_id


def test_the_client_asks_again_where_its_first_call_is_still_under_way() -> None:
    receipt = {"lead_id": "L1", "number": "G1", "state": "new", "status_url": "/"}
    problem = {"title": "Conflict", "status": 409}
    answers = [
        httpx.Response(409, json=problem, headers={"Retry-After": "1"}),
        httpx.Response(202, json=receipt),
    ]
    assert asyncio.run(_take(answers)) == "L1"
