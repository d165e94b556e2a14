"""What clients read to be due: how much, and by which day, in their own language."""

from decimal import Decimal

import pytest
from starlette.testclient import TestClient

from service.leads.lead import Lead
from service.leads.payments import PaymentKind
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import booked, days_before, held, hold_for, pay, told
from tests.service.pages.reading import text_of


def read(shop: BuiltShop, client: TestClient, lead: Lead) -> str:
    """The client's page of their time."""
    return text_of(client.get(shop.paths(lead)[1]).text)


@pytest.mark.parametrize(
    ("language", "rest", "to_pay"),
    [
        (
            "en",
            "The rest, $160, is due by Thursday, June 3, 2027.",
            "Still to pay $160, by Thursday, June 3, 2027",
        ),
        (
            "es",
            "El resto, $160, se paga a más tardar el jueves, 3 de junio de 2027.",
            "Falta pagar $160, a más tardar el jueves, 3 de junio de 2027",
        ),
    ],
)
def test_the_rest_is_named_with_its_day_on_the_held_page_the_booked_page_and_in_messages(
    language: str, rest: str, to_pay: str, shop: BuiltShop, client: TestClient
) -> None:
    lead = held(shop, language=language)
    assert rest in read(shop, client, lead)
    assert told(shop, lead)[-1].endswith(rest)
    pay(shop, lead)
    page = read(shop, client, lead)
    assert to_pay in page
    assert rest not in page
    assert told(shop, lead)[-1].endswith(rest)


def test_of_an_event_that_is_near_no_page_asks_for_the_rest_before_the_deposit(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    shop.now = days_before(4)
    hold_for(shop, lead)
    page = read(shop, client, lead)
    assert "You send the deposit by Friday, June 4, 2027, 8:00 PM." in page
    assert "The rest, $160, is due by Friday, June 4, 2027." in page
    pay(shop, lead)
    assert "Still to pay $160, by Friday, June 4, 2027" in read(shop, client, lead)


def test_a_gift_stands_on_the_booked_page_and_nothing_is_to_be_paid_again(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = booked(shop)
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=Decimal(160))
    pay(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(20))
    page = read(shop, client, lead)
    assert "Paid so far $325 Given back to you $20" in page
    assert "Still to pay" not in page
