"""The owner holds a time for a client at the desk, also one that breaks her own rules."""

from datetime import date, datetime, time

from starlette.testclient import TestClient

from service.estimating import Event, Setting, Site
from service.leads.lead import Client, Lead, LeadState
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import BOSTON, SUNDAY, a_wall, at, held, hold_of, told
from tests.service.pages.reading import elements_of, hidden_in, text_of

LAWN = Site(setting=Setting.OUTDOOR, postal_code="02472")


def page_of(lead: Lead) -> str:
    return f"/desk/bookings/{lead.id}"


def times_on(html: str) -> list[str]:
    return [str(e["value"]) for e in elements_of(html, "input") if e.get("name") == "starts_at"]


def test_a_time_is_held_for_the_client_who_is_told(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_wall(), client=Client(name="Nora Ålund"))
    html = owner.get(page_of(lead)).text
    assert "Hold a time for the client" in text_of(html)
    assert "Sunday, June 6, 2027" in text_of(html)
    form = hidden_in(html) | {"starts_at": at(9).isoformat()}
    missing = owner.post(f"{page_of(lead)}/hold", data=form | {"starts_at": ""})
    assert missing.status_code == 422
    assert "Pick a time first." in text_of(missing.text)
    for _ in range(2):
        answer = owner.post(f"{page_of(lead)}/hold", data=form)
        assert answer.status_code == 303
    assert "The time is held" in text_of(owner.get(answer.headers["location"]).text)
    assert hold_of(shop, lead).window.starts_at == at(9)
    assert shop.lead(lead.id).client.name == "Nora Ålund"
    assert sum("is held for you" in each for each in told(shop, lead)) == 1
    # Somebody else has it now.
    other = shop.quoted(a_wall())
    taken = owner.post(f"{page_of(other)}/hold", data=form)
    assert taken.status_code == 409
    assert "Another job takes that time." in text_of(taken.text)
    assert shop.lead(other.id).state is LeadState.QUOTED


def test_times_that_break_her_rules_are_marked_and_hers_to_take(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief(site=LAWN, event=Event(date=SUNDAY, start_time=time(15))))
    shop.send_firm(lead)
    html = owner.get(page_of(lead)).text
    assert "making does not fit" in text_of(html)
    first = times_on(html)[0]
    form = hidden_in(html) | {"starts_at": first}
    assert owner.post(f"{page_of(lead)}/hold", data=form).status_code == 303
    assert hold_of(shop, lead).window.starts_at == datetime.fromisoformat(first)
    soon = shop.quoted(a_wall(date(2027, 1, 18)))
    shop.now = datetime(2027, 1, 17, 9, tzinfo=BOSTON)
    assert "sooner than your notice" in text_of(owner.get(page_of(soon)).text)
    assert "making does not fit" in text_of(
        owner.get(f"{page_of(lead)}?day=2027-06-12&why=shop").text
    )


def test_a_day_without_times_says_why(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    held(shop)
    said = text_of(owner.get(page_of(lead)).text)
    assert "The round top frame 4 x 7 ft is out that day." in said
    assert "That day is past." in text_of(owner.get(f"{page_of(lead)}?day=2027-01-04").text)


def test_an_end_that_nobody_named_is_marked_as_assumed(shop: BuiltShop, owner: TestClient) -> None:
    lead = held(shop)
    assumed = "(end not known: 7:00 PM assumed)"
    assert assumed in text_of(owner.get(page_of(lead)).text)
    assert assumed in text_of(owner.get("/desk/calendar?view=day&on=2027-06-06").text)
    kept = hold_of(shop, lead)
    sheet = text_of(owner.get(f"/desk/jobs/{kept.id}").text)
    assert "7:00 PM (assumed: its end is not known)" in sheet
    day = date(2027, 6, 13)
    event = Event(date=day, start_time=time(15), end_time=time(18))
    known = held(shop, a_brief(event=event), starts_at=at(9, day=day))
    assert "assumed" not in text_of(owner.get(page_of(known)).text)
