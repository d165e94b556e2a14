"""One request at the desk, and the owner's decisions on it."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from starlette.testclient import TestClient

from service.estimating import (
    Piece,
    Setting,
    Site,
    Support,
)
from service.leads import booking
from service.leads.lead import Client, Lead, QuoteKind
from service.leads.task_words import line_name
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of

NO = {"text": "Sorry!", "because": "too far"}
OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")


def decide(owner: TestClient, lead: Lead, action: str, **entered: str) -> int:
    """Open the request's page and press one of its buttons."""
    path = f"/desk/leads/{lead.id}"
    hidden = hidden_in(owner.get(path).text)
    answer = owner.post(f"{path}/{action}", data=hidden | entered)
    if answer.status_code == 303:
        assert owner.get(answer.headers["location"]).status_code == 200
    return answer.status_code


def said_to(shop: BuiltShop, lead: Lead) -> list[str]:
    with shop.ports.read() as work:
        stored = work.chats.messages(lead.channel, lead.chat_id)
    return [message.message.text for message in stored]


def test_one_request_shows_everything_known_about_it(shop: BuiltShop, owner: TestClient) -> None:
    brief = a_brief(site=OUTDOORS, foils=("5", "0"), notes="Close to the boats?")
    lead = shop.quoted(brief, client=Client(name="Nora", phone="+1 617-555-0123"))
    html = owner.get(f"/desk/leads/{lead.id}").text
    text = text_of(html)
    estimate = shop.estimate(brief)
    for line in estimate.cost_lines:
        assert line_name(line) in text
    for bought in estimate.shopping.lines:
        assert bought.item in text
    for caution in estimate.cautions:
        assert caution.text in text
    for explained in estimate.explanation:
        assert explained.source in text
    for reason in lead.review_reasons:
        assert reason in text
    assert estimate.wind is not None
    assert estimate.wind.caution in text
    assert "Close to the boats?" in text
    assert {"href": "tel:+1617-555-0123"} in elements_of(html, "a")
    assert "The client asked" in text
    assert "wants to look at this one before naming a price" in text  # the conversation


def test_a_request_that_is_not_there_is_not_found(owner: TestClient) -> None:
    page = owner.get("/desk/leads/nothing")
    assert page.status_code == 404
    assert "There is no such request" in page.text


