"""Accounts, sessions and failed tries, on SQLite and PostgreSQL."""

import threading
from base64 import urlsafe_b64decode
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select

from service.leads.lead import LeadError, NotFound
from service.leads.people import OWNER_ID, Person, PersonRole, folded
from service.storage import tables
from service.storage.ids import fresh_id
from tests.service.storage.conftest import NOON, Shop

SAM = Person(id="sam", role=PersonRole.HELPER, name="Sam Okoye", since=NOON, may_sign_in=False)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def with_sam(shop: Shop) -> None:
    with shop.work() as work:
        work.people.set_password_hash(OWNER_ID, "a hash", NOON)
        work.people.add(SAM)
        work.people.set_password_hash("sam", "another hash", NOON)
        work.commit()


def open_two(shop: Shop) -> None:
    with shop.work() as work:
        for session_id, person in (("one", OWNER_ID), ("two", "sam"), ("three", "sam")):
            work.people.open_session(
                session_id, person, csrf=f"csrf {session_id}", device="Firefox on Mac", now=NOON
            )
        work.commit()


def test_people_are_found_by_id_and_by_the_name_they_sign_in_with(shop: Shop) -> None:
    with_sam(shop)
    with shop.read() as work:
        found = work.people.named(folded("  SAM okoye "))
        assert found is not None
        assert (found.id, found.name, found.may_sign_in) == ("sam", "Sam Okoye", True)
        assert work.people.named("nobody") is None
        assert [person.id for person in work.people.every()] == [OWNER_ID, "sam"]
        with pytest.raises(NotFound):
            work.people.get("nobody")


def test_a_session_is_known_by_the_digest_of_its_id_only(shop: Shop) -> None:
    with_sam(shop)
    open_two(shop)
    with shop.read() as work:
        session = work.people.session("two", NOON)
    assert session is not None
    assert (session.person.name, session.csrf, session.device) == (
        "Sam Okoye",
        "csrf two",
        "Firefox on Mac",
    )
    with shop.engine.begin() as connection:
        stored = connection.execute(select(tables.desk_sessions.c.digest)).scalars().all()
    assert all(len(digest) == 64 for digest in stored)
    assert session.key in stored


def test_a_session_is_over_after_a_week_without_a_visit_and_after_two_in_any_case(
    shop: Shop,
) -> None:
    with_sam(shop)
    open_two(shop)
    with shop.work() as work:
        assert work.people.session("one", NOON + 7 * DAY - HOUR) is not None
        assert work.people.session("one", NOON + 7 * DAY) is None
        work.people.seen("one", NOON + 6 * DAY)
        work.people.seen("one", NOON + 12 * DAY)
        assert work.people.session("one", NOON + 14 * DAY - HOUR) is not None
        assert work.people.session("one", NOON + 14 * DAY) is None
        assert work.people.sessions_of(OWNER_ID, NOON + 14 * DAY) == []


def test_sessions_end_one_by_one_or_all_of_a_person(shop: Shop) -> None:
    with_sam(shop)
    open_two(shop)
    with shop.work() as work:
        two, three = sorted(work.people.sessions_of("sam", NOON), key=lambda each: each.csrf)[::-1]
        work.people.close_session_of(OWNER_ID, two.key)  # not the owner's to end this way
        assert work.people.session("two", NOON) is not None
        work.people.close_session_of("sam", two.key)
        assert work.people.session("two", NOON) is None
        assert work.people.sessions_of("sam", NOON) == [three]
        work.people.close_sessions_of("sam")
        assert work.people.session("three", NOON) is None
        work.people.close_session("one")
        assert work.people.session("one", NOON) is None


def test_a_new_password_and_an_ended_access_end_every_session(shop: Shop) -> None:
    with_sam(shop)
    open_two(shop)
    with shop.work() as work:
        work.people.set_password_hash(OWNER_ID, "a newer hash", NOON)
        assert work.people.session("one", NOON) is None
        work.people.end("sam", NOON)
        assert work.people.session("two", NOON) is None
        assert work.people.password_hash("sam") is None
        work.people.end("sam", NOON + HOUR)
        assert work.people.get("sam").ended_at == NOON
        work.people.welcome_back("sam")
        assert work.people.get("sam").ended_at is None
        assert work.people.password_hash("sam") is None


def test_tries_are_counted_by_place_and_by_name_and_forgotten_after_a_day(shop: Shop) -> None:
    with shop.work() as work:
        for source in ("from:198.51.100.7", "from:203.0.113.9", "known:a phone"):
            work.people.record_guess("sam okoye", source, NOON)
        work.people.record_guess("ida", "from:203.0.113.9", NOON + HOUR)
        there = work.people.guesses_from("from:203.0.113.9", NOON)
        assert (there.count, there.latest) == (2, NOON + HOUR)
        assert work.people.guesses_at("sam okoye", NOON).count == 2
        assert work.people.guesses_at("sam okoye", NOON + HOUR).count == 0
        work.people.forget_guesses("sam okoye", "from:203.0.113.9")
        assert work.people.guesses_at("sam okoye", NOON).count == 1
        work.people.record_guess("ida", "from:192.0.2.1", NOON + DAY + 2 * HOUR)
        work.commit()
    with shop.engine.begin() as connection:
        names = connection.execute(select(tables.sign_in_failures.c.sign_in_name)).scalars().all()
    assert len(names) == 1
    assert "ida" not in names  # it may have been a password, typed into the wrong field


def test_links_of_a_purpose_are_over_together(shop: Shop) -> None:
    with shop.work() as work:
        ids = [
            work.links.add(purpose=purpose, subject_id=subject, expires_at=NOON + DAY)
            for purpose, subject in (
                ("quote", "a"),
                ("quote", "a"),
                ("quote", "b"),
                ("status", "a"),
            )
        ]
        work.links.revoke("a", "quote", NOON)
        work.commit()
    alive = []
    with shop.engine.begin() as connection:
        for link_id in ids:
            query = select(tables.links.c.revoked_at).where(tables.links.c.id == link_id)
            alive.append(connection.execute(query).scalar_one() is None)
    assert alive == [False, False, True, True]
    assert all(len(urlsafe_b64decode(each)) * 8 >= 128 for each in ids)


def at_once(shop: Shop, act: Callable[[Any], str]) -> list[str]:
    """What four that begin together come to, each in a transaction."""
    start, outcomes = threading.Barrier(4), list[str]()

    def run() -> None:
        start.wait()
        try:
            with shop.work() as work:
                outcomes.append(act(work))
                work.commit()
        except LeadError as error:
            outcomes.append(type(error).__name__)

    threads = [threading.Thread(target=run) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(outcomes)


def test_a_link_that_works_once_does_so_for_one_of_several_at_once(shop: Shop) -> None:
    with shop.work() as work:
        link = work.links.add(purpose="welcome", subject_id="sam", expires_at=NOON + DAY)
        work.commit()
    outcomes = at_once(shop, lambda work: work.links.use(link, purpose="welcome", now=NOON))
    assert outcomes == ["LinkExpired", "LinkExpired", "LinkExpired", "sam"]


def test_a_name_is_given_to_one_of_several_at_once(shop: Shop) -> None:
    def add(work: Any) -> str:
        person = replace(SAM, id=fresh_id())
        work.people.add(person)
        return "added"

    assert at_once(shop, add) == ["BadName", "BadName", "BadName", "added"]
