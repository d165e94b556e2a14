"""Payments, terms and feeds, on SQLite and PostgreSQL."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from service.leads.agreements import Acceptance, Clauses, Terms
from service.leads.feeds import Feed
from service.leads.lead import Lead, LeadState, NotFound
from service.leads.payments import Payment, PaymentKind
from service.leads.people import PersonRole
from tests.service.storage.conftest import NOON, Shop


def a_payment(lead: Lead, number: int = 1) -> Payment:
    return Payment(
        id=f"payment {number}",
        lead_id=lead.id,
        kind=PaymentKind.DEPOSIT,
        amount=Decimal("165.10"),
        currency="USD",
        paid_on=date(2027, 1, 9),
        method="check",
        reference="No. 104",
        recorded_at=NOON + timedelta(minutes=number),
        recorded_by="owner",
    )


def test_entries_come_back_as_they_were_recorded_and_stay_when_voided(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    lead = a_lead()
    first, second = a_payment(lead, 1), a_payment(lead, 2)
    with shop.work() as work:
        work.payments.add(second)
        work.payments.add(first)
        work.payments.void(first.id, NOON)
        work.payments.void(first.id, NOON + timedelta(days=1))
        work.commit()
    with shop.read() as work:
        assert work.payments.of_lead(lead.id) == [replace(first, voided_at=NOON), second]
        assert work.payments.find(second.id) == second
        assert work.payments.find("another") is None


def test_open_accounts_are_looked_for_among_those_that_can_be(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    leads = {state: a_lead() for state in LeadState}
    paid = a_lead()
    with shop.work() as work:
        for state, lead in leads.items():
            work.leads.save(replace(lead, state=state))
        work.leads.save(replace(paid, state=LeadState.DECLINED))
        work.payments.add(a_payment(paid))
        work.commit()
    with shop.read() as work:
        found = work.payments.to_settle(since=date(2026, 1, 1))
    # These leads have no day, so of the one that is done nobody can tell how long ago it was.
    assert set(found) == {leads[LeadState.BOOKED].id, paid.id}


def test_terms_are_kept_once_and_acceptances_in_order(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    lead = a_lead()
    terms = Terms(version="v1", by_language={"es": Clauses(terms="Así es.", weather="Llueve.")})
    with shop.work() as work:
        for number in range(2):
            work.agreements.keep(terms, NOON)
            at = NOON + timedelta(days=number)
            work.agreements.accept(lead.id, Acceptance(version="v1", language="es", at=at))
        work.commit()
    with shop.read() as work:
        accepted = work.agreements.accepted(lead.id)
        assert accepted is not None
        assert accepted.at == NOON + timedelta(days=1)
        assert work.agreements.terms("v1") == terms
        with pytest.raises(NotFound):
            work.agreements.terms("v2")


def test_a_feeds_key_is_stored_nowhere_and_opens_it_until_it_is_revoked(shop: Shop) -> None:
    feed = Feed(id="feed", role=PersonRole.HELPER, name="Lena's phone", made_at=NOON)
    with shop.work() as work:
        key = work.feeds.make(feed)
        work.commit()
    assert len(key) * 6 >= 128
    with shop.work() as work:
        rows = work._connection.exec_driver_sql("SELECT * FROM feeds").all()
        assert key not in str(rows)
        assert work.feeds.of_key(key) == feed
        assert work.feeds.every() == [feed]
        work.feeds.revoke(feed.id, NOON)
        assert work.feeds.of_key(key) is None
        assert work.feeds.every() == []
