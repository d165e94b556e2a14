"""One request at the desk: what was sent, its price line by line, notes, questions, twins."""

import re
from decimal import Decimal
from typing import Any

from starlette.testclient import TestClient

from service.estimating import Event, Setting, Site
from service.leads.lead import Client, Lead, Quote
from service.leads.price_lines import lines_of
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import held
from tests.service.pages.reading import elements_of, hidden_in, text_of

OUTDOORS = Site(setting=Setting.OUTDOOR, place="lower lock", postal_code="02472")
BUILDING = "Building it beforehand"


def newest(shop: BuiltShop, lead: Lead) -> Quote:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    return quote


def form_of(owner: TestClient, lead: Lead) -> dict[str, str]:
    """The lines' form as it stands, as a browser would send it."""
    html = owner.get(f"/desk/leads/{lead.id}/lines").text
    typed = {
        str(each["name"]): each.get("value") or ""
        for each in elements_of(html, "input")
        if each.get("type") not in ("hidden", "checkbox")
    }
    return hidden_in(html) | typed | {"reason": "they open late"}


def post(owner: TestClient, lead: Lead, path: str, data: dict[str, str]) -> Any:
    return owner.post(f"/desk/leads/{lead.id}/{path}", data=data)


def test_lines_are_changed_added_and_taken_out_and_the_client_reads_just_these(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    before = lines_of(newest(shop, lead), "Ida Marsh")
    typed = form_of(owner, lead)
    assert [typed[f"l{n}-label"] for n in (1, 2, 3)] == [line.label for line in before]
    typed |= {
        "l2-amount": "333.50",
        "l3-out": "1",
        "l4-label": "Early access on Sunday",
        "l4-amount": "$40",
        "l5-label": "For old times",
        "l5-amount": "-10",
        "text": "Gladly!",
    }
    total = before[0].amount + Decimal("363.50")
    added_up = post(owner, lead, "lines/total", typed | {"reason": ""})
    assert f"In all ${total:,.2f}" in text_of(added_up.text)
    assert "Say why" not in added_up.text
    assert shop.lead(lead.id).state == "review"
    answer = post(owner, lead, "lines", typed)
    assert answer.status_code == 303
    quote = newest(shop, lead)
    assert quote.likely == total
    page = text_of(client.get(shop.paths(lead)[0]).text)
    shown = page[page.index("What the money is for") :]
    for line in quote.lines or ():
        assert line.label in shown
    assert before[2].label not in shown
    assert "Early access on Sunday$40" in shown
    assert "Adjusted" not in page
    assert "they open late" not in page
    desk = text_of(owner.get(answer.headers["location"]).text)
    assert "Early access on Sunday: added, $40" in desk
    assert "they open late" in desk
    again = post(owner, lead, "lines", typed)  # a double press
    assert again.status_code == 409
    assert "has gone out already" in text_of(again.text)
    assert newest(shop, lead) == quote


def test_lines_that_cannot_be_are_not_sent(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    typed = form_of(owner, lead)
    out = {f"l{n}-out": "1" for n in (1, 2, 3)}
    for entered, said in (
        ({"l1-amount": "a lot"}, "Write 40, 40.50 or -20."),
        ({"l4-amount": "40"}, "Say what it is for"),
        ({"l4-label": "Early access"}, "Write 40, 40.50 or -20."),
        ({"l4-label": "a" * 81, "l4-amount": "4"}, "Keep it to 80 characters"),
        ({"l4-label": BUILDING, "l4-amount": "4"}, "Two lines have the same name"),
        (out, "above zero"),
        ({"reason": ""}, "Say why"),
    ):
        answer = post(owner, lead, "lines", typed | entered)
        assert answer.status_code == 422, entered
        assert said in text_of(answer.text), entered
    assert newest(shop, lead).kind == "ballpark"


def test_lines_far_from_the_estimate_want_a_second_press(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    typed = form_of(owner, lead) | {"l1-amount": "9,999"}
    doubted = post(owner, lead, "lines", typed)
    assert doubted.status_code == 422
    assert "Send it all the same?" in text_of(doubted.text)
    sure = {"sure": hidden_in(doubted.text)["sure"]}
    assert post(owner, lead, "lines", typed | sure | {"l1-amount": "8,888"}).status_code == 422
    assert post(owner, lead, "lines", typed | sure).status_code == 303


def test_the_owner_sees_each_quote_as_it_was_sent_without_the_clients_link(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(), language="es")
    ballpark = newest(shop, lead)
    assert (
        post(owner, lead, "lines", form_of(owner, lead) | {"l1-amount": "150"}).status_code == 303
    )
    firm = newest(shop, lead)
    html = owner.get(f"/desk/leads/{lead.id}").text
    links = [link["href"] for link in elements_of(html, "a")]
    for quote, price in ((ballpark, ballpark.low), (firm, firm.likely)):
        path = f"/desk/leads/{lead.id}/quotes/{quote.number}"
        assert path in links
        page = owner.get(path).text
        text = text_of(page)
        assert f"${price:,.0f}" in text
        assert "This is what your client sees" in text
        assert "Elegir hora del montaje" in text  # in the client's language
        assert "/bookings/" not in page
        assert "/quotes/" not in page
    assert owner.get(f"/desk/leads/{lead.id}/quotes/G9-9").status_code == 404


def test_a_quote_as_it_was_sent_leads_nowhere_where_a_date_is_held(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = held(shop)
    page = owner.get(f"/desk/leads/{lead.id}/quotes/{newest(shop, lead).number}?lang=es")
    assert page.status_code == 200
    assert "None" not in [link["href"] for link in elements_of(page.text, "a")]


def test_a_price_nobody_was_sent_is_no_quote_to_look_at(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(site=OUTDOORS))
    number = newest(shop, lead).number
    assert owner.get(f"/desk/leads/{lead.id}/quotes/{number}").status_code == 404
    assert "No price so far." in text_of(owner.get(f"/desk/leads/{lead.id}").text)


def test_notes_are_kept_with_who_and_when_and_once(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    csrf = hidden_in(owner.get(f"/desk/leads/{lead.id}").text)["csrf"]
    note = {"csrf": csrf, "note": "She called.\n\n<b>Key</b> at the lock."}
    for _ in range(2):  # a double press
        answer = post(owner, lead, "notes", note)
        assert answer.status_code == 303
    html = owner.get(f"/desk/leads/{lead.id}").text
    assert html.count("She called.") == 1
    assert "<b>Key</b> at the lock." in text_of(html)
    assert "you, Sunday, January 10, 2027, 12:00 PM" in text_of(html)
    assert "She called" not in client.get(shop.paths(lead)[0]).text
    for unfit, said in (("", "Write a few words first"), ("a" * 4001, "Keep it to 4,000")):
        refused = post(owner, lead, "notes", {"csrf": csrf, "note": unfit})
        assert refused.status_code == 422
        assert said in text_of(refused.text)


def test_ready_made_questions_fill_the_answer_in_the_clients_language(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(event=Event()), language="es")
    path = f"/desk/leads/{lead.id}"
    html = owner.get(path).text
    assert "Which day is it?" in text_of(html)
    filled = owner.get(path, params={"ask": ["event.date", "event.start_time", "made up"]}).text
    answer = re.search(r'<textarea id="answer"[^>]*>\n(.*?)</textarea>', filled, re.DOTALL)
    assert answer is not None
    assert answer[1] == "• ¿Qué día es?\n• ¿A qué hora empieza?"
    sent = hidden_in(filled) | {"answer": answer[1], "lead": lead.id}
    posted = owner.post(f"/desk/conversations/form/{lead.chat_id}/answer", data=sent)
    assert posted.status_code == 303
    with shop.ports.read() as work:
        last = work.chats.messages(lead.channel, lead.chat_id)[-1]
    assert last.message.text == answer[1]


def test_a_twin_becomes_a_part_and_its_links_show_the_kept_ones_price(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    nora = Client(name="Nora", email="nora@rowing.example")
    kept, twin = shop.quoted(a_brief(), client=nora), shop.quoted(a_brief(), client=nora)
    path = f"/desk/leads/{kept.id}/merge"
    html = owner.get(path).text
    assert f"{twin.number}, Nora" in text_of(html)
    assert "same email" in text_of(html)
    chosen = hidden_in(html)
    assert owner.post(path, data=chosen).status_code == 303
    assert owner.post(path, data=chosen).status_code == 409  # a double press
    page = owner.get(f"/desk/leads/{kept.id}").text
    assert f"{twin.number} is a part of this one" in text_of(page)
    assert f"You took in {twin.number}" in text_of(page)
    assert f"/desk/leads/{twin.id}#talk" in [link["href"] for link in elements_of(page, "a")]
    part = owner.get(f"/desk/leads/{twin.id}").text
    assert f"You made this a part of {kept.number}" in text_of(part)
    assert f"You made it a part of {kept.number}" in text_of(part)
    assert "Your decision" not in part
    seen = text_of(client.get(shop.paths(twin)[0]).text)
    assert f"Quote {newest(shop, kept).number}" in seen
    assert "it takes the place of the one that this link first showed" in seen
    booking = client.get(shop.paths(twin)[1]).text
    assert shop.paths(kept)[0] in [link["href"] for link in elements_of(booking, "a")]
    assert owner.get(f"/desk/leads/{twin.id}/brief").status_code == 409
    number = owner.get(path, params={"number": twin.number}).text
    assert "over already" in text_of(number)
    assert "There is no request with that number" in text_of(
        owner.get(path, params={"number": "G9"}).text
    )
