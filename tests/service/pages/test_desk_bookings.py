"""A booked job at the desk: its money, another date, canceling; and the list of what is due."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from starlette.testclient import TestClient

from service.leads import paying
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Lead, LeadState
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import at, booked, days_before, held, hold_for, hold_of, told
from tests.service.pages.reading import elements_of, hidden_in, sign_in, text_of

MONDAY = date(2027, 6, 7)


def page_of(lead: Lead) -> str:
    return f"/desk/bookings/{lead.id}"


def owner_at(shop: BuiltShop, browser: Callable[[], TestClient], days: int) -> TestClient:
    """The owner signs in, so many days before the event."""
    shop.now = days_before(days)
    owner = browser()
    sign_in(owner, shop.link(WELCOME_LINK, "owner"))
    return owner


def entered(owner: TestClient, lead: Lead, **typed: str) -> dict[str, str]:
    """The form for money as it comes with the page, and what is typed into it."""
    html = owner.get(page_of(lead)).text
    usual = {"kind": "deposit", "amount": "165", "paid_on": "2027-01-10", "method": "cash"}
    return hidden_in(html) | usual | typed


def due(shop: BuiltShop, lead: Lead) -> Decimal:
    with shop.ports.read() as work:
        quote = paying.quote_of(work, lead.id)
        return paying.of_lead(work, shop.lead(lead.id), quote).due


def test_the_deposit_is_recorded_once_however_often_it_is_pressed(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = held(shop)
    form = entered(owner, lead)
    for _ in range(2):
        answer = owner.post(f"{page_of(lead)}/payments", data=form)
        assert answer.status_code == 303
    text = text_of(owner.get(f"{page_of(lead)}?done=booked").text)
    assert "the date is booked" in text
    assert text.count("$165.00, the deposit") == 1
    assert shop.lead(lead.id).state is LeadState.BOOKED


def test_an_amount_that_was_not_expected_is_asked_about_once_more(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = held(shop)
    form = entered(owner, lead, amount="16.50")
    asked = owner.post(f"{page_of(lead)}/payments", data=form)
    assert asked.status_code == 422
    assert "The deposit is $165. Is $16.50 right?" in text_of(asked.text)
    assert "Yes, record it" in asked.text
    again = hidden_in(asked.text)
    assert again["nonce"] == form["nonce"]
    # Yes to one amount is not yes to another.
    other = owner.post(
        f"{page_of(lead)}/payments", data=form | {"sure": again["sure"], "amount": "17"}
    )
    assert other.status_code == 422
    sure = owner.post(f"{page_of(lead)}/payments", data=form | {"sure": again["sure"]})
    assert sure.status_code == 303
    assert shop.lead(lead.id).state is LeadState.BOOKED


def test_the_date_says_each_day_once_and_breaks_no_time(shop: BuiltShop, owner: TestClient) -> None:
    html = owner.get(page_of(booked(shop))).text
    date = text_of(html).split("The date")[1].split("The money")[0]
    assert date.count("Sunday, June 6, 2027") == 1
    assert "9:00 AM to 10:30 AM" in date
    assert "9:00\N{NO-BREAK SPACE}AM" in html


def test_what_was_typed_wrong_is_said_beside_it_and_nothing_is_recorded(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = held(shop)
    for typed, said in (
        ({"amount": "480,50"}, "with the comma before three digits"),
        ({"amount": "0"}, "above zero"),
        ({"amount": "2,000,000"}, "at most a million"),
        ({"paid_on": "yesterday"}, "Write the day as month/day/year."),
        ({"paid_on": "2027-02-01"}, "That day is still to come."),
        ({"kind": "present"}, "Say what it is."),
        ({"kind": "gift"}, "No more than $0 of the price can be given back."),
        ({"method": "m" * 41}, "Keep it to 40 characters"),
        ({"nonce": "short"}, "Load it afresh"),
    ):
        answer = owner.post(f"{page_of(lead)}/payments", data=entered(owner, lead, **typed))
        assert answer.status_code == 422, typed
        assert said in text_of(answer.text)
    with shop.ports.read() as work:
        assert work.payments.of_lead(lead.id) == []


def test_a_page_that_is_out_of_date_decides_nothing(shop: BuiltShop, owner: TestClient) -> None:
    lead = held(shop)
    form = entered(owner, lead, hold="another")
    answer = owner.post(f"{page_of(lead)}/payments", data=form)
    assert answer.status_code == 409
    assert "has changed in the meantime" in text_of(answer.text)
    assert shop.lead(lead.id).state is LeadState.HELD


def voiding(html: str) -> list[str]:
    """Where the page's entries can be struck out."""
    return [str(a["href"]) for a in elements_of(html, "a") if "void" in str(a.get("href"))]


