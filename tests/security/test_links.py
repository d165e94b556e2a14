"""Signed links: each for one thing, one purpose and a time, and nothing that is made up."""

from datetime import timedelta

import pytest

from service.leads.follow_up.stopping import STOP_LINK
from service.leads.handling import BOOKING_LINK, QUOTE_LINK, STATUS_LINK, WELCOME_LINK
from service.leads.lead import LinkExpired, NotFound
from service.storage.ids import fresh_id
from service.storage.signing import LinkSigner
from tests.service.building import BuiltShop, a_brief, build_shop

PURPOSES = (QUOTE_LINK, BOOKING_LINK, STATUS_LINK, STOP_LINK, WELCOME_LINK, "form", "known-device")
SIGNER = LinkSigner("a secret for tests only")


def refused(token: str, purpose: str = QUOTE_LINK) -> bool:
    try:
        SIGNER.read(token, purpose=purpose)
    except NotFound:
        return True
    return False


def test_no_other_byte_in_any_place_is_taken() -> None:
    token = SIGNER.sign(fresh_id(), purpose=QUOTE_LINK)
    raw = token.encode()
    tampered = {
        (raw[:at] + bytes([byte]) + raw[at + 1 :]).decode("latin-1")
        for at in range(len(raw))
        for byte in (raw[at] ^ 1, raw[at] ^ 0x20, 0, ord("."), ord("A"), 0xFF)
    } - {token}
    assert len(tampered) > 4 * len(raw)
    assert all(refused(each) for each in tampered)
    shorter = [token[:at] for at in range(len(token))]
    assert all(refused(each) for each in (*shorter, token + "A", token + "=", token * 2, ""))


@pytest.mark.parametrize("purpose", PURPOSES)
def test_a_link_is_good_for_its_own_purpose_alone(purpose: str) -> None:
    token = SIGNER.sign(fresh_id(), purpose=purpose)
    assert [each for each in PURPOSES if not refused(token, each)] == [purpose]


def test_another_shops_links_open_nothing() -> None:
    assert refused(LinkSigner("another secret").sign(fresh_id(), purpose=QUOTE_LINK))


@pytest.fixture
def shop(tmp_path_factory: pytest.TempPathFactory) -> BuiltShop:
    return build_shop(tmp_path_factory.mktemp("shop"))


def test_after_its_time_or_once_it_is_taken_back_it_stays_shut(shop: BuiltShop) -> None:
    lead = shop.take_lead(a_brief())
    with shop.ports.work() as work:
        until = shop.now + timedelta(days=1)
        link = work.links.add(purpose=QUOTE_LINK, subject_id=lead.id, expires_at=until)
        other = work.links.add(purpose=QUOTE_LINK, subject_id=lead.id, expires_at=until)
        assert work.links.find(link, purpose=QUOTE_LINK, now=shop.now) == lead.id
        with pytest.raises(NotFound):
            work.links.find(link, purpose=BOOKING_LINK, now=shop.now)
        with pytest.raises(LinkExpired):
            work.links.find(link, purpose=QUOTE_LINK, now=until)
        work.links.revoke(lead.id, QUOTE_LINK, shop.now)
        # Neither looking again nor making it last longer brings it back.
        work.links.prolong(lead.id, purpose=QUOTE_LINK, until=until + timedelta(days=9))
        for each in (link, other):
            with pytest.raises(LinkExpired):
                work.links.find(each, purpose=QUOTE_LINK, now=shop.now)
            with pytest.raises(LinkExpired):
                work.links.use(each, purpose=QUOTE_LINK, now=shop.now)


def test_a_link_that_works_once_works_once(shop: BuiltShop) -> None:
    with shop.ports.work() as work:
        until = shop.now + timedelta(days=1)
        link = work.links.add(purpose=WELCOME_LINK, subject_id="owner", expires_at=until)
        assert work.links.use(link, purpose=WELCOME_LINK, now=shop.now) == "owner"
        with pytest.raises(LinkExpired):
            work.links.use(link, purpose=WELCOME_LINK, now=shop.now)
