"""Money that comes and goes for a job, and the deposit that books its date."""

import threading
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine

from service.leads import accounts, cancelling, dues, paying
from service.leads.accounts import Account
from service.leads.cancelling import Cancellation, Wish
from service.leads.lead import Lead, LeadState, StaleDecision
from service.leads.paying import Doubtful, NotRecordable
from service.leads.payments import Payment, PaymentKind
from service.leads.reminders import Kind, State
from tests.service.building import NOON, BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import (
    BOSTON,
    SUNDAY,
    a_wall,
    an_entry,
    at,
    booked,
    days_before,
    held,
    hold_for,
    hold_of,
    pay,
    seen,
    told,
)

FRIDAY = date(2027, 6, 4)


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def account(shop: BuiltShop, lead: Lead) -> Account:
    with shop.ports.read() as work:
        quote = paying.quote_of(work, lead.id)
        return paying.of_lead(work, shop.lead(lead.id), quote)


def payments(shop: BuiltShop, lead: Lead) -> list[Payment]:
    with shop.ports.read() as work:
        return work.payments.of_lead(lead.id)


def test_the_deposit_books_the_held_date_and_the_client_reads_the_amount(shop: BuiltShop) -> None:
    lead = held(shop)
    before = account(shop, lead)
    payment = pay(shop, lead)
    assert shop.lead(lead.id).state is LeadState.BOOKED
    (last,) = told(shop, lead)[-1:]
    assert f"${payment.amount:.0f}" in last
    assert "Sunday, June 6, 2027 is booked" in last
    after = account(shop, lead)
    assert after.paid == payment.amount
    assert after.due == before.total - payment.amount
    with shop.ports.read() as work:
        history = [(c.who, c.what, c.detail.get("amount")) for c in work.leads.history(lead.id)]
    assert ("owner", "recorded the deposit", f"{payment.amount:.2f}") in history


def test_a_second_press_changes_nothing_and_a_changed_second_press_is_refused(
    shop: BuiltShop,
) -> None:
    lead = held(shop)
    entry, basis = an_entry(shop, lead), seen(shop, lead)
    first = pay(shop, lead, entry, basis=basis)
    heard = told(shop, lead)
    assert pay(shop, lead, entry, basis=basis) == first
    with pytest.raises(StaleDecision):
        pay(shop, lead, replace(entry, amount=entry.amount + 1), basis=basis)
    assert payments(shop, lead) == [first]
    assert told(shop, lead) == heard


