"""Run sheets and load lists on paper: every word there, nothing cut off, typefaces in the file."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from service.leads import site_noting
from service.leads.lead import Lead, NotFound
from service.leads.site_notes import NOTHING, SiteNotes
from service.rendering import day_files, run_sheet
from service.rendering.paper import PaperSize
from service.workshop.run_sheet import saying
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import SUNDAY, a_wall, at
from tests.service.rendering.reading import clipped, fonts_of, qr_codes_of, sizes_of, text_of
from tests.service.workshop.a_day import FLOATS, LAWN, booked, sheet_of

MADE_AT = datetime(2027, 6, 5, 12, tzinfo=UTC)
LONG = "the side gate past the old boat shed, ring twice, then along the quay to the left " * 4


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path_factory.mktemp("shop"))
    yield built
    built.engine.dispose()


@pytest.fixture(scope="module")
def lawn(shop: BuiltShop) -> Lead:
    lead = booked(shop, a_brief(site=LAWN, floating=FLOATS), at(10, 30))
    booked(shop, a_wall(), at(8))
    notes = SiteNotes(address="12 River Rd, Alder Mills", access=LONG.strip(), contact="Tom")
    with shop.ports.work() as work:
        site_noting.write(work, lead.id, notes, seen=NOTHING.mark, who="owner", now=shop.now)
        work.commit()
    return lead


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (216, 279))])
def test_a_run_sheet_says_everything_of_the_day(
    shop: BuiltShop, lawn: Lead, paper: str, size: tuple[int, int]
) -> None:
    file = day_files.run_of_day(shop.ports, SUNDAY, paper=paper)
    text = text_of(file.content).replace("\xa0", " ")
    sheet = sheet_of(shop)
    said = [step.text for step in sheet.steps]
    said += [saying.about(caution, sheet) for caution in sheet.cautions]
    said += [text for stop in sheet.stops for _, text in saying.facts(stop)]
    for each in said:
        assert " ".join(each.replace("\xa0", " ").split()) in text
    assert set(sizes_of(file.content)) == {size}
    assert clipped(file.content) == []
    assert all(fonts_of(file.content).values())
    assert file.name == "Run sheet 2027-06-06.pdf"


def test_a_phone_finds_the_way_from_the_paper(shop: BuiltShop, lawn: Lead) -> None:
    file = day_files.run_of_day(shop.ports, SUNDAY, paper="letter")
    assert sheet_of(shop).stops[1].place.map_url in qr_codes_of(file.content)


def test_the_same_sheet_is_the_same_file_and_what_does_not_fit_stands_first(
    shop: BuiltShop, lawn: Lead
) -> None:
    sheet = replace(sheet_of(shop), wrong=("G1 and G2 want the same crew at once.",))
    first, again = (
        run_sheet.pdf(sheet, shop="Harbor Lane Balloons", made_at=MADE_AT, size=PaperSize.A4)
        for _ in range(2)
    )
    assert first == again
    text = text_of(first)
    assert text.index("This does not fit") < text.index("Leave for")


def test_a_day_on_which_nothing_is_done_has_no_run_sheet(shop: BuiltShop, lawn: Lead) -> None:
    with pytest.raises(NotFound):
        day_files.run_of_day(shop.ports, SUNDAY.replace(month=7), paper=None)


def test_a_load_list_has_a_line_for_every_thing_and_every_bag(shop: BuiltShop, lawn: Lead) -> None:
    file = day_files.load_of_lead(shop.ports, lawn.id, paper="letter")
    text = text_of(file.content)
    for said in ("base plate 25 lb", "55 ft3 cylinder", "sizing box", "bag 1 of 5", "bag 5 of 5"):
        assert said in text
    assert "clusters 1–" in text
    assert clipped(file.content) == []
    assert all(fonts_of(file.content).values())
    assert (file.name, "$" in text) == (f"Load list {lawn.number}.pdf", False)


def test_there_is_no_load_list_where_no_date_is_kept(shop: BuiltShop) -> None:
    with pytest.raises(NotFound):
        day_files.load_of_lead(shop.ports, shop.quoted(a_brief()).id, paper=None)


def test_money_is_on_the_owners_paper(shop: BuiltShop, lawn: Lead) -> None:
    due = sheet_of(shop).stops[1].due
    assert due is not None
    assert due > Decimal(0)
    file = day_files.run_of_day(shop.ports, SUNDAY, paper=None)
    assert f"Still due ${due:.0f}" in text_of(file.content)
