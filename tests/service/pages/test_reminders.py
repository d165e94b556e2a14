"""Reminders and texts at the desk, and the page on which a client stops them."""

import asyncio
from datetime import timedelta
from urllib.parse import unquote

import pytest
from starlette.testclient import TestClient

from service.leads import owning, reminding, stepping
from service.leads.follow_up.stopping import STOP_LINK
from service.leads.handling import QUOTE_LINK
from service.leads.lead import Client, Lead
from tests.accessibility import violations
from tests.service.building import BuiltShop
from tests.service.leads.follow_up import story
from tests.service.pages.reading import elements_of, hidden_in, text_of
from tests.service.pages.serving import DESKTOP, PHONE, a_page, keep_cookie, serving


def post(owner: TestClient, path: str, **data: str) -> tuple[int, str]:
    csrf = hidden_in(owner.get("/desk/more").text)["csrf"]
    answer = owner.post(path, data=data | {"csrf": csrf})
    return answer.status_code, answer.text


def send(shop: BuiltShop, lead: Lead, kind: str) -> None:
    """The owner sends one early: a desk that is not used for a week asks for the password."""
    with shop.ports.work() as work:
        found = reminder(shop, lead, kind)
        reminding.send_now(work, shop.ports, found, who="owner", now=shop.now)
        work.commit()


def reminder(shop: BuiltShop, lead: Lead, kind: str) -> str:
    (found,) = (each.id for each in story.reminders(shop, lead) if each.kind == kind)
    return found


# --- The desk -----------------------------------------------------------------------------------


