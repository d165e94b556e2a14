"""A shop is backed up while it works, and comes back as it was."""

import errno
import shutil
import sqlite3
import stat
import subprocess
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import insert, select, update

from deploy import backup, backup_file, restore
from deploy.backup_file import BadBackup
from deploy.stack import CannotStart, only_one
from service.leads import booking, forgetting, stepping
from service.leads.lead import LeadState
from service.leads.steps import HELD_BACK, StepKind, StepState
from service.storage import backing_up
from service.storage import tables as t
from service.storage.backing_up import CannotBackUp
from service.storage.copying import row_counts
from service.storage.database import MIGRATIONS, open_engine
from tests.deploy.kept_shop import (
    KeptShop,
    another_database,
    open_shop,
    seen,
    settings_in,
)
from tests.service.building import BuiltShop, a_brief

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def kept(tmp_path: Path, database_url: str) -> Iterator[KeptShop]:
    """On each database."""
    url = None if database_url.startswith("sqlite") else database_url
    opened = open_shop(settings_in(tmp_path / "shop", url))
    yield opened
    opened.shop.engine.dispose()


@pytest.fixture
def on_sqlite(tmp_path: Path) -> Iterator[KeptShop]:
    opened = open_shop(settings_in(tmp_path / "shop"))
    yield opened
    opened.shop.engine.dispose()


def test_pages_and_figures_come_back_in_another_place(
    kept: KeptShop, tmp_path: Path, database_url: str
) -> None:
    before = seen(kept.settings, kept.own)
    file = backup.make_backup(kept.settings)
    with another_database(database_url) as url:
        elsewhere = settings_in(tmp_path / "elsewhere", url)
        done = restore.restore(elsewhere, file, replace=False)
        assert seen(elsewhere, kept.own) == before
    assert done.kept == ()
    assert done.manifest.rows["leads"] == 2
    assert (elsewhere.data / "keys.json").read_bytes() == (
        kept.settings.data / "keys.json"
    ).read_bytes()
    assert elsewhere.price_book.read_text() == kept.settings.price_book.read_text()
    assert (tmp_path / "elsewhere/wording/shop.en.po").exists()


