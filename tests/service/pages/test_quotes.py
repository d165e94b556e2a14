"""The quote page."""

import re
from dataclasses import replace
from datetime import date, time, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.estimating import (
    UNCALIBRATED,
    Accent,
    AccentKind,
    Budget,
    Calibration,
    ColourShare,
    Event,
    Floating,
    FloatKind,
    Fullness,
    Pattern,
    Piece,
    Placement,
    Setting,
    Site,
    Support,
)
from service.estimating.calibration import Belief, Lessons, Pace
from service.leads import handling
from service.leads.calibrations import Decision, Verdict
from service.leads.lead import Client, Lead
from service.leads.price_lines import lines_of
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, build_shop
from tests.service.pages.conftest import browse
from tests.service.pages.reading import elements_of, text_of


def send_firm(shop: BuiltShop, lead: Lead, price: str, text: str | None = None) -> None:
    shop.send_firm(lead, Decimal(price), reason="a long way up", text=text)


def test_it_shows_the_range_what_is_in_it_and_the_next_step(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    quote_path, booking_path = shop.paths(lead)
    page = client.get(quote_path)
    assert page.status_code == 200
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    text = text_of(page.text)
    assert f"${quote.low:.0f} to ${quote.high:.0f}" in text
    assert f"Most likely around ${quote.likely:.0f}" in text
    assert "round-top frame, 4 ft wide and 7 ft tall" in text
    assert "Sunday, June 6, 2027, starts 3:00 PM" in text
    assert "boathouse hall, 02472, indoors" in text
    assert f"The deposit is ${quote.deposit:.0f}" in text
    assert "good until Sunday, January 24, 2027 " in text
    assert "This ballpark is good until Sunday, January 24, 2027." in text
    assert "Ida Marsh confirms the booking when the deposit is in." in text
    assert {"href": booking_path, "class": "button"} in elements_of(page.text, "a")


def test_balloons_are_counted_by_colour_and_size_as_the_estimate_says(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    html = client.get(shop.paths(lead)[0]).text
    counted = shop.estimate(a_brief()).pieces[0].balloons
    for balloon in counted:
        row = re.search(rf"</svg> {balloon.colour}</span></th>(.*?)</tr>", html, re.DOTALL)
        assert row is not None
        assert f"<td>{balloon.count}</td>" in row[1]
    assert "medium (10\u00a0in)" in html
    assert 'fill="#A9B79A"' in html  # sage, from the price book


def test_a_colour_the_book_does_not_know_has_no_made_up_swatch(
    shop: BuiltShop, client: TestClient
) -> None:
    brief = a_brief(palette=(ColourShare(colour="oyster shimmer"),))
    html = client.get(shop.paths(shop.quoted(brief))[0]).text
    swatch = re.search(r'<svg class="swatch"[^>]*>(.*?)</svg> oyster shimmer', html, re.DOTALL)
    assert swatch is not None
    assert "unknown" in swatch[1]
    assert "fill=" not in swatch[1]


def test_every_caution_stands_there_in_full(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief(foils=("5", "0")))
    text = text_of(client.get(shop.paths(lead)[0]).text)
    cautions = shop.estimate(a_brief(foils=("5", "0"))).cautions
    assert len(cautions) >= 4
    for caution in cautions:
        assert caution.text in text


def test_what_was_taken_for_the_unknown_is_said(shop: BuiltShop, client: TestClient) -> None:
    brief = a_brief(event=Event(), palette=())
    text = text_of(client.get(shop.paths(shop.quoted(brief))[0]).text)
    assert "the day: weekends and short notice cost a little more" in text
    assert "the colors: we took cream, gold and white for now" in text
    assert "the starting time: we took our usual set-up hours" in text


IN_TOWN = Site(setting=Setting.INDOOR, latitude=42.37, longitude=-71.18)


def test_what_is_on_a_piece_and_what_floats_is_said(shop: BuiltShop, client: TestClient) -> None:
    piece = Piece(
        support=Support.HOOP,
        width_m=1.8288,
        placement=Placement.ONE_SIDE,
        pattern=Pattern.STRIPE,
        accents=(Accent(kind=AccentKind.FLOWERS, count=6, words="peonies"),),
    )
    floating = (Floating(kind=FloatKind.FOIL_HEART, size_class=18, count=3),)
    lead = shop.quoted(a_brief(pieces=(piece,), floating=floating))
    send_firm(shop, lead, "640")
    text = text_of(client.get(shop.paths(lead)[0]).text)
    said = "hoop, 6 ft across, full, on one side, striped; with 6 stems of flowers (peonies)"
    assert said in text
    assert "3 helium balloons, 18 in foil heart" in text


def test_balloons_that_the_client_keeps_are_not_said_to_be_taken_down(
    shop: BuiltShop, client: TestClient
) -> None:
    for keeps, said in ((True, "yours to keep"), (None, "taking it down are included")):
        text = text_of(client.get(shop.paths(shop.quoted(a_brief(client_keeps=keeps)))[0]).text)
        assert said in text
        assert ("taken down and thrown away by us" in text) is not keeps


def test_tax_is_said_as_the_place_and_the_brief_have_it(
    shop: BuiltShop, client: TestClient
) -> None:
    for keeps, said in ((True, "plus about $"), (False, "no sales tax is added")):
        lead = shop.quoted(a_brief(client_keeps=keeps))
        price = shop.estimate(lead.brief).price
        text = text_of(client.get(shop.paths(lead)[0]).text)
        assert f"Most likely around ${price.likely:.0f} ({said}" in text
        if keeps:
            assert 0 < price.taxable_share < 1
            # Half a dollar is as near as a whole amount can say it.
            about = re.search(r"plus about \$(\d+) sales tax", text)
            assert about is not None
            assert abs(Decimal(about[1]) - price.tax) <= Decimal("0.5")


def test_a_firm_price_bears_the_tax_of_its_own_amount(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief(client_keeps=True))
    price = shop.estimate(lead.brief).price
    send_firm(shop, lead, "1000")
    due = 1000 * price.tax_rate * price.taxable_share
    text = text_of(client.get(shop.paths(lead)[0]).text)
    assert f"Plus ${due:.2f} sales tax: ${1000 + due:,.2f} in all." in text


def test_other_fullnesses_stand_beside_the_one_asked_for(
    shop: BuiltShop, client: TestClient
) -> None:
    brief = a_brief(site=IN_TOWN)
    text = text_of(client.get(shop.paths(shop.quoted(brief))[0]).text)
    assert "Also possible The same pieces, lighter or richer." in text
    for label, fullness in (
        ("Airy instead of full", Fullness.AIRY),
        ("As you asked", Fullness.FULL),
        ("Lush instead of full", Fullness.LUSH),
    ):
        pieces = tuple(replace(piece, fullness=fullness) for piece in brief.pieces)
        price = shop.estimate(replace(brief, pieces=pieces)).price
        assert f"{label}${price.low:.0f} to ${price.high:.0f}" in text


def test_options_go_by_the_lessons_that_the_quote_went_by(
    shop: BuiltShop, client: TestClient
) -> None:
    slow = Belief(factor=1.5, sd=0.05)
    pace = Pace(seen=slow, jobs=9, by_support={}, elsewhere=slow, scale=1.0)
    learnt = Calibration(jobs=9, lessons=Lessons(paces={"install": pace}))
    go_by(shop, learnt)
    brief = a_brief(site=IN_TOWN)
    lead, price = shop.quoted(brief), shop.estimate(brief).price
    go_by(shop, UNCALIBRATED)
    assert shop.estimate(brief).price.likely < price.likely
    text = text_of(client.get(shop.paths(lead)[0]).text)
    assert f"As you asked${price.low:.0f} to ${price.high:.0f}" in text


def go_by(shop: BuiltShop, calibration: Calibration) -> None:
    with shop.ports.work() as work:
        decision = Decision(verdict=Verdict.USE, moves=())
        work.calibrations.add(calibration, decision, by="owner", at=shop.now)
        work.commit()


def test_options_are_priced_on_the_day_of_the_quote(shop: BuiltShop, client: TestClient) -> None:
    # Fifteen days ahead; five days before it is short notice, and the quote is good for longer.
    event = Event(date=date(2027, 1, 25), start_time=time(15))
    lead = shop.quoted(a_brief(site=IN_TOWN, event=event))
    price = shop.estimate(lead.brief).price
    shop.now += timedelta(days=10)
    assert shop.estimate(lead.brief).price.likely > price.likely
    text = text_of(client.get(shop.paths(lead)[0]).text)
    assert f"As you asked${price.low:.0f} to ${price.high:.0f}" in text


@pytest.mark.parametrize(
    ("most", "said"),
    [("100", "Nothing that we could leave out brings it within $100"), (None, "budget of $")],
)
def test_with_a_budget_the_ways_within_it_are_told(
    most: str | None, said: str, shop: BuiltShop, client: TestClient
) -> None:
    brief = a_brief(site=IN_TOWN)
    budget = Decimal(most) if most else shop.estimate(brief).price.likely - 20
    lead = shop.quoted(replace(brief, budget=Budget(max=budget)))
    text = text_of(client.get(shop.paths(lead)[0]).text)
    assert said in text
    assert "As you asked" not in text


def test_a_way_that_could_go_beyond_the_budget_says_how_far(
    shop: BuiltShop, client: TestClient
) -> None:
    full = a_brief(site=IN_TOWN)
    airy = replace(full, pieces=tuple(replace(p, fullness=Fullness.AIRY) for p in full.pieces))
    price = shop.estimate(full).price
    assert price.tax == 0
    for most, said in ((price.likely, True), (price.high, False)):
        lead = shop.quoted(replace(airy, budget=Budget(max=most)))
        text = text_of(client.get(shop.paths(lead)[0]).text)
        assert f"${price.low:.0f} to ${price.high:.0f}" in text
        assert (f"likely fits; could reach ${price.high:.0f}" in text) is said


def test_options_are_left_out_once_the_price_book_has_changed_or_the_price_is_set(
    tmp_path: Path,
) -> None:
    book = tmp_path / "price_book.yaml"
    good = PRICE_BOOK.read_text(encoding="utf-8")
    book.write_text(good, encoding="utf-8")
    shop = build_shop(tmp_path, price_book=book)
    browser = browse(shop)
    path, _ = shop.paths(lead := shop.quoted(a_brief(site=IN_TOWN)))
    assert "Also possible" in browser.get(path).text
    book.write_text(good.replace("jobs_at_once: 1", "jobs_at_once: 2"), encoding="utf-8")
    assert "Also possible" not in browser.get(path).text
    book.write_text(good, encoding="utf-8")
    assert "Also possible" in browser.get(path).text
    send_firm(shop, lead, "640")
    assert "Also possible" not in browser.get(path).text
    shop.engine.dispose()


@pytest.mark.parametrize("price", ["641.37", "299.99"])
def test_what_the_owner_adjusted_is_a_line_of_its_own(price: str, shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        ballpark = work.quotes.latest(lead.id)
    assert ballpark is not None
    send_firm(shop, lead, price)
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    *parts, adjusted = lines_of(quote, "Ida Marsh")
    assert tuple(parts) == lines_of(ballpark, "Ida Marsh")
    assert (
        adjusted.label
        == {
            "641.37": "Added after Ida Marsh's closer look",
            "299.99": "Taken off by Ida Marsh",
        }[price]
    )
    assert sum(part.amount for part in (*parts, adjusted)) == Decimal(price)


def test_a_price_confirmed_as_it_stood_has_no_line_for_adjusting(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        ballpark = work.quotes.latest(lead.id)
    assert ballpark is not None
    send_firm(shop, lead, str(ballpark.likely))
    assert "Adjusted" not in text_of(client.get(shop.paths(lead)[0]).text)


def test_the_shares_add_up_to_the_price_and_are_not_the_shops_costs(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    parts = lines_of(quote, "Ida Marsh")
    assert len(parts) == 3
    assert sum(part.amount for part in parts) == quote.likely
    costs = {line.amount for line in quote.estimate.cost_lines}
    assert not costs & {part.amount for part in parts}


def test_the_page_names_no_cost_line_of_the_shop(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    text = text_of(client.get(shop.paths(lead)[0]).text)
    # "car" is part of other words.
    labels = {line.label for line in shop.estimate(a_brief()).cost_lines} - {"car"}
    assert len(labels) > 10
    for label in labels:
        assert label not in text


def test_an_earlier_link_shows_the_newer_price_and_says_so(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    earlier, _ = shop.paths(lead)
    assert "takes the place of the one" not in text_of(client.get(earlier).text)
    shop.now += timedelta(hours=2)
    send_firm(shop, lead, "640", "The balcony is lovely.")
    newer, _ = shop.paths(lead)
    text = text_of(client.get(earlier).text)
    assert "Your price $640" in text
    assert "The balcony is lovely." in text
    said = "A newer price, of Sunday, January 10, 2027: it takes the place of the one"
    assert said in text
    assert "takes the place of the one" not in text_of(client.get(newer).text)


def test_a_quote_whose_client_asked_again_leads_to_the_newer_one(
    shop: BuiltShop, client: TestClient
) -> None:
    older = shop.quoted(a_brief(), channel="webchat", chat_id="nora")
    quote_path, booking_path = shop.paths(older)
    newer = shop.take_lead(a_brief(), channel="webchat", chat_id="nora", revises=True)
    assert f"as {newer.number}" in text_of(client.get(quote_path).text)
    assert "on its way" in text_of(client.get(booking_path).text)
    shop.work_off()
    for path in (quote_path, booking_path):
        page = client.get(path)
        assert "There is a newer price" in text_of(page.text)
        links = [link["href"] for link in elements_of(page.text, "a")]
        assert shop.paths(newer)[0] in links
        assert booking_path not in links
    assert "starts_at" not in client.get(booking_path).text


def test_of_many_requests_the_newest_is_shown(shop: BuiltShop, client: TestClient) -> None:
    asked = [
        shop.quoted(a_brief(), channel="webchat", chat_id="nora", revises=bool(again))
        for again in range(3)
    ]
    links = elements_of(client.get(shop.paths(asked[0])[0]).text, "a")
    assert shop.paths(asked[2])[0] in [link["href"] for link in links]


def test_the_owners_reason_stays_with_the_owner(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    send_firm(shop, lead, "640")
    assert "a long way up" not in client.get(shop.paths(lead)[0]).text


def test_opening_it_changes_nothing(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    quote_path, booking_path = shop.paths(lead)
    with shop.ports.read() as work:
        stored = work.leads.get(lead.id)
        history, messages = work.leads.history(lead.id), work.chats.messages("form", lead.id)
    for path in (quote_path, booking_path, quote_path):
        assert client.get(path).status_code == 200
    with shop.ports.read() as work:
        assert work.leads.get(lead.id) == stored
        assert work.leads.history(lead.id) == history
        assert work.chats.messages("form", lead.id) == messages
    assert shop.paths(lead) == (quote_path, booking_path)


def test_a_lead_that_waits_for_the_owner_has_nothing_to_show_yet(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=Site(setting=Setting.OUTDOOR, postal_code="02472")))
    assert lead.state == "review"
    token = shop.link(handling.QUOTE_LINK, lead.id)
    page = client.get(f"/quotes/{token}")
    assert page.status_code == 404
    assert "$" not in page.text


def test_a_declined_lead_offers_no_booking(shop: BuiltShop, client: TestClient) -> None:
    lead = shop.quoted(a_brief())
    quote_path, booking_path = shop.paths(lead)
    with shop.ports.work() as work:
        handling.decline(work, shop.ports, lead_id=lead.id, text=None, now=shop.now)
        work.commit()
    page = client.get(quote_path)
    assert "no longer stands" in page.text
    assert booking_path not in page.text
    assert client.get(booking_path).status_code == 409


def test_markup_in_what_a_client_said_is_shown_as_text(shop: BuiltShop, client: TestClient) -> None:
    evil = "<script>alert(1)</script>"
    site = Site(setting=Setting.INDOOR, place=evil, postal_code="02472")
    brief = a_brief(site=site, foils=(evil[:40],), palette=(ColourShare(colour="<b>red</b>"),))
    lead = shop.quoted(brief, client=Client(name=evil))
    html = client.get(shop.paths(lead)[0]).text
    assert evil in text_of(html)
    assert "<script" not in html
    assert "<b>red" not in html
