"""The owner's list and one request: what needs the owner, and the decisions."""

import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.estimating import Piece, Setting, Site, Support
from service.leads import booking, stepping, talking
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client, Lead, QuoteKind
from service.leads.messages import Message
from service.leads.steps import MAX_ATTEMPTS
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, build_shop
from tests.service.pages.conftest import browse
from tests.service.pages.reading import elements_of, hidden_in, sign_in, text_of

OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")


def numbers_on(html: str) -> list[str]:
    return re.findall(r"(G\d+), asked", html)


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


def test_requests_that_wait_stand_first_with_their_reasons(
    shop: BuiltShop, owner: TestClient
) -> None:
    waiting = shop.quoted(a_brief(site=OUTDOORS), client=Client(name="Nora Ålund"))
    later = shop.quoted(a_brief())
    html = owner.get("/desk").text
    assert numbers_on(html) == [waiting.number, later.number, waiting.number]
    text = text_of(html)
    assert text.index("Waits for you") < text.index("It is outdoors") < text.index("newest first")
    assert "Nora Ålund" in text


def test_an_empty_desk_says_so(owner: TestClient) -> None:
    text = text_of(owner.get("/desk").text)
    assert "Every client has an answer." in text
    assert "the first request will show up by itself" in text


def test_the_list_is_newest_first_and_paged_by_key(shop: BuiltShop, owner: TestClient) -> None:
    made = [shop.take_lead(a_brief()).number for _ in range(60)]
    seen: list[str] = []
    path = "/desk"
    for _ in range(3):
        html = owner.get(path).text
        seen += numbers_on(html)
        older = re.search(r'href="(/desk\?before=[^"]+)"', html)
        path = older[1].replace("&amp;", "&") if older else ""
    assert path == ""
    with shop.ports.read() as work:
        newest = [lead.number for lead in work.leads.page(before=None, limit=100, state=None)]
    assert len(newest) == len(made) == 60
    assert seen == newest


def test_the_list_can_show_one_state_and_counts_them_all(
    shop: BuiltShop, owner: TestClient
) -> None:
    waiting = shop.quoted(a_brief(site=OUTDOORS))
    for _ in range(2):
        shop.quoted(a_brief())
    text = text_of(owner.get("/desk").text)
    assert "all 3" in text
    assert "waits for you 1" in text
    assert "price is out 2" in text
    assert numbers_on(owner.get("/desk?state=review").text) == [waiting.number]
    assert len(numbers_on(owner.get("/desk?state=quoted").text)) == 2
    assert len(numbers_on(owner.get("/desk?state=nonsense").text)) == 4  # as if unfiltered