def test_of_many_presses_at_once_one_is_recorded(engine: Engine) -> None:
    shop = BuiltShop(engine=engine)
    lead = held(shop)
    entry, basis = an_entry(shop, lead), seen(shop, lead)
    start = threading.Barrier(4)

    def press() -> None:
        start.wait()
        pay(shop, lead, entry, basis=basis)

    threads = [threading.Thread(target=press) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    (only,) = payments(shop, lead)
    assert only.id == entry.id
    assert len([text for text in told(shop, lead) if "is booked" in text]) == 1


def test_an_amount_that_was_not_to_be_expected_is_asked_about_once(shop: BuiltShop) -> None:
    lead = held(shop)
    whole = account(shop, lead).total
    for amount, said in (("10", "The deposit is $165. Is $10 right?"), ("900", "is still due")):
        with pytest.raises(Doubtful, match="right") as asked:
            pay(shop, lead, amount=Decimal(amount))
        assert said in str(asked.value)
    assert payments(shop, lead) == []
    assert shop.lead(lead.id).state is LeadState.HELD
    pay(shop, lead, amount=Decimal(10), sure=True)
    assert shop.lead(lead.id).state is LeadState.BOOKED
    assert account(shop, lead).due == whole - 10


@pytest.mark.parametrize(
    ("entered", "field"),
    [
        ({"amount": Decimal(0)}, "amount"),
        ({"paid_on": NOON.date() + timedelta(days=1)}, "paid_on"),
        ({"paid_on": NOON.date() - timedelta(days=1000)}, "paid_on"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(
    entered: dict[str, Any], field: str, shop: BuiltShop
) -> None:
    lead = held(shop)
    with pytest.raises(NotRecordable) as refused:
        pay(shop, lead, sure=True, **entered)
    assert refused.value.field == field
    assert payments(shop, lead) == []


def test_a_deposit_for_a_date_that_has_changed_since_is_refused(shop: BuiltShop) -> None:
    lead = held(shop)
    basis = seen(shop, lead)
    for stale in (replace(basis, hold="another"), replace(basis, quote="G1-1")):
        with pytest.raises(StaleDecision):
            pay(shop, lead, basis=stale)
    assert shop.lead(lead.id).state is LeadState.HELD


def test_money_without_a_date_is_recorded_and_books_nothing(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    pay(shop, lead)
    assert shop.lead(lead.id).state is LeadState.QUOTED
    assert "is here, thank you" in told(shop, lead)[-1]


def test_the_rest_closes_the_account_and_says_so(shop: BuiltShop) -> None:
    lead = booked(shop)
    part = Decimal("50.50")
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=part)
    due = account(shop, lead).due
    assert told(shop, lead)[-1] == (
        f"Your $50.50 is here, thank you! Still due: ${due}, by Thursday, June 3, 2027."
    )
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=due)
    assert told(shop, lead)[-1].endswith("Everything is paid.")
    assert account(shop, lead).due == 0


def test_a_mistaken_entry_stays_and_counts_for_nothing(shop: BuiltShop) -> None:
    lead = booked(shop)
    due = account(shop, lead).due
    shop.now += timedelta(hours=1)
    wrong = pay(shop, lead, kind=PaymentKind.BALANCE, amount=Decimal(20))
    heard = told(shop, lead)
    shop.now += timedelta(hours=1)
    for _ in range(2):
        with shop.ports.work() as work:
            paying.void(work, shop.ports, lead.id, wrong.id, who="owner", now=shop.now)
            work.commit()
    assert account(shop, lead).due == due
    assert [(each.id, each.voided_at) for each in payments(shop, lead)][1:] == [
        (wrong.id, shop.now)
    ]
    assert told(shop, lead) == heard
    with shop.ports.read() as work:
        struck = [c for c in work.leads.history(lead.id) if c.what.startswith("struck out")]
    assert len(struck) == 1


def test_what_was_paid_too_much_has_to_go_back(shop: BuiltShop) -> None:
    lead = booked(shop)
    due = account(shop, lead).due
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=due + 40, sure=True)
    assert account(shop, lead).owed_back == 40
    with pytest.raises(Doubtful):
        pay(shop, lead, kind=PaymentKind.REFUND, amount=Decimal(41))
    pay(shop, lead, kind=PaymentKind.REFUND, amount=Decimal(40))
    assert told(shop, lead)[-1] == "We have sent $40 back to you."
    after = account(shop, lead)
    assert after.due == after.owed_back == 0


def test_the_list_of_what_is_due_goes_by_the_day_and_marks_what_is_late(shop: BuiltShop) -> None:
    later = booked(shop, a_wall(date(2027, 6, 9)), starts_at=at(9, day=date(2027, 6, 9)))
    sooner = booked(shop)
    # Nothing is paid of this one yet, so it is not certain that anything ever will be.
    held(shop, a_wall(date(2027, 6, 12)), starts_at=at(9, day=date(2027, 6, 12)))
    shop.now = days_before(2)
    with shop.ports.read() as work:
        found = dues.dues(work, shop.ports, now=shop.now)
    assert [(due.lead.id, due.on, due.overdue) for due in found] == [
        (sooner.id, date(2027, 6, 3), True),
        (later.id, date(2027, 6, 6), False),
    ]
    rest = found[1].account.due
    pay(shop, later, kind=PaymentKind.BALANCE, amount=rest)
    with shop.ports.read() as work:
        assert [due.lead.id for due in dues.dues(work, shop.ports, now=shop.now)] == [sooner.id]


def test_of_a_late_booking_the_rest_is_due_with_the_deposit_and_no_sooner(
    shop: BuiltShop,
) -> None:
    lead = shop.quoted(a_brief())
    shop.now = days_before(1)
    pay(shop, lead)
    with shop.ports.read() as work:
        (due,) = dues.dues(work, shop.ports, now=shop.now)
        later = dues.dues(work, shop.ports, now=shop.now + timedelta(days=1))
    assert (due.on, due.overdue) == (date(2027, 6, 5), False)
    assert [each.overdue for each in later] == [True]


def test_of_an_event_that_is_near_the_rest_is_due_with_the_deposit_and_everywhere_the_same(
    shop: BuiltShop,
) -> None:
    lead = shop.quoted(a_brief())
    shop.now = days_before(4)
    hold_for(shop, lead)
    ends = hold_of(shop, lead).expires_at.astimezone(BOSTON).date()
    assert ends == FRIDAY
    with shop.ports.read() as work:
        quote, hold = paying.quote_of(work, lead.id), work.holds.of_lead(lead.id)
        assert paying.due_on(work, shop.ports, lead, quote, hold) == FRIDAY
    left = account(shop, lead).due - quote.deposit
    rest = f"The rest, ${left:.0f}, is due by Friday, June 4, 2027."
    assert told(shop, lead)[-1].endswith(rest)
    # Paid sooner than it had to be: what the client has read still holds.
    pay(shop, lead)
    assert told(shop, lead)[-1].endswith(rest)
    with shop.ports.read() as work:
        (due,) = dues.dues(work, shop.ports, now=shop.now)
        (balance,) = [r for r in work.reminders.of_lead(lead.id) if r.kind is Kind.BALANCE]
    assert due.on == FRIDAY
    asked_on = balance.due_at.astimezone(BOSTON).date()
    assert asked_on == FRIDAY - timedelta(days=shop.price_books.current().follow_up.balance.days)


def test_the_rest_is_due_on_the_day_of_the_event_at_the_latest(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    shop.now = days_before(-1)
    pay(shop, lead)
    with shop.ports.read() as work:
        (due,) = dues.dues(work, shop.ports, now=shop.now)
    assert (due.on, due.overdue) == (SUNDAY, True)


def paid_up(shop: BuiltShop) -> Lead:
    """A booked job of which everything is paid."""
    lead = booked(shop)
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=account(shop, lead).due)
    return lead


def test_money_that_is_given_back_lowers_the_price_and_nothing_is_due_again(
    shop: BuiltShop,
) -> None:
    lead = paid_up(shop)
    whole = account(shop, lead)
    pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(20))
    after = account(shop, lead)
    assert after.given == after.refunded == 20
    assert after.total == whole.total - 20
    assert after.due == after.owed_back == 0
    assert told(shop, lead)[-1] == (
        "We have sent $20 back to you. Your price is lower by that much."
    )
    with shop.ports.read() as work:
        assert dues.dues(work, shop.ports, now=shop.now) == []
        owed = [r for r in work.reminders.of_lead(lead.id) if r.state is State.OWED]
        whats = [change.what for change in work.leads.history(lead.id)]
    assert Kind.BALANCE not in {each.kind for each in owed}
    assert "recorded money given back" in whats


def test_a_refund_that_is_owed_again_is_asked_about_and_the_client_reads_what_is_due(
    shop: BuiltShop,
) -> None:
    lead = paid_up(shop)
    with pytest.raises(Doubtful, match=r"\$20 would be due from them again, unless it lowers"):
        pay(shop, lead, kind=PaymentKind.REFUND, amount=Decimal(20))
    pay(shop, lead, kind=PaymentKind.REFUND, amount=Decimal(20), sure=True)
    assert account(shop, lead).due == 20
    assert told(shop, lead)[-1] == (
        "We have sent $20 back to you. Still due: $20, by Thursday, June 3, 2027."
    )


def test_no_more_is_given_back_than_was_paid_and_what_is_owed_back_is_not_forgotten(
    shop: BuiltShop,
) -> None:
    lead = booked(shop)
    with pytest.raises(NotRecordable, match=r"No more than \$165 of the price"):
        pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(166), sure=True)
    due = account(shop, lead).due
    pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(15))
    assert account(shop, lead).due == due
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=due + 30, sure=True)
    with pytest.raises(Doubtful, match=r"\$30 still has to go back to the client besides"):
        pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(10))
    pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(10), sure=True)
    assert account(shop, lead).owed_back == 30


