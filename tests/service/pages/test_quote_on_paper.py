"""A quote to be saved or printed, by the client's link and from the desk."""

from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.leads import booking, forgetting
from service.leads.lead import Client, Lead
from service.rendering import quote_document
from service.workshop.quote_document import QuoteDocument
from tests.service.building import PUBLIC_URL, BuiltShop, a_brief
from tests.service.pages.reading import elements_of, text_of
from tests.service.rendering import reading

NORA = Client(name="Nora Zyzzyva", email="nora@rowing.example")


def hold_a_time(shop: BuiltShop, lead: Lead) -> None:
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        book, day = shop.price_books.current(), a_brief().event.date
        assert day is not None
        first, *_ = booking.offered(work, lead, quote, book, day=day, now=shop.now)
        booking.place_hold(
            work, shop.ports, lead.id, starts_at=first.starts_at, client=NORA, now=shop.now
        )
        work.commit()


def test_the_page_leads_to_the_same_on_paper(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief(), client=NORA, language="es")
    path, _ = shop.paths(lead)
    page = client.get(path)
    links = [link["href"] for link in elements_of(page.text, "a")]
    assert f"{path}/quote.pdf" in links
    answer = client.get(f"{path}/quote.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].endswith('-1 Harbor Lane Balloons.pdf"')
    assert answer.headers["cache-control"] == "private, no-store"
    said = reading.text_of(answer.content)
    assert "Para Nora Zyzzyva" in said
    assert reading.sizes_of(answer.content)[0] == (216, 279)
    assert reading.qr_codes_of(answer.content) == [f"{PUBLIC_URL}{path}"]
    # A picture of it, and the words that the page has too.
    assert b"/DCTDecode" in answer.content
    for words in ("Lo más probable: unos", "Lo que recibes", "Lo que acordamos"):
        assert words in said
        assert words in text_of(page.text)
    english = client.get(f"{path}/quote.pdf?lang=en&paper=a4").content
    assert reading.sizes_of(english)[0] == (210, 297)
    assert "For Nora Zyzzyva" in reading.text_of(english)


def test_the_owner_prints_what_was_sent_with_the_time_that_is_held(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(), client=NORA)
    sent = owner.get(f"/desk/leads/{lead.id}/quote.pdf").content
    assert reading.qr_codes_of(sent) == [f"{PUBLIC_URL}{shop.paths(lead)[0]}"]
    hold_a_time(shop, lead)
    held = reading.text_of(owner.get(f"/desk/leads/{lead.id}/quote.pdf").content)
    assert "Your set-up time is held: Sunday, June 6, 2027" in held
    assert "We arrive at" in held


def test_a_link_that_is_followed_often_costs_one_setting_until_something_changes(
    shop: BuiltShop, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead, settings = shop.quoted(a_brief(), client=NORA), []
    real = quote_document.pdf

    def counted(said: QuoteDocument, **how: Any) -> bytes:
        settings.append(said)
        return real(said, **how)

    monkeypatch.setattr(quote_document, "pdf", counted)
    path, _ = shop.paths(lead)
    first, again = (client.get(f"{path}/quote.pdf?n={n}").content for n in range(2))
    assert (first == again, len(settings)) == (True, 1)
    hold_a_time(shop, lead)
    assert client.get(f"{path}/quote.pdf").content != first
    assert len(settings) == 2


def test_what_was_erased_is_not_printed(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(), client=NORA)
    path, _ = shop.paths(lead)
    with shop.ports.work() as work:
        forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    for gone in (f"/desk/leads/{lead.id}/quote.pdf", f"{path}/quote.pdf"):
        answer = owner.get(gone)
        assert answer.status_code in (404, 410)
        assert answer.headers["content-type"].startswith("text/html")


def test_a_link_that_has_run_out_prints_nothing(shop: BuiltShop, client: TestClient) -> None:
    path, _ = shop.paths(shop.quoted(a_brief()))
    shop.now += timedelta(days=30)
    assert client.get(f"{path}/quote.pdf").status_code == 410


def test_nobody_prints_what_has_no_price_yet(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(a_brief())
    page = owner.get(f"/desk/leads/{lead.id}/quote.pdf")
    assert page.status_code == 404
    assert "There is no quote to print" in text_of(page.text)
