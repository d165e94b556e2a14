"""A service for the jobs' tests: real HTTP client, answers laid out by each test."""

import asyncio
from collections.abc import Awaitable, Callable, Iterator

import pytest
import respx

from service.contract.client import ServiceClient
from tests.workers.wire import BASE

Job = Callable[[ServiceClient], Awaitable[None]]
RunJob = Callable[[Job], None]


@pytest.fixture
def service() -> Iterator[respx.MockRouter]:
    with respx.mock(base_url=BASE, assert_all_called=False) as router:
        yield router


@pytest.fixture
def run_job(service: respx.MockRouter) -> RunJob:
    def run(job: Job) -> None:
        async def whole() -> None:
            client = ServiceClient(BASE, "key")
            try:
                await job(client)
            finally:
                await client.aclose()

        asyncio.run(whole())

    return run