def test_send_as_it_is(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    assert lead.state == "review"
    assert decide(owner, lead, "send") == 303
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    assert quote.kind is QuoteKind.FIRM
    assert quote.likely == shop.estimate(lead.brief).price.likely
    assert shop.lead(lead.id).state == "quoted"
    assert f"The price is ${quote.likely:.0f}" in said_to(shop, lead)[-1]


def test_change_the_price_say_why_and_send_it(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    entered = {"price": "$540.50", "reason": "ballast", "text": "It will stand firm."}
    assert decide(owner, lead, "price", **entered) == 303
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    assert quote.likely == Decimal("540.50")
    assert quote.note == "It will stand firm."
    message = said_to(shop, lead)[-1]
    assert "$540.50" in message
    assert "It will stand firm." in message
    assert "ballast" not in message
    page = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "You sent a firm quote $540.50" in page
    assert "ballast" in page


NOT_A_PRICE = "Write 480.50, or 1,480 with the comma before three digits."
UNFIT: tuple[tuple[dict[str, str], str], ...] = (
    *(
        ({"price": typed}, NOT_A_PRICE)
        for typed in (
            *("", "a lot", "-3", "NaN", "Infinity", "1e99", "12.345", "480,50", "48,0", "1,48"),
            *("1.480,00", "1480,000", "٤٨٠"),
        )
    ),
    ({"price": "0"}, "above zero"),
    ({"price": "1,000,000.01"}, "above zero and at most a million"),
    ({"reason": ""}, "Say why"),
    ({"reason": "a" * 1001}, "Keep it to 1,000 characters"),
    ({"text": "a" * 2001}, "Keep it to 2,000 characters"),
)


def test_a_price_that_cannot_be_is_not_sent(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    path = f"/desk/leads/{lead.id}"
    hidden = hidden_in(owner.get(path).text)
    for entered, said in UNFIT:
        sent = {"price": "640", "reason": "stairs", "text": "Gladly."} | entered
        answer = owner.post(f"{path}/price", data=hidden | sent)
        assert answer.status_code == 422, entered
        assert said in text_of(answer.text), entered
        for typed in sent.values():
            assert typed in answer.text, entered
    assert shop.lead(lead.id).state == "review"


@pytest.mark.parametrize(
    ("typed", "asked"),
    [("48,050", r"This is \d\d+ times the estimate"), ("48.05", r"This is \d+% of the estimate")],
)
def test_a_price_far_from_the_estimate_wants_a_second_press(
    typed: str, asked: str, shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    path = f"/desk/leads/{lead.id}"
    entered = {"price": typed, "reason": "stairs", "text": "Gladly."}
    first = owner.post(f"{path}/price", data=hidden_in(owner.get(path).text) | entered)
    assert first.status_code == 422
    assert re.search(asked, text_of(first.text))
    assert "Send it all the same?" in text_of(first.text)
    assert shop.lead(lead.id).state == "review"
    hidden = hidden_in(first.text)
    other = owner.post(f"{path}/price", data=hidden | entered | {"price": "9,999"})
    assert other.status_code == 422  # the second press was for another price
    assert owner.post(f"{path}/price", data=hidden | entered).status_code == 303
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    assert quote.likely == Decimal(typed.replace(",", ""))


def test_a_price_within_reason_goes_out_at_once(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    price = str(quote.high * 2)
    assert decide(owner, lead, "price", price=price, reason="a long climb") == 303


def test_a_request_that_was_replaced_leads_to_the_newer_one(
    shop: BuiltShop, owner: TestClient
) -> None:
    older = shop.quoted(a_brief(), channel="webchat", chat_id="nora")
    newer = shop.quoted(a_brief(), channel="webchat", chat_id="nora", revises=True)
    html = owner.get(f"/desk/leads/{older.id}").text
    assert f"replaced by {newer.number}" in text_of(html)
    assert f"/desk/leads/{newer.id}" in [link["href"] for link in elements_of(html, "a")]
    assert "Your decision" not in html
    assert f"replaced by {newer.number}" in text_of(owner.get("/desk").text)
    assert newer.id not in text_of(html)  # the history names it by its number


def test_what_waits_was_set_aside_for_the_owner(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    text = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "set it aside for you" in text
    assert "queued" not in text


def test_declining_offers_a_kind_text_that_can_be_changed(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    html = owner.get(f"/desk/leads/{lead.id}").text
    suggested = re.search(r'<textarea id="kind_no"[^>]*>\n(.*?)</textarea>', html, re.DOTALL)
    assert suggested is not None
    assert "We hope your day goes beautifully." in suggested[1]
    text = "We are away.\n\nHave a lovely day!"
    assert decide(owner, lead, "decline", text=text, because="date taken", why="the fair") == 303
    assert said_to(shop, lead)[-1] == "We are away.\n\nHave a lovely day!"
    assert (shop.lead(lead.id).state, shop.lead(lead.id).lost_because) == ("declined", "date taken")
    page = owner.get(f"/desk/leads/{lead.id}").text
    assert "You declined" in text_of(page)
    assert "<li>date taken</li><li>the fair</li>" in page


def test_declining_asks_for_a_reason_that_only_the_owner_sees(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    path = f"/desk/leads/{lead.id}"
    for because in ("", "made up"):
        entered = hidden_in(owner.get(path).text) | {"text": "Sorry!", "because": because}
        answer = owner.post(f"{path}/decline", data=entered)
        assert answer.status_code == 422
        assert "Choose what comes closest" in text_of(answer.text)
        assert "Sorry!" in answer.text
    assert shop.lead(lead.id).state == "review"


def test_declining_frees_a_held_time(shop: BuiltShop, owner: TestClient) -> None:
    lead = _held(shop)
    assert decide(owner, lead, "decline", text="Sorry!", because="other") == 303
    with shop.ports.read() as work:
        assert work.holds.of_lead(lead.id) is None


def _held(shop: BuiltShop) -> Lead:
    lead = shop.quoted(a_brief())
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id)
        day = lead.brief.event.date
        assert quote is not None
        assert day is not None
        book = shop.price_books.current()
        window = booking.offered(work, lead, quote, book, day=day, now=shop.now)[0]
        booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=window.starts_at,
            client=Client(name="Nora"),
            now=shop.now,
        )
        work.commit()
    return shop.lead(lead.id)


def test_a_decision_from_an_old_page_is_refused_and_says_why(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    path = f"/desk/leads/{lead.id}"
    old = hidden_in(owner.get(path).text)
    assert owner.post(f"{path}/send", data=old).status_code == 303
    for action in ("send", "price"):
        entered = {"price": "500", "reason": "stairs"}
        again = owner.post(f"{path}/{action}", data=old | entered)
        assert again.status_code == 409
        assert "has gone out already" in text_of(again.text)
    assert sum("The price is" in text for text in said_to(shop, lead)) == 1


def test_a_declined_request_takes_no_price_any_more(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    path = f"/desk/leads/{lead.id}"
    old = hidden_in(owner.get(path).text)
    assert owner.post(f"{path}/decline", data=old | NO).status_code == 303
    for action in ("send", "decline"):
        answer = owner.post(f"{path}/{action}", data=old | NO)
        assert answer.status_code == 409
        assert "declined already" in text_of(answer.text)
    assert "Your decision" not in owner.get(path).text
    assert len(said_to(shop, lead)) == 2


def test_without_an_estimate_nothing_can_be_sent(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(a_brief())
    html = owner.get(f"/desk/leads/{lead.id}").text
    assert f"/desk/leads/{lead.id}/send" not in html
    assert decide(owner, lead, "send") in (404, 409)
    assert shop.lead(lead.id).state == "new"


def test_what_a_client_wrote_is_shown_as_text_everywhere_at_the_desk(
    shop: BuiltShop, owner: TestClient
) -> None:
    evil = "<script>alert(1)</script><img src=x onerror=alert(1)>"
    brief = a_brief(
        pieces=(Piece(support=Support.HOOP, width_m=1.8),),
        site=Site(setting=Setting.OUTDOOR, place=evil, postal_code="02472"),
        notes=evil,
    )
    lead = shop.quoted(brief, client=Client(name=evil, email="nora@rowing.example"))
    with shop.ports.work() as work:
        work.chats.hear(lead.channel, lead.chat_id, evil, update_id="1", now=shop.now)
        work.commit()
    for path in ("/desk", f"/desk/leads/{lead.id}"):
        html = owner.get(path).text
        assert evil in text_of(html)
        assert "<script" not in html
        assert "<img src=x" not in html


def test_a_helper_browser_without_the_cookie_sees_nothing(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = shop.quoted(a_brief(), client=Client(name="Nora Ålund"))
    page = browser().get(f"/desk/leads/{lead.id}")
    assert page.status_code == 303
    assert "Nora" not in page.text
