"""What is known of a place: kept for whoever saw what stood there, and gone with its client."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.leads import forgetting, site_noting
from service.leads.lead import Lead, NotFound, StaleDecision
from service.leads.site_notes import NOTHING, SiteNotes
from tests.service.building import BuiltShop, a_brief, build_shop

NOTES = SiteNotes(address="Quixotry House, 3 Mill Lane", access="door code 4711", contact="Tom")


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


@pytest.fixture
def lead(shop: BuiltShop) -> Lead:
    return shop.take_lead(a_brief())


def write(shop: BuiltShop, lead: Lead, notes: SiteNotes, seen: SiteNotes = NOTHING) -> None:
    with shop.ports.work() as work:
        site_noting.write(work, lead.id, notes, seen=seen.mark, who="owner", now=shop.now)
        work.commit()


def kept(shop: BuiltShop, lead: Lead) -> SiteNotes:
    with shop.ports.read() as work:
        return site_noting.notes_of(work, lead.id)


def told(shop: BuiltShop, lead: Lead) -> list[str]:
    with shop.ports.read() as work:
        return [change.what for change in work.leads.history(lead.id)]


def test_notes_are_kept_and_the_history_says_so_without_their_words(
    shop: BuiltShop, lead: Lead
) -> None:
    assert kept(shop, lead) == NOTHING
    write(shop, lead, NOTES)
    assert kept(shop, lead) == NOTES
    with shop.ports.read() as work:
        newest = work.leads.history(lead.id)[-1]
    assert (newest.what, newest.detail) == ("wrote down how to get there and in", {})


def test_a_second_press_changes_nothing(shop: BuiltShop, lead: Lead) -> None:
    write(shop, lead, NOTES)
    before = told(shop, lead)
    write(shop, lead, NOTES)
    assert told(shop, lead) == before


def test_who_has_not_seen_what_stands_there_does_not_write_over_it(
    shop: BuiltShop, lead: Lead
) -> None:
    write(shop, lead, NOTES)
    other = SiteNotes(parking="in the yard")
    with pytest.raises(StaleDecision):
        write(shop, lead, other)
    assert kept(shop, lead) == NOTES
    write(shop, lead, other, NOTES)
    assert kept(shop, lead) == other


def test_erasing_takes_them_and_none_are_written_afterwards(
    shop: BuiltShop, lead: Lead, tmp_path: Path
) -> None:
    write(shop, lead, NOTES)
    assert any(b"Quixotry" in file.read_bytes() for file in tmp_path.iterdir())
    with shop.ports.work() as work:
        forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    assert kept(shop, lead) == NOTHING
    for file in tmp_path.iterdir():
        assert b"Quixotry" not in file.read_bytes()
    with pytest.raises(NotFound):
        write(shop, lead, NOTES)


def test_a_clients_own_file_has_them(shop: BuiltShop, lead: Lead) -> None:
    write(shop, lead, NOTES)
    with shop.ports.read() as work:
        found, _ = forgetting.collected(work, lead.id)
    (noted,) = found["requests"][0]["site_notes"]
    assert noted["words"]["access"] == "door code 4711"