@pytest.mark.parametrize("before", ["nonsense", "G", "🎈", "G-1", "G" + "9" * 40])
def test_a_made_up_page_number_shows_the_first_page(
    before: str, shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    page = owner.get("/desk", params={"before": before})
    assert page.status_code == 200
    assert numbers_on(page.text) == [lead.number]


def test_a_step_that_was_given_up_shows_what_and_why(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(a_brief())
    _give_up(shop, "ConnectError")
    text = text_of(owner.get("/desk").text)
    assert "Stuck: needs you" in text
    assert f"Request {lead.number} could not be priced" in text
    assert "ConnectError" in text
    page = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "gave up after several tries: ConnectError" in page


def test_a_message_that_could_not_be_delivered_is_shown(shop: BuiltShop, owner: TestClient) -> None:
    with shop.ports.work() as work:
        message = Message(kind="note", text="Your ballpark is ready, " + "really " * 30)
        talking.tell(work, "telegram", "42", message, now=shop.now)
        work.commit()
    _give_up(shop, "Forbidden")
    text = text_of(owner.get("/desk").text)
    assert "Not delivered through Telegram: “Your ballpark is ready" in text
    assert "Forbidden" in text


def _give_up(shop: BuiltShop, error: str) -> None:
    began = shop.now
    (step,) = shop.queue.steps
    for _ in range(MAX_ATTEMPTS):
        with shop.ports.work() as work:
            leased = stepping.lease(work, step.id, shop.now)
            stepping.fail(
                work,
                step.id,
                leased.fence,
                error=error,
                retry=True,
                retry_after=None,
                now=shop.now,
            )
            work.commit()
        shop.now += timedelta(hours=1)
    shop.now = began


def test_a_mistake_in_the_price_book_is_shown_with_its_line(tmp_path: Path) -> None:
    book = tmp_path / "price_book.yaml"
    good = PRICE_BOOK.read_text(encoding="utf-8")
    book.write_text(good, encoding="utf-8")
    shop = build_shop(tmp_path, price_book=book)
    owner = browse(shop)
    sign_in(owner, shop.link(WELCOME_LINK, "owner"))
    assert "price book has a mistake" not in owner.get("/desk").text
    book.write_text(good.replace("jobs_at_once: 1", "jobs_at_once: many"), encoding="utf-8")
    text = text_of(owner.get("/desk").text)
    assert "Your price book has a mistake" in text
    assert "jobs_at_once" in text
    shop.engine.dispose()


def test_one_request_shows_everything_known_about_it(shop: BuiltShop, owner: TestClient) -> None:
    brief = a_brief(site=OUTDOORS, foils=("5", "0"), notes="Close to the boats?")
    lead = shop.quoted(brief, client=Client(name="Nora", phone="+1 617-555-0123"))
    html = owner.get(f"/desk/leads/{lead.id}").text
    text = text_of(html)
    estimate = shop.estimate(brief)
    for line in estimate.cost_lines:
        assert line.label in text
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
    assert "wants to look at this one personally" in text  # the conversation


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
    entered = {"price": "$1,240.50", "reason": "ballast", "text": "It will stand firm."}
    assert decide(owner, lead, "price", **entered) == 303
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    assert quote.likely == Decimal("1240.50")
    assert quote.note == "It will stand firm."
    message = said_to(shop, lead)[-1]
    assert "$1,240.50" in message
    assert "It will stand firm." in message
    assert "ballast" not in message
    page = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "You sent a firm quote $1,240.50" in page
    assert "ballast" in page


@pytest.mark.parametrize(
    ("entered", "said"),
    [
        ({"price": ""}, "Write the price as an amount"),
        ({"price": "a lot"}, "Write the price as an amount"),
        ({"price": "-3"}, "above zero"),
        ({"price": "0"}, "above zero"),
        ({"price": "NaN"}, "above zero"),
        ({"price": "Infinity"}, "above zero"),
        ({"price": "1e99"}, "above zero"),
        ({"price": "12.345"}, "whole cents"),
        ({"reason": ""}, "Say why"),
        ({"reason": "a" * 1001}, "Keep it to 1,000 characters"),
        ({"text": "a" * 2001}, "Keep it to 2,000 characters"),
    ],
)
def test_a_price_that_cannot_be_is_not_sent(
    entered: dict[str, str], said: str, shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    sent = {"price": "640", "reason": "stairs", "text": "Gladly."} | entered
    path = f"/desk/leads/{lead.id}"
    answer = owner.post(f"{path}/price", data=hidden_in(owner.get(path).text) | sent)
    assert answer.status_code == 422
    assert said in text_of(answer.text)
    for typed in sent.values():
        assert typed in answer.text
    assert shop.lead(lead.id).state == "review"


def test_declining_offers_a_kind_text_that_can_be_changed(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    html = owner.get(f"/desk/leads/{lead.id}").text
    suggested = re.search(r'<textarea id="kind_no"[^>]*>\n(.*?)</textarea>', html, re.DOTALL)
    assert suggested is not None
    assert "We hope your day goes beautifully." in suggested[1]
    assert decide(owner, lead, "decline", text="We are away.\n\nHave a lovely day!") == 303
    assert said_to(shop, lead)[-1] == "We are away.\n\nHave a lovely day!"
    assert shop.lead(lead.id).state == "declined"


def test_declining_frees_a_held_time(shop: BuiltShop, owner: TestClient) -> None:
    lead = _held(shop)
    assert decide(owner, lead, "decline", text="Sorry!") == 303
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
        entered = {"price": "900", "reason": "stairs"}
        again = owner.post(f"{path}/{action}", data=old | entered)
        assert again.status_code == 409
        assert "has been sent in the meantime" in text_of(again.text)
    assert sum("The price is" in text for text in said_to(shop, lead)) == 1


def test_a_declined_request_takes_no_price_any_more(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    path = f"/desk/leads/{lead.id}"
    old = hidden_in(owner.get(path).text)
    assert owner.post(f"{path}/decline", data=old | {"text": "Sorry!"}).status_code == 303
    for action in ("send", "decline"):
        answer = owner.post(f"{path}/{action}", data=old)
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
        assert "<img" not in html


def test_a_helper_browser_without_the_cookie_sees_nothing(
    shop: BuiltShop, browser: Callable[[], TestClient]
) -> None:
    lead = shop.quoted(a_brief(), client=Client(name="Nora Ålund"))
    page = browser().get(f"/desk/leads/{lead.id}")
    assert page.status_code == 303
    assert "Nora" not in page.text
