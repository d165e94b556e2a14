"""A job's documents, and the build sheet at the bench: for helpers too, and without a price."""

import re
from datetime import timedelta

from starlette.testclient import TestClient

from service.leads import booking, forgetting
from service.leads.lead import Hold
from tests.service.building import PUBLIC_URL, BuiltShop, a_brief
from tests.service.pages.reading import elements_of, text_of
from tests.service.pages.test_jobs import JUNE, held, on, the_clubs
from tests.service.rendering import reading


def addresses_on(html: str) -> set[str]:
    return {str(link["href"]) for link in elements_of(html, "a")}


def give_back(shop: BuiltShop, hold: Hold) -> None:
    with shop.ports.work() as work:
        lead = work.leads.get(hold.lead_id, lock=True)
        booking.release(work, shop.ports, lead, now=shop.now)
        work.commit()


def test_the_documents_of_a_job_are_on_one_page_and_a_helper_sees_those_without_a_price(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    hold = held(shop)
    on(shop, JUNE - timedelta(days=2), owner, helper)
    path = f"/desk/leads/{hold.lead_id}"
    owners = owner.get(f"{path}/documents").text
    helpers = helper.get(f"{path}/documents").text
    for html in (owners, helpers):
        assert {f"{path}/build", f"{path}/build.pdf", f"{path}/labels.pdf"} <= addresses_on(html)
    assert f"{path}/quote.pdf" in addresses_on(owners)
    assert f"{path}/quote.pdf" not in addresses_on(helpers)
    assert f"/desk/jobs/{hold.id}" in addresses_on(helpers)
    # Of the pages that a helper is led to, none is refused.
    for address in addresses_on(helpers):
        if address.startswith("/desk/") and not address.endswith(".pdf"):
            assert helper.get(address).status_code == 200


def test_what_is_of_the_set_up_is_there_from_when_a_time_is_kept_until_it_is_over(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    before = owner.get(f"/desk/leads/{lead.id}/documents").text
    assert "More are there once a time is kept." in text_of(before)
    assert not [each for each in addresses_on(before) if each.startswith("/desk/jobs/")]
    hold = held(shop)
    path, load = f"/desk/leads/{hold.lead_id}/documents", f"/desk/jobs/{hold.id}/load"
    assert load in addresses_on(owner.get(path).text)
    on(shop, JUNE + timedelta(days=2), owner)
    assert load not in addresses_on(owner.get(path).text)
    assert "/desk/days/2027-06-06" in addresses_on(owner.get(path).text)


def test_pdfs_are_made_for_the_paper_that_was_asked_for(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    path = f"/desk/leads/{lead.id}"
    usual = owner.get(f"{path}/documents").text
    assert "PDFs are for US Letter paper." in text_of(usual)
    assert "?paper=a4" in addresses_on(usual)
    other = owner.get(f"{path}/documents?paper=a4").text
    assert f"{path}/build.pdf?paper=a4" in addresses_on(other)
    made = owner.get(f"{path}/build.pdf?paper=a4")
    assert made.headers["content-type"] == "application/pdf"
    assert (
        made.headers["content-disposition"] == f'inline; filename="{lead.number} build sheet.pdf"'
    )
    assert reading.sizes_of(made.content)[0] == (210, 297)


def test_the_owner_reads_a_draft_before_anybody_else_and_helpers_only_what_is_coming(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    bare = shop.take_lead(a_brief())
    assert owner.get(f"/desk/leads/{bare.id}/documents").status_code == 404
    shop.work_off()
    assert owner.get(f"/desk/leads/{bare.id}/build").status_code == 200
    for page in ("documents", "build", "build.pdf", "labels.pdf"):
        assert helper.get(f"/desk/leads/{bare.id}/{page}").status_code == 404
        assert owner.get(f"/desk/leads/none/{page}").status_code == 404


def test_what_was_given_back_or_erased_is_no_helpers_any_more(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    hold = held(shop)
    on(shop, JUNE - timedelta(days=2), owner, helper)
    path = f"/desk/leads/{hold.lead_id}/build"
    assert helper.get(path).status_code == 200
    give_back(shop, hold)
    assert helper.get(path).status_code == 404
    assert owner.get(path).status_code == 200
    with shop.ports.work() as work:
        forgetting.erase(work, hold.lead_id, now=shop.now)
        work.commit()
    assert owner.get(path).status_code == 404


def test_the_build_sheet_says_what_to_tie_and_in_which_order_without_a_price_or_a_name(
    shop: BuiltShop, owner: TestClient, helper: TestClient
) -> None:
    hold = held(shop)
    on(shop, JUNE - timedelta(days=2), owner, helper)
    html = helper.get(f"/desk/leads/{hold.lead_id}/build").text
    text = text_of(html)
    for said in (
        "from Sunday, June 6, 2027, 3:00 AM on, 12 hours before it begins",
        "Round-top frame, 4 ft wide and 7 ft tall",
        "Make 2 like this.",
        "12 × 11 in latex",
        "Square: tie it on the line. Round: push it in between, after.",
        "Latex can set off a serious allergic reaction",
    ):
        assert said in text
    for private in ("$", "@", "Ålund", "480", "treasurer", "740", "rounded"):
        assert private not in text
    labels = helper.get(f"/desk/leads/{hold.lead_id}/labels.pdf").content
    assert set(reading.qr_codes_of(labels)) == {f"{PUBLIC_URL}/desk/jobs/{hold.id}"}
    for file in (labels, helper.get(f"/desk/leads/{hold.lead_id}/build.pdf").content):
        assert "Ålund" not in reading.text_of(file)
        assert "$" not in reading.text_of(file)


def test_every_box_to_tick_has_a_name_of_its_own_and_says_what_it_is_for(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(the_clubs(JUNE))
    html = owner.get(f"/desk/leads/{lead.id}/build").text
    boxes = [each for each in elements_of(html, "input") if each.get("type") == "checkbox"]
    names = [each["name"] for each in boxes]
    assert len(names) > 40
    assert len(set(names)) == len(names)
    spoken = [each["aria-label"] for each in boxes if "aria-label" in each]
    assert len(set(spoken)) > 20
    assert "clusters 1–10 done, 1 of 1" in spoken
    # The ticks are kept for this very quote: another has another order.
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    assert re.findall(r'data-ticks="([^"]+)"', html) == [quote.id]
