"""What was made lately is at hand, and few wait for what is being made."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial

import pytest

from service.rendering.shelf import Busy, Shelf

PATIENCE_S = 5.0


@contextmanager
def making(shelf: Shelf, key: str) -> Iterator[threading.Thread]:
    """A file is being made while this lasts."""
    begun, may_end = threading.Event(), threading.Event()

    def make() -> bytes:
        begun.set()
        assert may_end.wait(PATIENCE_S)
        return key.encode()

    thread = threading.Thread(target=shelf.get, args=(key, make))
    thread.start()
    assert begun.wait(PATIENCE_S)
    try:
        yield thread
    finally:
        may_end.set()
        thread.join(PATIENCE_S)


def test_it_is_made_once_and_the_oldest_goes() -> None:
    shelf, made = Shelf(most=2, waiting=1), []

    def make(key: str) -> bytes:
        made.append(key)
        return key.encode()

    asked = ("a", "b", "a", "c", "a", "b")
    assert [shelf.get(key, partial(make, key)) for key in asked] == [key.encode() for key in asked]
    assert made == ["a", "b", "c", "b"]


def test_what_is_at_hand_waits_for_nobody() -> None:
    shelf = Shelf(most=9, waiting=1)
    shelf.get("at hand", lambda: b"at hand")
    with making(shelf, "slow"):
        assert shelf.get("at hand", lambda: b"made again") == b"at hand"


def test_who_finds_too_many_waiting_is_sent_away_and_served_later() -> None:
    shelf = Shelf(most=9, waiting=1)
    with making(shelf, "slow"), pytest.raises(Busy):
        shelf.get("another", lambda: b"another")
    assert shelf.get("another", lambda: b"another") == b"another"
    assert shelf.get("slow", lambda: b"made again") == b"slow"


def test_who_asks_for_the_same_meanwhile_gets_it() -> None:
    shelf, found = Shelf(most=9, waiting=2), []
    with making(shelf, "slow"):
        second = threading.Thread(
            target=lambda: found.append(shelf.get("slow", lambda: b"made again"))
        )
        second.start()
    second.join(PATIENCE_S)
    assert found == [b"slow"]


def test_what_could_not_be_made_leaves_its_place() -> None:
    shelf = Shelf(most=9, waiting=1)

    def broken() -> bytes:
        raise ValueError("no such thing")

    for _ in range(2):
        with pytest.raises(ValueError, match="no such thing"):
            shelf.get("broken", broken)
