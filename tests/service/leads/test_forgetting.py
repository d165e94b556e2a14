"""Erasing a client leaves no byte of them in any file; what is old is forgotten by itself."""

import io
import json
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import Engine, insert, select

from service.estimating import Brief, Event, Site
from service.leads import booking, editing, forgetting, handling, merging, notes, recording
from service.leads.actuals import Actuals, Extra
from service.leads.lead import Client, Lead, LeadState, NotFound, StaleDecision
from service.leads.messages import OwnerChat
from service.rendering.client_file import packed
from service.storage import tables as t
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.finishing import tell, told_of

NORA = Client(name="Nora Zyzzyva", email="nora.zyzzyva@mail.example", phone="+1 617 555 0177")
PLACE, NOTES, SAID = "Quixotry House", "by the zeppelin model", "my aunt Xanthippe loves teal"
CANARIES = ("zyzzyva", "555 0177", "6175550177", "quixotry", "zeppelin", "xanthippe", "chat-nora")


def her_brief() -> Brief:
    return a_brief(site=Site(place=PLACE, postal_code="02472"), notes=NOTES, foils=("ZYZZYVA",))


def she_talks(shop: BuiltShop, *, times: int = 1) -> None:
    for number in range(times):
        update = f"update-{number}"
        with shop.ports.work() as work:
            row, _ = work.inbox.receive("webchat", "chat-nora", update, {"text": SAID}, shop.now)
            work.chats.hear("webchat", "chat-nora", SAID, update_id=update, now=shop.now)
            state = {"draft": {"notes": f"{SAID} {number} " * 40}}
            version, _ = work.chats.state("webchat", "chat-nora")
            work.chats.advance("webchat", "chat-nora", version=version, state=state, now=shop.now)
            work.inbox.mark_handled(row.id, shop.now)
            work.commit()


def she_asks(shop: BuiltShop) -> Lead:
    lead = shop.quoted(her_brief(), client=NORA, channel="webchat", chat_id="chat-nora")
    with shop.ports.work() as work:
        forgetting.note_consent(work, shop.ports, lead, now=shop.now)
        work.chats.keep_photo("photo-1", "webchat", "chat-nora", b"\xff\xd8 zyzzyva", now=shop.now)
        work.commit()
    return lead


def erase(shop: BuiltShop, lead: Lead) -> int:
    with shop.ports.work() as work:
        erased = forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    return erased


