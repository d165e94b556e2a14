"""Guessing at passwords is slowed down, nobody is locked out by a stranger, and who is invited."""

from datetime import timedelta
from pathlib import Path

import pytest

from service.leads import letting_in
from service.leads.lead import LinkExpired, NotFound
from service.leads.letting_in import Place, known_place, strange_place
from service.leads.people import OWNER_ID, BadName, PersonRole
from tests.service.building import BuiltShop, build_shop

HOME, CAFE = strange_place("198.51.100.7"), strange_place("203.0.113.9")
PHONE = known_place("a" * 64)


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def guess(shop: BuiltShop, place: Place, times: int, name: str = OWNER_ID) -> None:
    with shop.ports.work() as work:
        for _ in range(times):
            work.people.record_guess(name, place.source, shop.now)
        work.commit()


def wait(shop: BuiltShop, place: Place, name: str = OWNER_ID) -> timedelta:
    with shop.ports.read() as work:
        return letting_in.wait_before_trying(work, name, place, shop.now)


def invited(shop: BuiltShop, name: str) -> letting_in.Welcome:
    with shop.ports.work() as work:
        welcome = letting_in.invite(work, shop.ports, name, now=shop.now)
        work.commit()
    return welcome


def choose(shop: BuiltShop, welcome: letting_in.Welcome, kept: str = "a hash") -> None:
    token = welcome.url.rpartition("/")[2]
    with shop.ports.work() as work:
        letting_in.choose_password(work, shop.ports, token, kept, now=shop.now)
        work.commit()


def test_pauses_grow_with_every_wrong_password_up_to_a_quarter_of_an_hour(shop: BuiltShop) -> None:
    guess(shop, PHONE, 9)
    assert wait(shop, PHONE) == timedelta(0)
    pauses = []
    for _ in range(8):
        guess(shop, PHONE, 1)
        pauses.append(wait(shop, PHONE).total_seconds())
        shop.now += wait(shop, PHONE)
        assert wait(shop, PHONE) == timedelta(0)
    assert pauses == [30, 60, 120, 240, 480, 900, 900, 900]


def test_a_pause_runs_from_the_latest_try(shop: BuiltShop) -> None:
    guess(shop, HOME, 12)
    shop.now += timedelta(seconds=80)
    assert wait(shop, HOME) == timedelta(seconds=40)


def test_tries_of_yesterday_do_not_count(shop: BuiltShop) -> None:
    guess(shop, HOME, 40)
    shop.now += timedelta(days=1, seconds=1)
    assert wait(shop, HOME) == timedelta(0)


def test_one_address_that_tries_many_names_waits_up_to_an_hour(shop: BuiltShop) -> None:
    for number in range(40):
        guess(shop, HOME, 1, name=f"name {number}")
    assert wait(shop, HOME, "another name") == timedelta(hours=1)
    assert wait(shop, CAFE, "another name") == timedelta(0)


def test_many_addresses_that_try_one_name_share_its_tries(shop: BuiltShop) -> None:
    for number in range(30):
        guess(shop, strange_place(f"192.0.2.{number}"), 1)
    assert wait(shop, HOME) == timedelta(minutes=15)
    assert wait(shop, HOME, "sam") == timedelta(0)


def test_a_stranger_does_not_keep_a_known_device_out(shop: BuiltShop) -> None:
    for number in range(200):
        guess(shop, strange_place(f"192.0.2.{number}"), 1)
    guess(shop, HOME, 50)
    assert wait(shop, HOME) > timedelta(0)
    assert wait(shop, PHONE) == timedelta(0)


def test_what_a_known_device_tries_does_not_count_against_others(shop: BuiltShop) -> None:
    guess(shop, PHONE, 50)
    assert wait(shop, PHONE) == timedelta(minutes=15)
    assert wait(shop, HOME) == timedelta(0)


def test_a_name_that_nobody_has_is_treated_the_same(shop: BuiltShop) -> None:
    choose(shop, invited(shop, "Sam Okoye"))
    for name in ("sam okoye", "nobody at all"):
        guess(shop, strange_place(f"192.0.2.{len(name)}"), 14, name)
    assert wait(shop, HOME, "sam okoye") == wait(shop, HOME, "nobody at all") > timedelta(0)


def test_the_right_password_forgets_what_was_tried_from_there_only(shop: BuiltShop) -> None:
    guess(shop, HOME, 12)
    guess(shop, CAFE, 12)
    with shop.ports.work() as work:
        work.people.forget_guesses(OWNER_ID, HOME.source)
        work.commit()
        assert work.people.guesses_from(HOME.source, shop.now).count == 0
        assert work.people.guesses_at(OWNER_ID, shop.now).count == 12


