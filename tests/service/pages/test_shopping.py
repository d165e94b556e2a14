"""The desk's shopping list: what to buy, marking it in the shop, changing and undoing."""

from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.leads.lead import Lead
from tests.service.building import BuiltShop
from tests.service.pages.reading import elements_of, hidden_in, text_of
from tests.service.workshop.booked_jobs import FIRST_DAY, book_job, free, out, wall

UNTIL = (FIRST_DAY + timedelta(days=20)).isoformat()
PAGE = f"/desk/shopping?until={UNTIL}"


@pytest.fixture
def job(shop: BuiltShop) -> Lead:
    """A booked job in red with a foil."""
    return book_job(shop, wall(1.25, "red", foils=("5",)))


def forms_of(owner: TestClient, path: str, action: str) -> list[dict[str, str]]:
    """The hidden fields of every form of a page that goes there."""
    found = []
    for form in owner.get(path).text.split("<form")[1:]:
        body = form.split("</form>")[0]
        if f'action="{action}"' in body:
            found.append(hidden_in(f"<form{body}"))
    return found


def press(owner: TestClient, action: str, fields: dict[str, Any]) -> str:
    """Where a press leads to."""
    answer = owner.post(action, data=fields)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_the_page_says_what_to_buy_where_and_by_when(owner: TestClient, job: Lead) -> None:
    page = owner.get(PAGE).text
    said = text_of(page)
    assert f"1 job until Tue, Feb 9: {job.number}." in said
    assert "No cheaper way to get these balloons exists: that is proven." in said
    assert "Millrace Party Supply Order by Sun, Jan 17." in said
    assert "packs of red 10 in, bag of 20" in said
    assert f"for {job.number}" not in said, "there is no other"
    assert "foil digit 5" in said
    assert "From your supplies" in said
    assert "Left in the packs afterwards" in said
    alone = text_of(owner.get(f"/desk/leads/{job.id}/shopping").text)
    assert f"Shopping for {job.number}" in alone
    assert "For this job alone." in alone
    assert "Shopping" in text_of(owner.get("/desk/more").text)
    documents = owner.get(f"/desk/leads/{job.id}/documents").text
    assert f"/desk/leads/{job.id}/shopping.pdf" in documents


def test_lines_are_marked_one_by_one_and_the_rest_at_once(
    shop: BuiltShop, owner: TestClient, job: Lead
) -> None:
    first, *others = forms_of(owner, PAGE, "/desk/shopping/bought")
    before = free(shop)
    said = {"packs": "9", "paid": "20.25"}
    there = press(owner, "/desk/shopping/bought", first | said)
    assert there == f"{PAGE}&done=bought#row-{others[0]['row']}"
    assert f'id="row-{others[0]["row"]}"' in owner.get(PAGE).text
    assert "Written down." in text_of(owner.get(f"{PAGE}&done=bought").text)
    bought = free(shop)
    assert bought != before
    # The same page again: pressed twice, or still open on another phone.
    assert "done=again" in press(owner, "/desk/shopping/bought", first | said)
    assert free(shop) == bought
    page = owner.get(PAGE).text
    assert "$20.25" in page
    section = page.split('action="/desk/shopping/all"')[1].split("</form>")[0]
    lines = [e["value"] for e in elements_of(section, "input") if e["name"] == "goods"]
    every = "/desk/shopping/all"
    fields = forms_of(owner, PAGE, every)[0] | {"goods": lines}
    assert press(owner, every, fields).endswith("done=bought")
    assert "No balloons are to be bought" in text_of(owner.get(PAGE).text)
    assert sum(out(shop, job).values()) > 0


def test_a_purchase_is_changed_and_undone(shop: BuiltShop, owner: TestClient, job: Lead) -> None:
    path = f"/desk/leads/{job.id}/shopping"
    line = forms_of(owner, path, "/desk/shopping/bought")[0]
    before = free(shop), out(shop, job)
    press(owner, "/desk/shopping/bought", line | {"packs": "2"})
    with shop.ports.read() as work:
        (kept,) = work.purchases.lately(limit=5)
    action = f"/desk/shopping/purchases/{kept.id}"
    (form,) = forms_of(owner, path, action)
    assert press(owner, action, form | {"packs": "5", "paid": ""}) == f"{path}?done=changed"
    assert owner.post(action, data=form | {"packs": "6"}).status_code == 409
    assert owner.post(action, data=form | {"packs": "a few"}).status_code == 422
    (form,) = forms_of(owner, path, action)
    assert press(owner, action, form | {"undo": "1"}) == f"{path}?done=undone"
    assert (free(shop), out(shop, job)) == before
    assert "Bought for this job" not in text_of(owner.get(path).text)


def test_what_is_wrong_is_said_beside_its_field(
    shop: BuiltShop, owner: TestClient, job: Lead
) -> None:
    line = forms_of(owner, PAGE, "/desk/shopping/bought")[0]
    before = free(shop)
    for typed, text in (
        ({"packs": "some"}, "Give a whole number."),
        ({"packs": "0"}, "from 1 to 1,000"),
        ({"packs": "1", "paid": "1,50"}, "Give an amount"),
    ):
        answer = owner.post("/desk/shopping/bought", data=line | typed)
        assert answer.status_code == 422
        assert text in text_of(answer.text)
        assert f'-{line["row"]}-fault"' in answer.text
    forged = line | {"packs": "1", "goods": '["x",1,"bag","nobody",10,"red",20]'}
    assert owner.post("/desk/shopping/bought", data=forged).status_code == 422
    for goods in ("[]", "not json", '["x",1,"thing","star","much"]'):
        forged = line | {"packs": "1", "goods": goods}
        assert owner.post("/desk/shopping/bought", data=forged).status_code == 409
    assert (free(shop), out(shop, job)) == (before, {})
    for until in ("soon", "2020-01-01", "9999-12-31"):
        answer = owner.get("/desk/shopping", params={"until": until})
        assert answer.status_code == 422
        assert 'id="until-fault"' in answer.text


def test_the_list_can_be_printed_and_taken_as_a_table(owner: TestClient, job: Lead) -> None:
    pdf = owner.get(f"/desk/leads/{job.id}/shopping.pdf", params={"paper": "a4"})
    assert pdf.headers["content-type"] == "application/pdf"
    assert f"Shopping list {job.number}.pdf" in pdf.headers["content-disposition"]
    table = owner.get(f"/desk/shopping.csv?until={UNTIL}")
    assert f"shopping-{UNTIL}.csv" in table.headers["content-disposition"]
    assert table.text.startswith("what,supplier,item,")
    assert job.number in table.text
    assert owner.get("/desk/leads/nobody/shopping.csv").status_code == 404


def test_there_is_no_list_for_what_has_no_price_or_is_over(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.take_lead(wall(1.0, "red"))
    for ending in ("", ".pdf", ".csv"):
        answer = owner.get(f"/desk/leads/{lead.id}/shopping{ending}")
        assert answer.status_code == 404
        assert "There is no price for this request yet" in text_of(answer.text)


def test_a_helper_sees_no_list(helper: TestClient, job: Lead) -> None:
    for path in ("/desk/shopping", f"/desk/leads/{job.id}/shopping", "/desk/shopping.csv"):
        assert helper.get(path).status_code == 403