def traces(files: Iterator[Path]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for file in files:
        content = file.read_bytes().lower()
        for canary in CANARIES:
            if canary.encode() in content:
                found.setdefault(canary, []).append(file.name)
    return found


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


def test_no_byte_of_an_erased_client_is_left_in_the_files_of_sqlite(
    shop: BuiltShop, tmp_path: Path
) -> None:
    with shop.ports.work() as work:
        # What the owner was told of her stands in the owner's own chat.
        paired = OwnerChat(
            channel="telegram",
            chat_id="7",
            name="Ida",
            paired_at=shop.now,
            digest_on=shop.now.date(),
        )
        work.owner_chats.pair(paired)
        work.commit()
    she_talks(shop, times=30)
    lead = she_asks(shop)
    others = [
        shop.quoted(a_brief(), client=Client(name=f"Guest {n}"), channel="form") for n in range(20)
    ]
    assert set(traces(tmp_path.iterdir())) >= {"zyzzyva", "quixotry", "zeppelin", "xanthippe"}
    assert erase(shop, lead) == 1
    assert traces(tmp_path.iterdir()) == {}
    with shop.ports.read() as work:
        assert work.leads.get(others[0].id).client.name == "Guest 0"
        assert work.chats.messages("webchat", "chat-nora") == []


@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
def test_the_tables_of_postgresql_hold_no_byte_of_her_either(
    database_url: str, engine: Engine
) -> None:
    shop = BuiltShop(engine=engine)
    she_talks(shop, times=5)
    lead = she_asks(shop)
    before = traces(tables_of(database_url))
    assert set(before) >= {"zyzzyva", "quixotry", "zeppelin", "xanthippe"}
    erase(shop, lead)
    assert traces(tables_of(database_url)) == {}


def tables_of(database_url: str) -> Iterator[Path]:
    """The files of every table as they are on the disk after a checkpoint."""
    with psycopg.connect(database_url, autocommit=True) as connection:
        connection.execute("CHECKPOINT")
        folder = connection.execute("SHOW data_directory").fetchone()
        oid = connection.execute(
            "SELECT oid FROM pg_database WHERE datname = current_database()"
        ).fetchone()
    assert folder
    assert oid
    return (file for file in (Path(folder[0]) / "base" / str(oid[0])).iterdir() if file.is_file())


def test_figures_without_a_name_stay(shop: BuiltShop) -> None:
    lead = she_asks(shop)
    erase(shop, lead)
    with shop.ports.read() as work:
        left = work.leads.get(lead.id)
    assert left.client == Client()
    assert left.brief.pieces == lead.brief.pieces
    assert left.brief.event.date == lead.brief.event.date
    assert left.brief.site == Site(setting=lead.brief.site.setting)
    assert (left.brief.notes, left.brief.foils, left.brief.palette) == (None, (), ())
    assert left.state is LeadState.LAPSED
    with shop.engine.connect() as connection:
        quote = connection.execute(select(t.quotes)).mappings().one()
    assert quote["likely"] > 0
    assert quote["hours"]["install"] > 0
    assert (quote["brief"], quote["estimate"], quote["note"]) == ("", "", None)


def test_what_was_written_beside_a_payment_goes_and_its_amount_stays(shop: BuiltShop) -> None:
    lead = she_asks(shop)
    with shop.engine.begin() as connection:
        connection.execute(
            insert(t.payments).values(
                id="paid",
                lead_id=lead.id,
                kind="deposit",
                amount=Decimal("200.00"),
                currency="USD",
                paid_on="2027-01-10",
                method="cheque of Nora Zyzzyva",
                reference="Zyzzyva 12",
                recorded_at=shop.now,
                recorded_by="owner",
            )
        )
    erase(shop, lead)
    with shop.engine.connect() as connection:
        paid = connection.execute(select(t.payments)).mappings().one()
    assert (paid["amount"], paid["method"], paid["reference"]) == (Decimal("200.00"), "", "")


def test_all_requests_of_the_same_client_go_together(shop: BuiltShop) -> None:
    lead = she_asks(shop)
    by_form = shop.quoted(a_brief(), client=replace(NORA, name="N.", phone="617 555 0177"))
    another = shop.quoted(a_brief(), client=Client(name="Nora Zyzzyva"))
    with shop.ports.read() as work:
        kept = forgetting.kept_of(work, by_form.id)
    assert [each.id for each in kept.leads] == [lead.id, by_form.id]
    assert erase(shop, by_form) == 2
    assert shop.lead(another.id).client.name == "Nora Zyzzyva"
    assert erase(shop, lead) == 1  # a second press finds itself only, and nothing more to do


@pytest.mark.parametrize("first", [0, 1])
def test_requests_that_became_one_go_together(shop: BuiltShop, first: int) -> None:
    kept, part = she_asks(shop), shop.quoted(a_brief(), client=Client(name="N. Zyzzyva"))
    with shop.ports.work() as work:
        seen = [merging.standing(work, work.leads.get(each.id)) for each in (kept, part)]
        merger = merging.Merger(
            kept_id=kept.id, other_id=part.id, kept_seen=seen[0], other_seen=seen[1]
        )
        merging.merge(work, shop.ports, merger, who="owner", now=shop.now)
        work.commit()
    assert erase(shop, (kept, part)[first]) == 2
    assert shop.lead(part.id).client == shop.lead(kept.id).client == Client()


def test_a_kept_date_is_given_back_before_anything_is_erased(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief(), client=NORA)
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id)
        assert quote
        day = lead.brief.event.date
        assert day
        book = shop.ports.price_books.current()
        first = booking.offered(work, lead, quote, book, day=day, now=shop.now)[0]
        booking.place_hold(
            work, shop.ports, lead.id, starts_at=first.starts_at, client=NORA, now=shop.now
        )
        work.commit()
    with pytest.raises(forgetting.StillToCome, match=lead.number):
        erase(shop, lead)
    assert shop.lead(lead.id).client.name == NORA.name


def test_nothing_is_written_into_a_request_that_was_erased(shop: BuiltShop) -> None:
    lead, other = she_asks(shop), shop.quoted(a_brief())
    known = editing.Edit(lead_id=lead.id, brief=her_brief(), client=NORA, revision=0)
    worked_out = editing.work_out(shop.ports, known.brief, now=shop.now)
    erase(shop, lead)
    with shop.ports.work() as work:
        with pytest.raises(NotFound):
            notes.add(work, lead.id, SAID, who="owner", now=shop.now)
        with pytest.raises(StaleDecision, match="erased"):
            editing.save_brief(work, shop.ports, known, worked_out, who="owner", now=shop.now)
        with pytest.raises(StaleDecision, match="erased"):
            handling.decline(work, shop.ports, lead_id=lead.id, text=SAID, now=shop.now)
        for kept, part in ((lead, other), (other, lead)):
            pair = work.leads.get(kept.id), work.leads.get(part.id)
            with pytest.raises(merging.MergeRefused, match="erased"):
                merging.refuse_unfit(*pair)


def a_job_of_hers(shop: BuiltShop) -> Lead:
    """Done, and told of with a photo."""
    lead = she_asks(shop)
    extra = Extra(what="keys of Quixotry House", amount=Decimal("7.25"))
    with shop.ports.work() as work:
        work.leads.save(replace(work.leads.get(lead.id), state=LeadState.DONE))
        number = work.quotes.of_lead(lead.id)[-1]
        work.quotes.mark_sent(number.id, shop.now, number.expires_at)
        work.commit()
    tell(
        shop,
        lead,
        Actuals(hours={"tying": 1.5}, burst={10: 3}, extras=(extra,)),
        went_wrong="Zyzzyva came late",
    )
    with shop.ports.work() as work:
        jpeg = b"\xff\xd8\xff xanthippe"
        recording.keep_photo(work, shop.ports, lead.id, jpeg, who="owner", now=shop.now)
        work.commit()
    return lead


