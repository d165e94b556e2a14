"""Ids that travel with a piece of work."""

import pytest

from service.contract import tracing

TRACE, CALLER = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"


@pytest.fixture(autouse=True)
def _on_no_way() -> None:
    tracing._current.set(None)


def test_a_trace_goes_on_under_an_id_of_its_own() -> None:
    tracing.enter(f"00-{TRACE}-{CALLER}-01")
    way = tracing.current()
    assert way is not None
    assert way.trace_id == TRACE
    assert way.request_id != CALLER
    assert tracing.header() == f"00-{TRACE}-{way.request_id}-01"


@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        "Nora, 555-0100",
        f"00-{TRACE.upper()}-{CALLER}-01",
        f"00-{'0' * 32}-{CALLER}-01",
        f"00-{TRACE}-{'0' * 16}-01",
        f"ff-{TRACE}-{CALLER}-01",
        f"00-{TRACE}-{CALLER}-01\n{{}}",
    ],
)
def test_what_is_no_trace_begins_one(header: str | None) -> None:
    tracing.enter(header)
    way = tracing.current()
    assert way is not None
    assert not way.is_continued
    assert way.trace_id != TRACE
    assert len(way.trace_id) == 32
    assert int(way.trace_id, 16)


def test_whoever_is_on_no_way_sends_nothing_along() -> None:
    tracing.note(lead_id="unheard")
    assert tracing.header() is None


def test_after_a_piece_of_work_the_one_around_it_goes_on() -> None:
    tracing.enter()
    before = tracing.header()
    token = tracing.enter(f"00-{TRACE}-{CALLER}-01")
    tracing.leave(token)
    assert tracing.header() == before
