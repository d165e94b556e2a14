"""Many at once, at the desk: begun by a form, done by workers, saved as one file."""

import io
import zipfile
from functools import partial

from starlette.testclient import TestClient

from service.leads import long_work, stepping
from service.leads.steps import StepKind
from service.rendering import parts_of_work
from tests.service.building import BuiltShop, a_brief
from tests.service.leads.keeping_dates import booked
from tests.service.pages.reading import hidden_in, text_of
from tests.service.rendering.reading import text_of as text_of_pdf

JUNE = {"first": "2027-06-01", "last": "2027-06-30"}


def work_off(shop: BuiltShop) -> None:
    """Play the worker until nothing is owed."""
    with shop.ports.read() as work:
        due = [each for each in work.outbox.due(shop.now, limit=99) if each.kind is StepKind.CHORE]
    for step in due:
        with shop.ports.work() as work:
            fence = stepping.lease(work, step.id, shop.now).fence
            work.commit()
        make = partial(parts_of_work.make, shop.ports)
        long_work.do_part(shop.ports, step.subject_id, step_id=step.id, fence=fence, make=make)


def begin(owner: TestClient, kind: str) -> str:
    """The path that one is led to, however often the button is pressed."""
    form = hidden_in(owner.get("/desk/many").text)
    led = {
        owner.post("/desk/many", data={**form, **JUNE, "kind": kind}).headers["location"]
        for _ in range(2)
    }
    (path,) = led
    return path


def test_a_months_documents_are_made_in_the_background_and_saved_as_one_file(
    owner: TestClient, shop: BuiltShop
) -> None:
    lead = booked(shop)
    path = begin(owner, "documents")
    before = owner.get(path).text
    assert "0 of 6 made" in text_of(before)
    assert owner.get(f"{path}/progress").json() == {
        "share": 0,
        "state": "0 of 6 made",
        "running": True,
    }
    work_off(shop)
    assert owner.get(f"{path}/progress").json()["running"] is False
    assert "6 of 6 made" in text_of(owner.get(path).text)
    saved = owner.get(f"{path}/documents.zip")
    with zipfile.ZipFile(io.BytesIO(saved.content)) as archive:
        names = archive.namelist()
        texts = [text_of_pdf(archive.read(name)) for name in names]
    own = [f"2027-06-06 {lead.number} {each}.pdf" for each in ("quote", "build sheet", "labels")]
    assert names == [
        *own,
        f"2027-06-06 {lead.number} load list.pdf",
        "2027-06-06 run sheet.pdf",
        "2027-06-30 shopping list.pdf",
    ]
    assert all(lead.number in text for text in texts)


def test_prices_by_todays_figures_stand_beside_those_that_were_told(
    owner: TestClient, shop: BuiltShop
) -> None:
    lead = shop.quoted(a_brief())
    path = begin(owner, "prices")
    work_off(shop)
    page = text_of(owner.get(path).text)
    assert lead.number in page
    assert "1 of 1 made" in page


def test_what_makes_no_sense_is_asked_for_again(owner: TestClient) -> None:
    form = hidden_in(owner.get("/desk/many").text)
    for fields, said in (
        ({"kind": "documents", **JUNE}, "There is nothing to make for these days."),
        ({"kind": "documents", "first": "soon", "last": "2027-06-30"}, "Pick a day"),
        ({"kind": "everything", **JUNE}, "Choose what is to be made."),
    ):
        page = owner.post("/desk/many", data={**form, **fields})
        assert page.status_code == 422
        assert said in text_of(page.text)
    assert owner.get("/desk/many/long-gone").status_code == 404


def test_stopped_from_the_page_it_can_still_be_saved(owner: TestClient, shop: BuiltShop) -> None:
    shop.quoted(a_brief())
    path = begin(owner, "prices")
    form = {"csrf": hidden_in(owner.get(path).text)["csrf"]}
    owner.post(f"{path}/stop", data=form)
    assert "0 of 1 made, stopped" in text_of(owner.get(path).text)
    assert owner.get(f"{path}/documents.zip").status_code == 200
