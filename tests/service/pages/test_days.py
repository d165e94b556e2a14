"""The run sheet of a day and the load list, as the owner and a helper see them."""

import re
from datetime import timedelta

import pytest
from starlette.testclient import TestClient

from service.leads import site_noting
from service.leads.lead import Lead
from service.leads.site_notes import NOTHING, SiteNotes
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import SUNDAY, at, hold_of
from tests.service.pages.reading import elements_of, text_of
from tests.service.pages.test_jobs import on
from tests.service.rendering.reading import pages_of
from tests.service.workshop.a_day import LAWN, booked

NOTES = SiteNotes(
    address="12 River Rd", access="side gate, code 4711", contact="Tom", phone="617 555 0111 ext. 4"
)


@pytest.fixture
def lawn(shop: BuiltShop) -> Lead:
    lead = booked(shop, a_brief(site=LAWN), at(10, 30))
    with shop.ports.work() as work:
        site_noting.write(work, lead.id, NOTES, seen=NOTHING.mark, who="owner", now=shop.now)
        work.commit()
    return lead


def links(html: str) -> dict[str, str]:
    found = ((str(tag.get("href")), tag) for tag in elements_of(html, "a"))
    return {href: str(tag.get("class") or "") for href, tag in found}


def test_on_the_day_the_next_step_the_map_and_the_phones_are_at_hand(
    shop: BuiltShop, owner: TestClient, lawn: Lead
) -> None:
    on(shop, SUNDAY, owner)
    shop.now = at(10, 15)
    html = owner.get("/desk/days").text
    (now,) = re.findall(r'<section class="coming".*?</section>', html, re.DOTALL)
    assert "Leave for boathouse lawn" in now
    assert html.count("aria-current=step") == 1
    for href in ("tel:+1-617-555-0111;ext=4", "tel:+1-617-555-0100"):
        assert f'class="button quiet" href="{href}"' in now
    assert 'href="https://www.openstreetmap.org/search?query=12%20River%20Rd"' in now
    assert owner.get(f"/desk/days/{SUNDAY}").text.count("aria-current=step") == 1


def test_the_owner_sees_what_is_due_and_where_to_change_the_place(
    shop: BuiltShop, owner: TestClient, lawn: Lead
) -> None:
    html = owner.get(f"/desk/days/{SUNDAY}").text
    assert "Still due" in text_of(html)
    assert "$" in text_of(html)
    assert f"/desk/leads/{lawn.id}/site" in links(html)
    assert f"/desk/jobs/{hold_of(shop, lawn).id}/load" in links(html)
    assert "aria-current=step" not in html


def test_a_helper_sees_no_money_and_hears_of_doors_and_people_on_the_day(
    shop: BuiltShop, owner: TestClient, helper: TestClient, lawn: Lead
) -> None:
    on(shop, SUNDAY - timedelta(days=1), owner, helper)
    before = helper.get(f"/desk/days/{SUNDAY}").text
    for private in ("4711", "Tom", "Nora", "555 01", "$", "/desk/leads"):
        assert private not in before
    assert "told on the day" in before
    on(shop, SUNDAY, owner, helper)
    text = text_of(today := helper.get("/desk/days").text)
    assert "code 4711" in text
    assert "Tom, 617 555 0111" in text
    assert "Nora, +1 617 555 0100" in text
    for private in ("Ålund", "$", "Still due"):
        assert private not in text
    assert "/desk/leads" not in today
    assert helper.get(f"/desk/days/{SUNDAY - timedelta(days=1)}").status_code == 404
    assert helper.get(f"/desk/days/{SUNDAY + timedelta(days=99)}").status_code == 404
    pdf = helper.get(f"/desk/days/{SUNDAY}/run.pdf")
    assert "$" not in "".join(pages_of(pdf.content))


def test_days_on_which_nothing_is_done_say_so_and_other_texts_are_no_days(
    owner: TestClient,
) -> None:
    html = owner.get("/desk/days/2027-06-07").text
    assert "Nothing is to be done this day." in text_of(html)
    assert {"/desk/days/2027-06-06", "/desk/days/2027-06-08", "/desk/days"} <= set(links(html))
    assert owner.get("/desk/days/soon").status_code == 404


def test_the_run_sheet_is_reached_from_the_calendar_the_list_and_the_sheet(
    shop: BuiltShop, owner: TestClient, lawn: Lead
) -> None:
    path = f"/desk/days/{SUNDAY}"
    on(shop, SUNDAY - timedelta(days=3), owner)
    for page in (
        f"/desk/calendar?view=day&on={SUNDAY}",
        "/desk/jobs",
        f"/desk/jobs/{hold_of(shop, lawn).id}",
        f"/desk/leads/{lawn.id}/site",
    ):
        assert path in links(owner.get(page).text)
    assert f"/desk/leads/{lawn.id}/site" in links(owner.get(f"/desk/leads/{lawn.id}").text)


def test_the_load_list_has_a_box_for_every_thing(
    shop: BuiltShop, owner: TestClient, helper: TestClient, lawn: Lead
) -> None:
    path = f"/desk/jobs/{hold_of(shop, lawn).id}/load"
    on(shop, SUNDAY - timedelta(days=3), owner, helper)
    html = helper.get(path).text
    boxes = [tag for tag in elements_of(html, "input") if tag.get("type") == "checkbox"]
    assert len({box["name"] for box in boxes}) == len(boxes) > 20
    assert "4 × base plate 25 lb" in text_of(html)
    assert "$" not in html
    pdf = helper.get(f"{path}.pdf?paper=a4")
    assert pdf.headers["content-type"] == "application/pdf"
    assert pdf.headers["content-disposition"].startswith("inline; filename=")
    assert "base plate" in "".join(pages_of(pdf.content))
    assert helper.get("/desk/jobs/none/load").status_code == 404


def typed(html: str, **values: str) -> dict[str, str]:
    hidden = {str(tag["name"]): str(tag["value"]) for tag in elements_of(html, "input")}
    return hidden | values


def test_the_owner_writes_down_what_is_known_of_a_place(
    shop: BuiltShop, owner: TestClient, lawn: Lead
) -> None:
    path = f"/desk/leads/{lawn.id}/site"
    html = owner.get(path).text
    assert "12 River Rd" in html
    data = typed(html, parking="in the yard", access=NOTES.access, address=NOTES.address)
    answer = owner.post(path, data=data)
    assert answer.headers["location"] == f"{path}?done=kept"
    assert "Kept." in owner.get(f"{path}?done=kept").text
    with shop.ports.read() as work:
        assert site_noting.notes_of(work, lawn.id).parking == "in the yard"
    # The form that was open all the while has seen other notes.
    stale = owner.post(path, data=data | {"parking": "at the dock"})
    assert stale.status_code == 409
    assert "Stands there now: in the yard" in text_of(stale.text)
    assert "at the dock" in stale.text


def test_what_is_too_long_is_asked_to_be_shortened(
    shop: BuiltShop, owner: TestClient, lawn: Lead
) -> None:
    path = f"/desk/leads/{lawn.id}/site"
    refused = owner.post(path, data=typed(owner.get(path).text, phone="0" * 41))
    assert refused.status_code == 422
    assert "Keep it to 40 characters; it has 41 now." in text_of(refused.text)
    assert 'aria-describedby="phone-fault"' in refused.text