def test_what_a_client_looks_for_is_worked_out_and_what_may_have_been_pushed_waits(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    shown = on_sqlite.shop.take_lead(a_brief(), channel="webchat", chat_id="76")
    pushed = on_sqlite.shop.take_lead(a_brief(), channel="telegram", chat_id="77")
    with on_sqlite.shop.ports.work() as work:
        work.outbox.owe(StepKind.DELIVER, "m1", lane="telegram:77", now=on_sqlite.shop.now)
        work.commit()
    done, shop = _restored(on_sqlite, tmp_path)
    with shop.ports.read() as work:
        dead = {step.subject_id: step for step in work.outbox.dead(limit=9)}
    assert dead.keys() == {"m1", pushed.id}
    assert {(step.state, step.last_error) for step in dead.values()} == {
        (StepState.DEAD, HELD_BACK)
    }
    shop.work_off()
    assert shop.lead(shown.id).state is LeadState.QUOTED
    assert shop.lead(pushed.id).state is LeadState.NEW
    # Until the owner lets it.
    with shop.ports.work() as work:
        stepping.revive(work, dead[pushed.id].id, shop.now)
        work.commit()
    shop.work_off()
    assert shop.lead(pushed.id).state is LeadState.QUOTED
    shop.engine.dispose()
    assert (done.resumed.deliveries, done.resumed.prices) == (1, 1)


def test_nobody_loses_a_date_for_a_deposit_that_came_after_the_backup(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    hold_id = on_sqlite.another.named["hold_id"]
    with on_sqlite.shop.engine.begin() as connection:
        ran_out = update(t.holds).where(t.holds.c.id == hold_id)
        connection.execute(
            ran_out.values(state="active", expires_at=datetime(2027, 1, 9, tzinfo=UTC))
        )
    done, shop = _restored(on_sqlite, tmp_path)
    with shop.engine.begin() as connection:
        until = connection.scalar(select(t.holds.c.expires_at).where(t.holds.c.id == hold_id))
    shop.engine.dispose()
    assert done.resumed.holds >= 1
    assert until is not None
    assert until > datetime(2027, 1, 12, tzinfo=UTC)


def test_who_was_signed_in_is_not_any_more(on_sqlite: KeptShop, tmp_path: Path) -> None:
    now = on_sqlite.shop.now
    session = {"digest": "d", "csrf": "c", "device": "a phone", "opened_at": now, "seen_at": now}
    person = {"id": "p", "role": "owner", "name": "Ida", "sign_in_name": "ida", "since": now}
    with on_sqlite.shop.engine.begin() as connection:
        connection.execute(insert(t.people), person)
        until = now + timedelta(days=30)
        connection.execute(
            insert(t.desk_sessions), {**session, "person_id": "p", "expires_at": until}
        )
    done, shop = _restored(on_sqlite, tmp_path)
    left = row_counts(shop.engine)["desk_sessions"]
    shop.engine.dispose()
    assert (done.resumed.sessions, left) == (1, 0)


def _restored(kept: KeptShop, tmp_path: Path) -> tuple[restore.Restored, BuiltShop]:
    """The shop out of its backup, in another place."""
    elsewhere = settings_in(tmp_path / "elsewhere")
    done = restore.restore(elsewhere, backup.make_backup(kept.settings), replace=False)
    engine = open_engine(elsewhere.database)
    return done, BuiltShop(engine=engine, price_book=elsewhere.price_book)


def test_the_keys_alone_come_back_while_the_shop_runs(
    on_sqlite: KeptShop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = backup.make_backup(on_sqlite.settings)
    keys = on_sqlite.settings.data / "keys.json"
    before = keys.read_bytes()
    keys.write_text("{")
    on_sqlite.shop.take_lead(a_brief())
    monkeypatch.setenv("GARLANDRY_DATA", str(on_sqlite.settings.data))
    with only_one(on_sqlite.settings.data):
        assert restore.main([str(file), "--keys-only"]) == 0
    assert str(keys) in capsys.readouterr().out
    assert keys.read_bytes() == before
    assert stat.S_IMODE(keys.stat().st_mode) == 0o600
    assert row_counts(on_sqlite.shop.engine)["leads"] == 3


def test_no_backup_is_let_go_of_by_bringing_one_back(kept: KeptShop) -> None:
    newest = backup.make_backup(kept.settings)
    made = [newest.with_name(f"garlandry-2026-{n:02}.backup") for n in range(backup.KEPT)]
    for each in made:
        shutil.copy(newest, each)
    kept.shop.engine.dispose()
    restore.restore(kept.settings, made[0], replace=True)
    assert {*made, newest} <= set(backup.backups_in(newest.parent))


def test_what_cannot_be_written_is_seen_before_anything_is_touched(
    on_sqlite: KeptShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = backup.make_backup(on_sqlite.settings)
    on_sqlite.shop.take_lead(a_brief())
    on_sqlite.shop.engine.dispose()
    book = on_sqlite.settings.price_book
    book.write_text(book.read_text() + "\n")
    private_file = backup_file.private_file

    def read_only(path: Path) -> AbstractContextManager[Path]:
        if path.parent == book.parent:
            raise OSError(errno.EROFS, "Read-only file system")
        return private_file(path)

    monkeypatch.setattr(backup_file, "private_file", read_only)
    with pytest.raises(restore.Refused, match=r"price_book\.yaml \(Read-only"):
        restore.restore(on_sqlite.settings, file, replace=True)
    assert row_counts(on_sqlite.shop.engine)["leads"] == 3
    on_sqlite.shop.engine.dispose()


def test_reminders_that_fell_due_since_are_not_sent_late(
    on_sqlite: KeptShop, tmp_path: Path
) -> None:
    engine = on_sqlite.shop.engine
    lead_id = on_sqlite.own.named["lead_id"]
    with engine.begin() as connection:
        long_ago = datetime(2027, 1, 9, tzinfo=UTC)
        c = t.reminders.c
        mine = update(t.reminders).where(c.lead_id == lead_id, c.state == "owed")
        fell_due = connection.execute(mine.values(due_at=long_ago)).rowcount
    file = backup.make_backup(on_sqlite.settings)
    elsewhere = settings_in(tmp_path / "elsewhere")
    done = restore.restore(elsewhere, file, replace=False)
    assert done.resumed.reminders == fell_due > 0
    assert done.resumed.deliveries == 0
    restored = open_engine(elsewhere.database)
    with restored.begin() as connection:
        states = dict(connection.execute(select(t.reminders.c.lead_id, t.reminders.c.state)).all())
    restored.dispose()
    assert states[lead_id] == "skipped"
    assert states[on_sqlite.another.named["lead_id"]] == "owed"


def test_who_was_erased_since_is_erased_again_and_a_stop_stays(
    kept: KeptShop, tmp_path: Path
) -> None:
    file = backup.make_backup(kept.settings)
    shop, lead_id = kept.shop, kept.own.named["lead_id"]
    with shop.engine.begin() as connection:
        # Somebody else, with another phone.
        other = t.leads.c.id == kept.another.named["lead_id"]
        connection.execute(update(t.leads).where(other).values(client={"name": "Quentin"}))
    with shop.ports.work() as work:
        booking.release(work, shop.ports, work.leads.get(lead_id, lock=True), now=shop.now)
        forgetting.erase(work, lead_id, now=shop.now)
        work.commit()
    with shop.engine.begin() as connection:
        chat = t.conversations.c.chat_id == "another"
        connection.execute(update(t.conversations).where(chat).values(stopped_at=shop.now))
    shop.engine.dispose()
    done = restore.restore(kept.settings, file, replace=True)
    assert (done.erased, done.resumed.stops) == (1, 1)
    with shop.engine.begin() as connection:
        row = connection.execute(select(t.leads).where(t.leads.c.id == lead_id)).one()
        chats = set(connection.scalars(select(t.conversations.c.chat_id)))
        slots = set(connection.scalars(select(t.hold_slots.c.hold_id)))
    assert row.client == {}
    assert row.erased_at is not None
    assert "own" not in chats
    assert slots == {kept.another.named["hold_id"]}


def test_newer_backups_tell_of_erasures_when_the_database_is_gone(
    on_sqlite: KeptShop,
) -> None:
    first = backup.make_backup(on_sqlite.settings)
    shop, lead = on_sqlite.shop, on_sqlite.shop.take_lead(a_brief())
    on_both = backup.make_backup(on_sqlite.settings)
    with shop.ports.work() as work:
        forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    backup.make_backup(on_sqlite.settings)
    shop.engine.dispose()
    database = on_sqlite.settings.data / "garlandry.sqlite3"
    database.write_bytes(b"\0" * 8192)
    assert restore.restore(on_sqlite.settings, on_both, replace=True).erased == 1
    assert restore.restore(on_sqlite.settings, first, replace=True).erased == 0


def test_a_damaged_database_that_somebody_has_open_is_not_replaced(on_sqlite: KeptShop) -> None:
    file = backup.make_backup(on_sqlite.settings)
    on_sqlite.shop.engine.dispose()
    database = on_sqlite.settings.data / "garlandry.sqlite3"
    database.write_bytes(b"\0" * 8192)
    with database.open("rb"), pytest.raises(CannotBackUp, match="open"):
        restore.restore(on_sqlite.settings, file, replace=True)
    assert database.read_bytes() == b"\0" * 8192
    assert not restore.restore(on_sqlite.settings, file, replace=True).known.complete


def test_a_disk_that_is_full_is_told_with_what_helps(
    on_sqlite: KeptShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    connect = sqlite3.connect

    def with_no_room(path: Path, **options: Any) -> sqlite3.Connection:
        connection: sqlite3.Connection = connect(path, **options)
        # As many pages as there are, and no more.
        connection.execute("PRAGMA max_page_count = 1")
        return connection

    monkeypatch.setattr(sqlite3, "connect", with_no_room)
    with pytest.raises(CannotBackUp, match="The disk is full"):
        backup.make_backup(on_sqlite.settings)


def test_a_shop_that_is_there_is_kept_unless_told_otherwise(on_sqlite: KeptShop) -> None:
    file = backup.make_backup(on_sqlite.settings)
    on_sqlite.shop.take_lead(a_brief())
    on_sqlite.shop.engine.dispose()
    with pytest.raises(restore.Refused, match="--replace"):
        restore.restore(on_sqlite.settings, file, replace=False)
    assert row_counts(on_sqlite.shop.engine)["leads"] == 3
    on_sqlite.shop.engine.dispose()
    done = restore.restore(on_sqlite.settings, file, replace=True)
    assert row_counts(on_sqlite.shop.engine)["leads"] == 2
    assert len(done.kept) == 1
    assert done.kept[0].exists()


def test_a_shop_that_runs_is_not_replaced(kept: KeptShop) -> None:
    file = backup.make_backup(kept.settings)
    with only_one(kept.settings.data), pytest.raises(CannotStart, match="already runs"):
        restore.restore(kept.settings, file, replace=True)
    with kept.shop.engine.connect(), pytest.raises(CannotBackUp, match=r"open|connected"):
        restore.restore(kept.settings, file, replace=True)
    assert row_counts(kept.shop.engine)["leads"] == 2


def test_a_backup_under_load_is_of_one_moment(kept: KeptShop) -> None:
    stop, taken = threading.Event(), []

    def write() -> None:
        while not stop.is_set():
            taken.append(kept.shop.take_lead(a_brief()))

    writer = threading.Thread(target=write)
    writer.start()
    try:
        files = [backup.make_backup(kept.settings) for _ in range(2)]
    finally:
        stop.set()
        writer.join()
    rows = [backup_file.read_manifest(file).rows for file in files]
    assert rows[0]["leads"] < rows[1]["leads"] <= len(taken) + 2
    for each in rows:
        # A request, its step and the first line of its history are one transaction.
        new = each["leads"] - 2
        assert each["steps"] - _steps_of_two(kept) == new


def _steps_of_two(kept: KeptShop) -> int:
    engine = kept.shop.engine
    with engine.begin() as connection:
        quotes = select(t.steps.c.id).where(t.steps.c.kind == StepKind.QUOTE)
        everything = connection.execute(select(t.steps.c.id)).all()
        return len(everything) - len(connection.execute(quotes).all()) + 2


def test_only_the_newest_are_kept_private_and_whole(on_sqlite: KeptShop) -> None:
    made = [backup.make_backup(on_sqlite.settings, keep=2) for _ in range(3)]
    folder = backup.folder_of(on_sqlite.settings)
    assert sorted(folder.iterdir()) == made[1:]
    assert stat.S_IMODE(made[2].stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_an_older_shops_backup_is_moved_up_to_this_version(tmp_path: Path) -> None:
    older = settings_in(tmp_path / "older")
    older.data.mkdir()
    engine = open_engine(older.database)
    with engine.begin() as connection:
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        config.attributes["connection"] = connection
        command.upgrade(config, "0004")
        connection.exec_driver_sql(
            "INSERT INTO texts (key, language, text, changed_at) VALUES ('hi', 'en', 'Ahoy', 1)"
        )
    engine.dispose()
    file = backup.make_backup(older)
    newer = settings_in(tmp_path / "newer")
    done = restore.restore(newer, file, replace=False)
    assert done.manifest.revision == "0004"
    engine = open_engine(newer.database)
    assert backing_up.revision_of(engine) == backing_up.known_revisions()[0]
    assert row_counts(engine)["texts"] == 1
    engine.dispose()


def test_a_newer_shops_backup_is_refused_in_words(on_sqlite: KeptShop, tmp_path: Path) -> None:
    with on_sqlite.shop.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    file = backup.make_backup(on_sqlite.settings)
    with pytest.raises(BadBackup, match="Update this one first"):
        restore.restore(settings_in(tmp_path / "elsewhere"), file, replace=False)


def test_a_damaged_database_makes_no_backup(on_sqlite: KeptShop) -> None:
    on_sqlite.shop.engine.dispose()
    database = on_sqlite.settings.data / "garlandry.sqlite3"
    content = bytearray(database.read_bytes())
    content[8192 : 8192 + 60_000] = b"\x5a" * 60_000
    database.write_bytes(content)
    with pytest.raises(CannotBackUp):
        backup.make_backup(on_sqlite.settings)
    assert list(backup.folder_of(on_sqlite.settings).iterdir()) == []


def test_the_commands_from_another_folder(
    on_sqlite: KeptShop,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    given = on_sqlite.settings
    monkeypatch.setenv("GARLANDRY_DATA", str(given.data))
    monkeypatch.setenv("GARLANDRY_PRICE_BOOK", str(given.price_book))
    monkeypatch.setenv("GARLANDRY_WORDING", str(given.wording))
    made = subprocess.run(
        [ROOT / "deploy/backup", "--to", "copy.backup"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert made.returncode == 0, made.stderr
    assert "clients' data and the shop's keys" in made.stdout
    assert stat.S_IMODE((tmp_path / "copy.backup").stat().st_mode) == 0o600
    # As the shell tells where it was called.
    monkeypatch.setenv("CALLED_FROM", str(tmp_path))
    assert restore.main(["copy.backup"]) == 1
    assert "--replace" in capsys.readouterr().err
    on_sqlite.shop.engine.dispose()
    assert restore.main(["copy.backup", "--replace"]) == 0
    told = capsys.readouterr().out
    assert "The shop is back as it was on" in told
    assert "with 2 requests" in told
    assert restore.main(["nothing.backup"]) == 1
    assert "There is no file" in capsys.readouterr().err
