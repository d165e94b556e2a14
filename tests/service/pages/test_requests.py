"""The page on which a website client follows a request."""

from datetime import timedelta

from starlette.testclient import TestClient

from service.estimating import Setting, Site
from service.leads import handling
from service.leads.lead import Lead
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import hold_for
from tests.service.pages.reading import elements_of, text_of
from tests.service.pages.test_quotes import send_firm


def path_for(shop: BuiltShop, lead: Lead) -> str:
    return f"/requests/{shop.link(handling.STATUS_LINK, lead.id, timedelta(days=90))}"


def test_it_reads_itself_again_while_the_price_is_worked_out(
    shop: BuiltShop, client: TestClient
) -> None:
    path = path_for(shop, shop.take_lead(a_brief()))
    assert client.get(path).headers["refresh"] == "2"
    shop.now += timedelta(minutes=2)
    page = client.get(path)
    assert page.headers["refresh"] == "10"
    assert "Your request is safe with us" in text_of(page.text)


def test_it_says_so_when_the_owner_looks_first_and_shows_the_firm_price_later(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=Site(setting=Setting.OUTDOOR, postal_code="02472")))
    path = path_for(shop, lead)
    page = client.get(path)
    text = text_of(page.text)
    assert "Ida Marsh wants to look at this one before naming a price" in text
    assert "$" not in text
    assert page.headers["refresh"] == "60"
    send_firm(shop, lead, "480")
    text = text_of(client.get(path).text)
    assert "The price is $480" in text
    assert "See the whole quote" in text


def test_its_links_leave_a_frame(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    html = client.get(path_for(shop, lead)).text
    buttons = [a for a in elements_of(html, "a") if "button" in str(a.get("class"))]
    assert len(buttons) == 2
    assert {button["target"] for button in buttons} == {"_top"}


def test_once_a_time_is_kept_what_was_said_of_free_ones_is_put_away(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = path_for(shop, lead)
    before = client.get(path).text
    assert "Here is your answer" in text_of(before)
    assert text_of(before).count("Ask again") == 1
    hold_for(shop, lead)
    html = client.get(path).text
    shown, _, folded = text_of(html).partition("What we wrote before")
    assert "This time is kept for you" in shown
    assert "is held for you: we arrive" in shown
    assert "Here is your answer" not in shown
    assert "Your ballpark is" not in shown
    assert "Your ballpark is" in folded
    assert [each.get("class") for each in elements_of(html, "details")] == ["more"]


def test_a_no_is_shown_as_it_was_written(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.work() as work:
        text = "We are away that week.\n\nHave a lovely day on the water!"
        handling.decline(work, shop.ports, lead_id=lead.id, text=text, now=shop.now)
        work.commit()
    html = client.get(path_for(shop, lead)).text
    assert "<p>We are away that week.</p>" in html
    assert "<p>Have a lovely day on the water!</p>" in html