def test_what_is_to_come_is_listed_and_can_be_sent_or_left_out(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = story.booked(shop)
    page = text_of(owner.get("/desk/reminders").text)
    assert "from 8:30 PM until 9:00 AM" in page
    assert page.index("The balance is due") < page.index("The day before: when you come")
    assert "Tuesday, June 1, 2027, 10:00 AM" in page
    status, _ = post(owner, f"/desk/reminders/{reminder(shop, lead, 'balance')}/send")
    assert status == 303
    assert "still open" in story.said(shop)[-1]
    status, _ = post(owner, f"/desk/reminders/{reminder(shop, lead, 'thanks')}/skip")
    assert status == 303
    page = text_of(owner.get("/desk/reminders?done=skipped").text)
    assert "It is left out." in page
    assert "left out by you" in page.split("Sent, or left out")[1]


def test_a_second_press_and_a_message_before_its_day_are_refused(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = story.booked(shop)
    balance = f"/desk/reminders/{reminder(shop, lead, 'balance')}/send"
    assert post(owner, balance)[0] == 303
    before = story.said(shop)
    status, page = post(owner, balance)
    assert (status, "in the meantime" in page) == (409, True)
    status, page = post(owner, f"/desk/reminders/{reminder(shop, lead, 'day_before')}/send")
    assert (status, "not true before Saturday, June 5" in page) == (409, True)
    assert story.said(shop) == before
    assert post(owner, "/desk/reminders/nothing/send")[0] == 404


def test_in_quiet_hours_nothing_is_offered_to_be_sent(shop: BuiltShop, owner: TestClient) -> None:
    story.booked(shop)
    assert "Send now" in text_of(owner.get("/desk/reminders").text)
    shop.now = shop.now.replace(hour=2) + timedelta(days=1)
    page = text_of(owner.get("/desk/reminders").text)
    assert "It is quiet now: nothing goes out before 9:00 AM." in page
    assert "Send now" not in page
    assert "Leave it out" in page


def test_what_nothing_brings_to_a_form_client_is_there_to_copy(
    shop: BuiltShop, owner: TestClient
) -> None:
    client = Client(name="Priya", email="priya@library.example", phone="+1 (617) 555-0111")
    lead = story.quoted(shop, channel="form", chat_id=None, client=client)
    listed = text_of(owner.get("/desk/reminders").text)
    assert listed.count("Nothing brings what is marked not brought to its client") == 1
    assert listed.count("not brought") > 1
    own = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert own.count("Nothing brings them to this client: they read it on their request's") == 1
    send(shop, lead, "nudge")
    html = owner.get("/desk/reminders").text
    (area,) = (a for a in elements_of(html, "textarea") if "readonly" in a)
    assert area["id"]
    links = [a["href"] or "" for a in elements_of(html, "a")]
    (mail,) = (link for link in links if link.startswith("mailto:"))
    (sms,) = (link for link in links if link.startswith("sms:"))
    assert mail.startswith("mailto:priya@library.example?subject=")
    assert sms.startswith("sms:+16175550111?&body=")
    body = unquote(sms.partition("body=")[2])
    assert "is good until" in body
    assert "No more reminders: https://garlands.example/stop/" in body


def test_what_could_not_be_delivered_is_said_here_and_in_the_morning(
    shop: BuiltShop, owner: TestClient
) -> None:
    with shop.ports.work() as work:
        token = owning.open_pairing(work, now=shop.now)
        owning.pair(work, shop.ports, "telegram", "7", token=token, name=None, now=shop.now)
        work.commit()
    lead = story.quoted(shop)
    send(shop, lead, "nudge")
    with shop.ports.work() as work:
        (sent,) = work.reminders.of_lead(lead.id)
        steps = [s for s in work.outbox.due(shop.now, limit=99) if s.subject_id == sent.message_id]
        for step in work.outbox.due(shop.now, limit=99):
            if step.lane == steps[0].lane and step.position < steps[0].position:
                stepping.finish(work, step)
        leased = stepping.lease(work, steps[0].id, shop.now)
        stepping.fail(
            work,
            leased.id,
            leased.fence,
            error="blocked",
            retry=False,
            retry_after=None,
            now=shop.now,
        )
        work.commit()
    assert "could not be delivered" in text_of(owner.get("/desk/reminders").text)
    story.at(shop, (shop.now + timedelta(days=1)).date(), 8)
    with shop.ports.work() as work:
        owning.tell_digests(work, shop.ports, now=shop.now)
        work.commit()
    digest = story.said(shop, "telegram", "7")[-1]
    assert f"Could not be delivered; call, or write by other means:\n• {lead.number}" in digest


def test_the_owner_stops_and_starts_for_a_client(shop: BuiltShop, owner: TestClient) -> None:
    lead = story.booked(shop)
    path = f"/desk/reminders/stops/{lead.id}"
    assert post(owner, path, stopped="yes")[0] == 303
    assert story.owed(shop, lead) == {}
    assert post(owner, path, stopped="no")[0] == 303
    assert "day_before" in story.owed(shop, lead)


# --- Texts --------------------------------------------------------------------------------------


def test_a_text_is_worded_anew_looked_at_and_put_back(shop: BuiltShop, owner: TestClient) -> None:
    page = text_of(owner.get("/desk/texts").text)
    assert "A held date is about to run out" in page
    path = "/desk/texts/hold/en"
    assert "{until} (needed)" in text_of(owner.get(path).text)
    new = "Hold {until}! {deposit} keeps it. {pay}"
    status, look = post(owner, path, text=new, look="yes")
    assert status == 200
    assert "Hold Friday, May 28, 2027, 8:00 PM! $150 keeps it." in text_of(look)
    assert "your own English" not in owner.get("/desk/texts").text
    status, wrong = post(owner, path, text="Hold {until} {sum}")
    assert status == 422
    for said in ("There is no {sum} here.", "{deposit} is missing", "{pay} is missing"):
        assert said in text_of(wrong)
    assert post(owner, path, text=new)[0] == 303
    assert "your own English" in owner.get("/desk/texts").text
    lead = story.held(shop)
    story.wait_until(shop, story.owed(shop, lead)["hold"])
    assert story.said(shop)[-1].startswith("Hold ")
    assert post(owner, f"{path}/shipped")[0] == 303
    assert "is still held for you" in text_of(owner.get(path).text)


@pytest.mark.parametrize("path", ["/desk/texts/hold/fr", "/desk/texts/nothing/en"])
def test_other_texts_are_nowhere(owner: TestClient, path: str) -> None:
    assert owner.get(path).status_code == 404
    assert post(owner, path, text="x")[0] == 404


# --- The client's own page ------------------------------------------------------------------------


def test_opening_a_stop_link_changes_nothing_and_pressing_stops(
    shop: BuiltShop, client: TestClient
) -> None:
    lead = story.booked(shop)
    before = story.owed(shop, lead)
    path = f"/stop/{shop.link(STOP_LINK, lead.id)}"
    assert "No more reminders?" in text_of(client.get(path).text)
    assert story.owed(shop, lead) == before
    pressed = client.post(path)
    assert (pressed.status_code, pressed.headers["location"]) == (303, f"{path}?done=1")
    assert "You get no more reminders" in text_of(client.get(f"{path}?done=1").text)
    assert story.owed(shop, lead) == {}
    page = client.get(path).text
    assert hidden_in(page) == {"again": "yes"}
    assert shop.paths(lead)[0] in [link.get("href") for link in elements_of(page, "a")]
    again = client.post(path, data={"again": "yes"}).headers["location"]
    assert "You get our reminders again" in text_of(client.get(again).text)
    assert story.owed(shop, lead) == before


def test_a_stop_page_speaks_the_clients_language(shop: BuiltShop, client: TestClient) -> None:
    lead = story.quoted(shop, language="es")
    page = client.get(f"/stop/{shop.link(STOP_LINK, lead.id)}").text
    assert "¿No más recordatorios?" in text_of(page)


def test_a_link_for_something_else_stops_nothing(shop: BuiltShop, client: TestClient) -> None:
    lead = story.quoted(shop)
    assert client.post(f"/stop/{shop.link(QUOTE_LINK, lead.id)}").status_code == 404
    stop_token = shop.link(STOP_LINK, lead.id)
    assert client.get(f"/quotes/{stop_token}").status_code == 404
    assert client.post(f"/stop/{stop_token}x").status_code == 404
    assert "nudge" in story.owed(shop, lead)


# --- As people see them -------------------------------------------------------------------------


@pytest.mark.whole
def test_the_pages_are_for_everybody(shop: BuiltShop, owner: TestClient) -> None:
    lead = story.quoted(shop, channel="form", chat_id=None)
    story.booked(shop, day=story.EVENT + 7 * story.DAY)
    send(shop, lead, "nudge")
    token = shop.link(STOP_LINK, lead.id)
    cookies = [(each.name, each.value or "") for each in owner.cookies.jar]

    async def look(base: str) -> None:
        async with a_page() as page:
            for name, value in cookies:
                await keep_cookie(page, base, name, value)
            for viewport in (PHONE, DESKTOP):
                await page.set_viewport_size(viewport)
                for path in (*_PAGES, f"/stop/{token}"):
                    await page.goto(base + path)
                    assert await violations(page) == [], path
                    wide = await page.evaluate("document.documentElement.scrollWidth")
                    assert wide <= viewport["width"], path

    with serving(shop) as base:
        asyncio.run(look(base))


_PAGES = ("/desk/reminders", "/desk/texts", "/desk/texts/hold/es")