def test_of_what_a_job_took_the_words_and_photos_go_and_the_figures_stay(
    shop: BuiltShop, tmp_path: Path
) -> None:
    lead = a_job_of_hers(shop)
    before = told_of(shop, lead)
    assert before is not None
    erase(shop, lead)
    assert traces(tmp_path.iterdir()) == {}
    after = told_of(shop, lead)
    assert after is not None
    assert (after.real_cost, after.observation, after.told) == (
        before.real_cost,
        before.observation,
        before.told,
    )
    assert (after.went_wrong, [each.what for each in after.actuals.extras]) == ("", [""])
    with shop.ports.read() as work:
        assert work.actuals.photos(lead.id) == []
        assert work.actuals.untold(since=date(2027, 1, 1), limit=9) == []


def test_what_was_told_of_a_job_is_in_the_clients_file(shop: BuiltShop) -> None:
    lead = a_job_of_hers(shop)
    with shop.ports.read() as work:
        found, pictures = forgetting.collected(work, lead.id)
        assert forgetting.kept_of(work, lead.id).photos == len(pictures) == 2
    with zipfile.ZipFile(io.BytesIO(packed(found, pictures))) as archive:
        assert b"Zyzzyva came late" in archive.read("data.json")
        kept = [archive.read(name) for name in archive.namelist() if name.startswith("photos/")]
    assert b"\xff\xd8\xff xanthippe" in kept


def test_everything_fits_into_one_file(shop: BuiltShop) -> None:
    she_talks(shop)
    lead = she_asks(shop)
    with shop.ports.read() as work:
        found, pictures = forgetting.collected(work, lead.id)
    with zipfile.ZipFile(io.BytesIO(packed(found, pictures))) as archive:
        data = json.loads(archive.read("data.json"))
        talk = archive.read("conversation.txt").decode()
        assert archive.read("photos/photo-1.jpg") == b"\xff\xd8 zyzzyva"
    [request] = data["requests"]
    assert request["number"] == lead.number
    assert request["client"]["email"] == NORA.email
    assert request["brief"]["site"]["place"] == PLACE
    assert request["consents"][0]["what"] == forgetting.NOTICE
    assert "cost" not in json.dumps(request["quotes"])
    assert f"client: {SAID}" in talk


def test_lost_requests_and_done_jobs_are_forgotten_when_their_time_is_over(
    shop: BuiltShop,
) -> None:
    old, newer = she_asks(shop), shop.quoted(a_brief(), client=Client(name="Later"))
    for lead in (old, newer):
        with shop.ports.work() as work:
            work.leads.save(replace(work.leads.get(lead.id), state=LeadState.LAPSED))
            work.commit()
    keep = shop.ports.price_books.current().privacy.keep_lost
    with shop.engine.begin() as connection:
        moved = t.leads.update().where(t.leads.c.id == newer.id)
        connection.execute(moved.values(created_at=shop.now + timedelta(days=1)))
    shop.now += keep
    assert forget(shop) == 0
    shop.now += timedelta(hours=1)
    assert forget(shop) == 1
    assert shop.lead(old.id).client == Client()
    assert shop.lead(newer.id).client.name == "Later"
    assert forget(shop) == 0


def test_a_request_that_came_to_nothing_only_now_is_not_forgotten_at_once(shop: BuiltShop) -> None:
    lead = she_asks(shop)
    shop.now += shop.ports.price_books.current().privacy.keep_lost + timedelta(days=1)
    with shop.ports.work() as work:
        handling.decline(work, shop.ports, lead_id=lead.id, text=None, now=shop.now)
        work.commit()
    assert forget(shop) == 0
    shop.now += shop.ports.price_books.current().privacy.keep_lost + timedelta(days=1)
    assert forget(shop) == 1


def test_an_old_request_stays_while_its_conversation_goes_on(shop: BuiltShop) -> None:
    old = she_asks(shop)
    with shop.ports.work() as work:
        work.leads.save(replace(work.leads.get(old.id), state=LeadState.LAPSED))
        work.commit()
    shop.now += shop.ports.price_books.current().privacy.keep_lost + timedelta(days=1)
    no_day_yet = a_brief(event=Event(occasion="anniversary"))
    shop.take_lead(no_day_yet, client=NORA, channel="webchat", chat_id="chat-nora")
    assert forget(shop) == 0


def forget(shop: BuiltShop) -> int:
    with shop.ports.work() as work:
        forgotten = forgetting.forget_old(work, shop.ports.price_books.current(), now=shop.now)
        work.commit()
    return forgotten


def test_the_notice_has_a_version_that_changes_with_its_words(shop: BuiltShop) -> None:
    book = shop.ports.price_books.current()
    reworded = replace(book, privacy=replace(book.privacy, notice={"en": "We keep little."}))
    assert forgetting.notice_version(book) != forgetting.notice_version(reworded)
    assert len(forgetting.notice_version(book)) == 16