def test_what_is_given_back_after_canceling_is_kept_no_more(shop: BuiltShop) -> None:
    lead = paid_up(shop)
    pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(20))
    shop.now = days_before(1)
    with shop.ports.work() as work:
        decided = Cancellation(by=Wish.CLIENT, returned=Decimal(0), reason="too late")
        cancelling.cancel(
            work, shop.ports, lead.id, decided, seen=seen(shop, lead), who="owner", now=shop.now
        )
        work.commit()
    before = account(shop, lead)
    assert before.due == before.owed_back == 0
    shop.now += timedelta(hours=1)
    pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(50))
    after = account(shop, lead)
    assert after.total == before.total - 50
    assert after.due == after.owed_back == 0


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "We wrote that your $20 is here. That was a slip of ours, and we are sorry: it "),
        ("es", "Te escribimos que tus $20"),
    ],
)
def test_there_are_words_for_a_client_who_was_told_of_a_mistaken_entry(
    language: str, said: str, shop: BuiltShop
) -> None:
    lead = booked(shop, language=language)
    wrong = pay(shop, lead, kind=PaymentKind.BALANCE, amount=Decimal(20))
    with shop.ports.work() as work:
        assert paying.taken_back(work, shop.ports, lead.id, wrong.id) is None
        paying.void(work, shop.ports, lead.id, wrong.id, who="owner", now=shop.now)
        words = paying.taken_back(work, shop.ports, lead.id, wrong.id)
        assert paying.taken_back(work, shop.ports, lead.id, "another") is None
    assert words is not None
    assert words.text.startswith(said)
    assert "%" not in words.text


