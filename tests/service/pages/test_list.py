"""The desk's list: searching, narrowing down, what runs out; figures; taking the data out."""

import asyncio
import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from deploy.seeding import fill
from service.estimating import Event
from service.leads import booking
from service.leads.exports import TABLES
from service.leads.handling import WELCOME_LINK
from service.leads.lead import Client, Lead
from service.pages.desk.told import TOLD, most_on
from tests.accessibility import violations
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import PASSWORD, elements_of, text_of
from tests.service.pages.serving import PHONE, a_page, serving


def numbers_on(html: str) -> list[str]:
    return re.findall(r"(G\d+), asked", html)


def held(shop: BuiltShop, lead: Lead) -> None:
    """A date held for this request, as its client would."""
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        day = lead.brief.event.date
        assert day is not None
        book = shop.price_books.current()
        window = booking.offered(work, lead, quote, book, day=day, now=shop.now)[0]
        client = Client(name="Otis Penn", email="otis@club.example")
        booking.place_hold(
            work, shop.ports, lead.id, starts_at=window.starts_at, client=client, now=shop.now
        )
        work.commit()


def test_a_search_stays_in_the_links_that_narrow_it_down(
    shop: BuiltShop, owner: TestClient
) -> None:
    nora = shop.quoted(a_brief(), client=Client(name="Nora Ålund"))
    shop.take_lead(a_brief(), client=Client(name="Otis Penn"))
    page = owner.get("/desk?q=Alund")
    assert numbers_on(page.text) == [nora.number]
    text = text_of(page.text)
    assert "Found by “Alund”, newest first" in text
    # How many there are in all says nothing of what was found.
    assert "all 2" in text_of(owner.get("/desk").text)
    assert "all 2" not in text
    assert "Waits for you" not in text
    links = {str(link["href"]) for link in elements_of(page.text, "a")}
    assert {"/desk?q=Alund&state=quoted", "/desk?q=Alund"} <= links
    assert numbers_on(owner.get("/desk?q=Alund&state=new").text) == []
    nothing = text_of(owner.get("/desk", params={"q": "<b>nobody</b>"}).text)
    assert "Nothing here that has all of these words." in nothing
    assert numbers_on(owner.get("/desk?q=!").text) == numbers_on(owner.get("/desk").text)


def test_what_may_have_come_twice_is_pointed_out(shop: BuiltShop, owner: TestClient) -> None:
    nora = Client(name="Nora Ålund", email="nora@rowing.example")
    first, second = (shop.take_lead(a_brief(), client=nora) for _ in range(2))
    shop.take_lead(a_brief(), client=Client(name="Otis Penn", email="otis@club.example"))
    listed = text_of(owner.get("/desk?state=new").text)
    assert listed.count("perhaps the same as") == 2
    assert f"perhaps the same as {second.number}" in listed
    page = owner.get(f"/desk/leads/{first.id}").text
    assert f"Perhaps the same as {second.number}: the same client" in text_of(page)
    links = {str(link["href"]) for link in elements_of(page, "a")}
    assert {f"/desk/leads/{second.id}", f"/desk/leads/{first.id}/merge"} <= links


def test_days_bring_the_events_in_their_order(shop: BuiltShop, owner: TestClient) -> None:
    day = a_brief().event.date
    assert day is not None
    later = shop.take_lead(a_brief(event=Event(date=day + timedelta(days=3))))
    sooner = shop.take_lead(a_brief(event=Event(date=day)))
    page = owner.get(f"/desk?from={day}&to={day + timedelta(days=9)}")
    assert numbers_on(page.text) == [sooner.number, later.number]
    assert "By event day from Sunday, June 6, 2027 until Tuesday, June 15" in text_of(page.text)
    entered = {field["name"]: field.get("value") for field in elements_of(page.text, "input")}
    assert (entered["from"], entered["to"]) == ("2027-06-06", "2027-06-15")
    # What is no day is as if nothing had been entered.
    assert owner.get("/desk?from=soon").text == owner.get("/desk").text


