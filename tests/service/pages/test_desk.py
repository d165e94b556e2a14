"""The owner's list: what needs the owner, and every request."""

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from starlette.testclient import TestClient

from service.estimating import (
    Event,
    Setting,
    Site,
)
from service.leads import stepping
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client
from service.leads.messages import Message
from service.leads.steps import MAX_ATTEMPTS
from service.leads.telling import tell
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, build_shop
from tests.service.pages.conftest import browse
from tests.service.pages.reading import hidden_in, sign_in, text_of

BOSTON = ZoneInfo("America/New_York")
OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")


def numbers_on(html: str) -> list[str]:
    return re.findall(r"(G\d+), asked", html)


def test_requests_that_wait_stand_first_with_their_reasons(
    shop: BuiltShop, owner: TestClient
) -> None:
    waiting = shop.quoted(a_brief(site=OUTDOORS), client=Client(name="Nora Ålund"))
    later = shop.quoted(a_brief())
    html = owner.get("/desk").text
    # It waits; its price is out and not yet answered; and everything.
    assert numbers_on(html) == [waiting.number, *[later.number] * 2, waiting.number]
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
    assert owner.get("/desk?state=nonsense").text == owner.get("/desk").text


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
    assert "Tried 8 times: no estimate came back." in text
    assert "Every client has an answer" not in text
    page = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "Tried 8 times: no estimate came back." in page


def test_what_was_given_up_is_tried_again_at_a_press(shop: BuiltShop, owner: TestClient) -> None:
    shop.take_lead(a_brief())
    _give_up(shop, "ConnectError")
    with shop.ports.read() as work:
        (dead,) = work.outbox.dead(limit=5)
    form = hidden_in(owner.get("/desk").text)
    path = f"/desk/steps/{dead.id}/again"
    assert owner.post(path, data=form | {"csrf": "made up"}).status_code == 403
    for _ in range(2):  # a double press
        assert owner.post(path, data=form, follow_redirects=False).status_code == 303
    assert "Stuck: needs you" not in text_of(owner.get("/desk").text)
    with shop.ports.read() as work:
        assert [step.id for step in work.outbox.due(shop.now, limit=5)] == [dead.id]


def test_a_message_that_may_have_arrived_is_told_of_until_it_is_sure(
    shop: BuiltShop, owner: TestClient
) -> None:
    with shop.ports.work() as work:
        tell(work, "telegram", "42", Message(kind="note", text="Ready."), now=shop.now)
        work.commit()
    [step] = shop.queue.steps

    def left_open() -> None:
        with shop.ports.work() as work:
            fence = stepping.lease(work, step.id, shop.now).fence
            stepping.sending(work, step.id, fence, shop.now)
            open_end: Any = {"error": "no answer", "retry": True, "retry_after": None}
            stepping.fail(work, step.id, fence, unclear=True, now=shop.now, **open_end)
            work.commit()
        shop.now += timedelta(minutes=5)

    left_open()
    page = text_of(owner.get("/desk").text)
    assert "May not have arrived through Telegram: “Ready.”" in page
    assert "Sent once and never confirmed: it may have arrived. It goes out again soon." in page
    assert "Stuck: needs you" not in page
    left_open()
    left_open()
    page = text_of(owner.get("/desk").text)
    assert "Stuck: needs you" in page
    assert "Sent 3 times and never confirmed: it may have arrived." in page
    assert "If you send it again, it may be there twice." in page
    assert "goes out again" not in page


def test_a_message_that_could_not_be_delivered_is_shown(shop: BuiltShop, owner: TestClient) -> None:
    with shop.ports.work() as work:
        message = Message(kind="note", text="Your ballpark is ready, " + "really " * 30)
        tell(work, "telegram", "42", message, now=shop.now)
        work.commit()
    _give_up(shop, "Telegram: Forbidden: bot was blocked by the user")
    text = text_of(owner.get("/desk").text)
    assert "Not delivered through Telegram: “Your ballpark is ready" in text
    assert "the client has blocked the bot" in text
    assert "Forbidden" not in text


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


def test_near_dates_stand_first_among_what_waits(shop: BuiltShop, owner: TestClient) -> None:
    days = [date(2027, 7, 4), None, date(2027, 2, 14), date(2027, 5, 1)]
    waiting = [shop.quoted(a_brief(site=OUTDOORS, event=Event(date=day))) for day in days]
    shown = numbers_on(owner.get("/desk").text)[: len(days)]
    assert shown == [waiting[at].number for at in (2, 3, 0, 1)]