@pytest.mark.parametrize(
    ("address", "same"),
    [
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::9"),
        ("::ffff:198.51.100.7", "::ffff:198.51.100.7"),
        ("testclient", "testclient"),
    ],
)
def test_neighbours_in_one_network_of_the_newer_kind_are_one_place(address: str, same: str) -> None:
    assert strange_place(address) == strange_place(same)
    assert strange_place(address) != HOME
    assert len(strange_place("x" * 300).source) <= 64


@pytest.mark.parametrize("typed", ["", "  ", "Owner", "ida marsh", " Ida  MARSH "])
def test_the_owner_may_leave_the_name_empty(typed: str, shop: BuiltShop) -> None:
    with shop.ports.read() as work:
        assert letting_in.who_is_called(work, typed, "Ida Marsh") == OWNER_ID
        assert letting_in.who_is_called(work, "Sam  Okoye", "Ida Marsh") == "sam okoye"


@pytest.mark.parametrize(
    "name",
    ["", "  ", "x" * 61, "Sam\u202eokO", "owner", "Client", "GARLANDRY", "Ida Marsh", "SAM okoye"],
)
def test_a_name_that_would_be_mixed_up_is_refused(name: str, shop: BuiltShop) -> None:
    invited(shop, "Sam Okoye")
    with pytest.raises(BadName):
        invited(shop, name)


def test_an_invitation_works_once_and_for_three_days(shop: BuiltShop) -> None:
    welcome = invited(shop, " Sam   Okoye ")
    assert (welcome.person.name, welcome.person.role) == ("Sam Okoye", PersonRole.HELPER)
    assert welcome.expires_at == shop.now + timedelta(days=3)
    choose(shop, welcome)
    with pytest.raises(LinkExpired):
        choose(shop, welcome)
    late = invited(shop, "Kit")
    shop.now += timedelta(days=3)
    with pytest.raises(LinkExpired):
        choose(shop, late)


def test_of_several_links_only_the_newest_works(shop: BuiltShop) -> None:
    first = invited(shop, "Sam")
    with shop.ports.work() as work:
        second = letting_in.invite_again(work, shop.ports, first.person.id, now=shop.now)
        work.commit()
    with pytest.raises(LinkExpired):
        choose(shop, first)
    choose(shop, second)


def test_the_old_password_is_good_until_the_new_one_is_chosen(shop: BuiltShop) -> None:
    for password_hash in ("the first", "the second"):
        with shop.ports.work() as work:
            welcome = letting_in.owner_link(work, shop.ports, now=shop.now)
            kept = work.people.password_hash(OWNER_ID)
            work.commit()
        assert kept == (None if password_hash == "the first" else "the first")
        assert welcome.expires_at == shop.now + timedelta(days=1)
        choose(shop, welcome, password_hash)
    with shop.ports.read() as work:
        assert work.people.password_hash(OWNER_ID) == "the second"


def test_whose_access_was_ended_has_no_password_and_no_link(shop: BuiltShop) -> None:
    welcome = invited(shop, "Sam")
    choose(shop, welcome)
    person = welcome.person.id
    with shop.ports.work() as work:
        fresh = letting_in.invite_again(work, shop.ports, person, now=shop.now)
        letting_in.end(work, person, now=shop.now)
        assert work.people.password_hash(person) is None
        work.commit()
    with pytest.raises(LinkExpired):
        choose(shop, fresh)
    with shop.ports.work() as work:
        back = letting_in.invite_again(work, shop.ports, person, now=shop.now)
        assert work.people.password_hash(person) is None
        work.commit()
    choose(shop, back, "another")
    with shop.ports.read() as work:
        assert work.people.password_hash(person) == "another"
        assert work.people.get(person).ended_at is None


def test_the_owners_access_cannot_be_ended(shop: BuiltShop) -> None:
    with shop.ports.work() as work:
        choose_by = letting_in.owner_link(work, shop.ports, now=shop.now)
        work.commit()
    choose(shop, choose_by)
    with shop.ports.work() as work:
        with pytest.raises(NotFound):
            letting_in.end(work, OWNER_ID, now=shop.now)
        with pytest.raises(NotFound):
            letting_in.invite_again(work, shop.ports, OWNER_ID, now=shop.now)


def test_who_acts_is_named_in_histories(shop: BuiltShop) -> None:
    choose(shop, invited(shop, "Sam Okoye"))
    with shop.ports.work() as work:
        choose_by = letting_in.owner_link(work, shop.ports, now=shop.now)
        work.commit()
    choose(shop, choose_by)
    with shop.ports.read() as work:
        assert [each.who for each in work.people.every()] == ["owner", "Sam Okoye"]