def test_sales_tax_comes_on_top_to_the_cent(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief(client_keeps=True))
    with shop.ports.read() as work:
        quote = paying.quote_of(work, lead.id)
    price = quote.estimate.price
    assert price.tax > 0
    assert accounts.tax_on(quote) == price.tax
    included = replace(
        quote, estimate=replace(quote.estimate, price=replace(price, tax_included=True))
    )
    assert accounts.account(included, []).total == quote.likely
    firm = replace(quote, likely=Decimal("333.33"))
    exact = Decimal("333.33") * price.tax_rate * price.taxable_share
    assert abs(accounts.tax_on(firm) - exact) <= Decimal("0.005")


@given(
    entries=st.lists(
        st.tuples(
            st.sampled_from(list(PaymentKind)),
            st.decimals("0.01", "5000", places=2),
            st.booleans(),
        ),
        max_size=8,
    ),
    price=st.decimals("1", "5000", places=2),
    fee=st.decimals("0", "100", places=2),
)
def test_an_account_never_loses_a_cent(
    entries: list[tuple[PaymentKind, Decimal, bool]], price: Decimal, fee: Decimal
) -> None:
    recorded = [
        Payment(
            id=str(number),
            lead_id="a",
            kind=kind,
            amount=amount,
            currency="USD",
            paid_on=NOON.date(),
            method="",
            reference="",
            recorded_at=NOON,
            recorded_by="owner",
            voided_at=NOON if voided else None,
        )
        for number, (kind, amount, voided) in enumerate(entries)
    ]
    sums = Account(
        currency="USD",
        price=price,
        tax=Decimal(0),
        fees=fee,
        given=accounts.given(recorded),
        total=price + fee - accounts.given(recorded),
        paid=accounts.paid(recorded),
        refunded=accounts.refunded(recorded),
    )
    assert sums.due >= 0
    assert sums.owed_back >= 0
    assert sums.due * sums.owed_back == 0
    assert sums.total - sums.due + sums.owed_back == sums.paid - sums.refunded