def test_a_held_date_says_when_it_runs_out(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    held(shop, lead)
    with shop.ports.read() as work:
        hold = work.holds.of_lead(lead.id)
    assert hold is not None
    shop.now = hold.expires_at - timedelta(hours=30)
    said = text_of(owner.get("/desk").text)
    assert said.index("Held, no deposit yet") < said.index("runs out tomorrow, 8:00 PM")
    assert said.index("runs out tomorrow") < said.index("Everything, newest first")
    shop.now = hold.expires_at - timedelta(hours=2)
    assert "runs out today, 8:00 PM" in text_of(owner.get("/desk").text)


def test_the_words_that_called_are_shown_and_not_what_came_after(
    shop: BuiltShop, owner: TestClient
) -> None:
    with shop.ports.work() as work:
        work.chats.hear("telegram", "7", "May I call you?", update_id="1", now=shop.now)
        work.chats.call_owner("telegram", "7", now=shop.now)
        later = shop.now + timedelta(minutes=3)
        work.chats.hear("telegram", "7", "navy", update_id="2", now=later)
        work.commit()
    text = text_of(owner.get("/desk").text)
    assert "May I call you?" in text
    assert "navy" not in text


def test_figures_say_the_same_in_words_table_and_picture(
    shop: BuiltShop, owner: TestClient
) -> None:
    shop.quoted(a_brief(), source="spring-regatta")
    shop.take_lead(a_brief())
    page = owner.get("/desk/figures?period=month").text
    text = text_of(page)
    assert "first answer at once, nine of ten at once; 100% within five minutes" in text
    assert "not answered yet 1" in text
    assert "No job of this time was won yet." in text
    assert "the website form, “spring-regatta” 1, 0 won" in text
    images = {str(image["src"]): str(image["alt"]) for image in elements_of(page, "img")}
    drawn = {source: owner.get(source) for source in images}
    assert all(alt in text for alt in images.values())
    assert {each.headers["content-type"] for each in drawn.values()} == {"image/svg+xml"}
    (answers,) = (each for source, each in drawn.items() if "/answers.svg" in source)
    assert b"within 1 minute" in answers.content
    assert owner.get("/desk/figures?to=2026-12-31").text.count("<img") == 0
    assert owner.get("/desk/figures/secrets.svg").status_code == 404
    assert [owner.get(f"/desk/figures/{name}.svg").status_code for name in TOLD] == [200] * 8


def test_every_table_can_be_taken_out(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(), client=Client(name="Nora Ålund"))
    links = [str(link["href"]) for link in elements_of(owner.get("/desk/export").text, "a")]
    for name in TABLES:
        assert f"/desk/export/{name}.csv" in links
        answer = owner.get(f"/desk/export/{name}.csv")
        assert answer.headers["content-disposition"].startswith(f'attachment; filename="{name}-')
    assert f"{lead.number},Nora Ålund," in owner.get("/desk/export/leads.csv").text
    assert owner.get("/desk/export/all.zip").content.startswith(b"PK")
    assert owner.get("/desk/export/keys.csv").status_code == 404


@pytest.mark.parametrize(
    ("by_weekday", "said"),
    [
        ((0, 0, 0, 0, 1, 3, 0), "Most jobs fall on a Saturday"),
        ((1, 0, 0, 0, 0, 0, 1), "Monday and Sunday are level, with 1 job each"),
    ],
)
def test_weekdays_that_are_level_are_not_told_apart(by_weekday: tuple[int, ...], said: str) -> None:
    assert most_on(by_weekday) == said


@pytest.mark.whole
def test_the_list_and_the_figures_fit_a_phone_and_keep_nobody_out(shop: BuiltShop) -> None:
    fill(shop.engine, shop.price_books.current(), leads=300, now=shop.now)

    async def scenario(base: str) -> None:
        async with a_page(PHONE, scheme="dark") as page:
            await page.goto(f"{base}/desk/welcome/{shop.link(WELCOME_LINK, 'owner')}")
            for name in ("password", "again"):
                await page.fill(f"input[name={name}]", PASSWORD)
            await page.click("main button")
            for path in ("", "?q=nora&state=lapsed", "/figures?period=all", "/export"):
                await page.goto(f"{base}/desk{path}")
                assert await violations(page) == [], path
                wide = await page.evaluate("document.documentElement.scrollWidth")
                assert wide <= PHONE["width"], path

    with serving(shop) as base:
        asyncio.run(scenario(base))