def test_a_mistaken_entry_is_struck_through_once_that_is_confirmed(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = booked(shop)
    html = owner.get(page_of(lead)).text
    assert not [f for f in elements_of(html, "form") if "void" in str(f["action"])]
    (void,) = voiding(html)
    asked = owner.get(void)
    assert "Strike out $165.00?" in text_of(asked.text)
    assert "and the date stays booked. It can't be undone." in text_of(asked.text)
    assert due(shop, lead) == 160
    after = owner.post(void, data=hidden_in(asked.text))
    assert after.status_code == 303
    assert due(shop, lead) == 325
    html = owner.get(after.headers["location"]).text
    assert len(elements_of(html, "s")) == 1
    assert "struck out on Sunday, January 10, 2027" in text_of(html)
    assert "You struck out the deposit" in text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert voiding(html) == []
    assert owner.get(void).status_code == 404


def test_the_client_who_was_told_of_a_mistake_is_written_to_in_their_own_language(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = booked(shop, language="es")
    (void,) = voiding(owner.get(page_of(lead)).text)
    heard = told(shop, lead)
    after = owner.post(void, data=hidden_in(owner.get(void).text))
    html = owner.get(after.headers["location"]).text
    words = "Te escribimos que tus $165 llegaron. Fue un error nuestro y lo sentimos: no cuenta."
    assert words in text_of(html)
    assert told(shop, lead) == heard
    (answer,) = [f["action"] for f in elements_of(html, "form") if "answer" in str(f["action"])]
    sent = owner.post(str(answer), data=hidden_in(html) | {"answer": f"{words} Ida"})
    assert sent.status_code == 303
    assert told(shop, lead) == [*heard, f"{words} Ida"]
    assert words not in text_of(owner.get(page_of(lead)).text)


def test_of_a_booking_that_is_paid_up_money_sent_back_lowers_the_price_unless_it_is_said(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = booked(shop)
    rest = entered(owner, lead, kind="balance", amount=str(due(shop, lead)))
    assert owner.post(f"{page_of(lead)}/payments", data=rest).status_code == 303
    html = owner.get(page_of(lead)).text
    (chosen,) = [o["value"] for o in elements_of(html, "option") if "selected" in o]
    assert chosen == "gift"
    form = entered(owner, lead, kind=str(chosen), amount="20")
    assert owner.post(f"{page_of(lead)}/payments", data=form).status_code == 303
    assert due(shop, lead) == 0
    text = text_of(owner.get(page_of(lead)).text)
    assert "−$20.00" in text.replace("-", "−")
    assert "$20.00, money off, sent back: the price is lower by it" in text
    assert "Every booked job is paid." in text_of(owner.get("/desk/money").text)
    form = entered(owner, lead, kind="refund", amount="20")
    asked = owner.post(f"{page_of(lead)}/payments", data=form)
    assert "$20 would be due from them again, unless it lowers the price" in text_of(asked.text)


def test_of_an_event_that_is_near_the_desk_says_the_same_day_as_the_client_reads(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = shop.quoted(a_brief())
    owner = owner_at(shop, browser, 4)
    hold_for(shop, lead)
    assert "Held without a deposit until Friday, June 4" in text_of(owner.get(page_of(lead)).text)
    assert "Still due by Friday, June 4, 2027" in text_of(owner.get(page_of(lead)).text)
    form = entered(owner, lead, paid_on="2027-06-02")
    assert owner.post(f"{page_of(lead)}/payments", data=form).status_code == 303
    assert "Still due by Friday, June 4, 2027" in text_of(owner.get(page_of(lead)).text)
    assert "$160.00 by Friday, June 4, 2027" in text_of(owner.get("/desk/money").text)


def test_another_date_shows_its_fee_before_it_is_taken(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = booked(shop)
    owner = owner_at(shop, browser, 10)
    before = due(shop, lead)
    html = owner.get(f"{page_of(lead)}?day={MONDAY}&why=client").text
    assert "Your rules ask $45 for another date this late" in text_of(html)
    assert hold_of(shop, lead).window.starts_at == at(9)
    form = hidden_in(html) | {"starts_at": at(9, day=MONDAY).isoformat(), "fee": "45.00"}
    assert owner.post(f"{page_of(lead)}/date", data=form).status_code == 303
    assert hold_of(shop, lead).window.starts_at == at(9, day=MONDAY)
    assert due(shop, lead) == before + 45
    # The same page once more: what it showed is no more.
    assert owner.post(f"{page_of(lead)}/date", data=form).status_code == 409
    assert due(shop, lead) == before + 45


def test_another_date_can_be_free_of_its_fee_and_a_time_has_to_be_picked(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = booked(shop)
    owner = owner_at(shop, browser, 10)
    before = due(shop, lead)
    form = hidden_in(owner.get(f"{page_of(lead)}?day={MONDAY}&why=client").text)
    missing = owner.post(f"{page_of(lead)}/date", data=form | {"fee": "0"})
    assert missing.status_code == 422
    assert "Pick a time first." in text_of(missing.text)
    form |= {"starts_at": at(9, day=MONDAY).isoformat(), "fee": "0"}
    assert owner.post(f"{page_of(lead)}/date", data=form).status_code == 303
    assert due(shop, lead) == before


def test_a_held_date_is_given_back(shop: BuiltShop, owner: TestClient) -> None:
    lead = held(shop)
    form = hidden_in(owner.get(page_of(lead)).text)
    assert owner.post(f"{page_of(lead)}/release", data=form).status_code == 303
    assert shop.lead(lead.id).state is LeadState.QUOTED
    assert owner.post(f"{page_of(lead)}/release", data=form).status_code == 409


def test_a_cancellation_is_worked_out_shown_and_can_be_changed_with_a_reason(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = booked(shop)
    owner = owner_at(shop, browser, 20)
    html = owner.get(f"{page_of(lead)}?cancel=client").text
    text = text_of(html)
    assert "The client cancels, 20 days before the event." in text
    assert "50% of the deposit goes back" in text
    assert text.count("$82.50") == 2  # kept, and back
    form = hidden_in(html) | {"returned": "100", "reason": "", "text": ""}
    asked = owner.post(f"{page_of(lead)}/cancel", data=form)
    assert asked.status_code == 422
    assert "Say why it is not what your rules return" in text_of(asked.text)
    assert shop.lead(lead.id).state is LeadState.BOOKED
    form["reason"] = "they have been with us for years"
    assert owner.post(f"{page_of(lead)}/cancel", data=form).status_code == 303
    text = text_of(owner.get(page_of(lead)).text)
    assert "$100 has to go back to the client" in text
    assert "$100 goes back to you, and " in told(shop, lead)[-1]
    owed = text_of(owner.get("/desk/money").text)
    assert "Has to go back" in owed
    assert "$100.00 to be sent back" in owed
    assert owner.post(f"{page_of(lead)}/cancel", data=form).status_code == 409
    request = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "the client's wish" in request


def test_the_list_of_what_is_due_leads_to_the_jobs(
    shop: BuiltShop, owner: TestClient, browser: Callable[[], TestClient]
) -> None:
    assert "Every booked job is paid." in text_of(owner.get("/desk/money").text)
    lead = booked(shop)
    html = owner.get("/desk/money").text
    assert f"${due(shop, lead):.2f} by Thursday, June 3, 2027" in text_of(html)
    assert page_of(lead) in [a.get("href") for a in elements_of(html, "a")]
    owner = owner_at(shop, browser, 1)
    assert "Should have come" in text_of(owner.get("/desk/money").text)


def test_reading_changes_nothing(shop: BuiltShop, owner: TestClient) -> None:
    lead = booked(shop)
    heard, hold = told(shop, lead), hold_of(shop, lead)
    for query in ("?cancel=client", "?cancel=shop", f"?day={MONDAY}&why=shop", "?day=x&why=y"):
        assert owner.get(f"{page_of(lead)}{query}").status_code == 200
    assert (told(shop, lead), hold_of(shop, lead)) == (heard, hold)
    assert owner.get("/desk/bookings/none").status_code == 404
    assert owner.get(page_of(shop.take_lead(a_brief()))).status_code == 404
