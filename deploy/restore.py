"""Bring a shop back from a backup, on SQLite or PostgreSQL, whichever the settings name.

Everything is checked, and moved up to this version, before anything is touched. The shop must be
stopped. What was written, paid or decided after the backup is not in it. Nothing is told twice:
messages that were about to go out wait at the desk for you, reminders that fell due since are
taken out, prices that were owed are worked out. Who was erased since is erased again, and who said
"stop" stays unwritten to, as far as the database of now or a newer backup beside still knows of
it. Everybody signs in again, with the password of then.
"""

import argparse
import shutil
import sys
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from pydantic import ValidationError
from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from deploy import backup_file
from deploy.backup import backups_in, folder_of, make_backup
from deploy.backup_file import BadBackup, Manifest
from deploy.shop_settings import from_caller, shop_settings
from deploy.stack import CannotStart, only_one
from service.assembly import keys_file_of
from service.clock import shop_clock
from service.config import Settings
from service.contract.settings import told
from service.leads.forgetting import erase_again
from service.leads.lead import LeadState
from service.storage import backing_up, resuming
from service.storage.backing_up import CannotBackUp
from service.storage.copying import CannotCopy, row_counts
from service.storage.database import migrate, open_engine
from service.storage.resuming import Resumed
from service.storage.unit_of_work import SqlUnitOfWork

_WHO = "restore"


class Refused(Exception):
    """Nothing was touched; the text says why and what to type."""


class HalfDone(Exception):
    """The database is back and something else is not; the text says what."""


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is known of the time after the backup."""

    erased: Mapping[str, str] = field(default_factory=dict)
    stopped: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True, kw_only=True)
class Restored:
    """What was done; `kept` are the places of what was there before."""

    manifest: Manifest
    resumed: Resumed
    erased: int
    kept: tuple[Path, ...]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; 0 when the shop is back, 1 when it is not, 2 for wrong settings."""
    options = _parser().parse_args(arguments)
    try:
        done = restore(shop_settings(), from_caller(options.file), replace=options.replace)
    except ValidationError as error:
        print(told(error), file=sys.stderr)
        return 2
    except HalfDone as error:
        print(f"deploy/restore: {error}", file=sys.stderr)
        return 1
    except (Refused, BadBackup, CannotBackUp, CannotCopy, CannotStart, OSError) as error:
        print(f"deploy/restore: nothing was restored. {error}", file=sys.stderr)
        return 1
    except SQLAlchemyError as error:
        trouble = f"The database does not answer ({type(error).__name__})."
        print(f"deploy/restore: nothing was restored. {trouble}", file=sys.stderr)
        return 1
    print(_in_words(done))
    return 0


def restore(settings: Settings, file: Path, *, replace: bool) -> Restored:
    """Bring the backup in. Raises Refused, BadBackup, CannotBackUp, CannotCopy or CannotStart."""
    settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
    with (
        only_one(settings.data),
        tempfile.TemporaryDirectory(prefix=".restore-", dir=settings.data) as name,
    ):
        folder = Path(name)
        manifest = _checked(file, folder)
        target = open_engine(settings.database)
        try:
            full = _has_data(target)
            if full and not replace:
                raise Refused(
                    "There is a shop here already. Add --replace to put the backup in its place;"
                    " what is there is kept aside."
                )
            erased = _erased_by_newer(manifest, {file.parent, folder_of(settings)})
            known = _known(target, erased) if full else Known(erased=erased)
            resumed, again = _resume(folder / backup_file.DATABASE, settings, known)
            kept = _put_in_place(settings, folder, target, full=full)
        finally:
            target.dispose()
    return Restored(manifest=manifest, resumed=resumed, erased=again, kept=kept)


def _checked(file: Path, folder: Path) -> Manifest:
    """The backup, unpacked, whole, and moved up to this version."""
    manifest = backup_file.unpack(file, folder)
    snapshot = folder / backup_file.DATABASE
    if manifest.revision not in backing_up.known_revisions():
        raise BadBackup(
            f"It was made by Garlandry {manifest.version} with newer tables than this one knows."
            " Update this one first."
        )
    if trouble := backing_up.damage_of(snapshot):
        raise BadBackup(f"Its database is damaged ({trouble}).")
    engine = open_engine(f"sqlite:///{snapshot}")
    try:
        migrate(engine)
        if manifest.revision == backing_up.known_revisions()[0]:
            _compare(manifest.rows, row_counts(engine))
    finally:
        engine.dispose()
    return manifest


def _compare(told_of: Mapping[str, int], found: Mapping[str, int]) -> None:
    wrong = [name for name, rows in told_of.items() if found.get(name) != rows]
    if wrong:
        raise BadBackup(f"It holds other rows than it says, in {', '.join(wrong)}.")


def _has_data(target: Engine) -> bool:
    """Whether there is anything to lose: any row, or a file that cannot be read."""
    if target.dialect.name == "sqlite":
        place = Path(str(target.url.database))
        if not place.exists():
            return False
        if backing_up.damage_of(place) is not None:
            return True
    if backing_up.revision_of(target) is None:
        return False
    return _current(target) is False or any(row_counts(target).values())


def _current(target: Engine) -> bool:
    return backing_up.revision_of(target) == backing_up.known_revisions()[0]


def _erased_by_newer(manifest: Manifest, folders: Iterable[Path]) -> dict[str, str]:
    """Erasures since then that newer backups tell of."""
    erased: dict[str, str] = {}
    for folder in {each.resolve() for each in folders}:
        for newer in backups_in(folder):
            erased |= _erased_by(newer, manifest)
    return erased


def _known(target: Engine, erased: Mapping[str, str]) -> Known:
    """Erasures and "stop"s since then, by the database of now as well."""
    try:
        if _current(target):
            return Known(
                erased={**erased, **backing_up.erased_in(target)},
                stopped=frozenset(backing_up.stopped_in(target)),
            )
    except SQLAlchemyError:
        pass  # it is damaged or not there: that is what backups are for
    return Known(erased=erased)


def _erased_by(path: Path, than: Manifest) -> dict[str, str]:
    try:
        manifest = backup_file.read_manifest(path)
    except BadBackup:
        return {}
    return manifest.erased if manifest.made_at > than.made_at else {}


def _resume(snapshot: Path, settings: Settings, known: Known) -> tuple[Resumed, int]:
    engine = open_engine(f"sqlite:///{snapshot}")
    now = shop_clock(settings.reference_date, ZoneInfo("UTC"))()
    already = backing_up.erased_in(engine)
    work = SqlUnitOfWork(
        engine,
        reading=False,
        clock=lambda: now,
        queue_steps=lambda _: None,
        wake=lambda *_: None,
        texts_changed=lambda: None,
        calibrations_changed=lambda: None,
    )
    try:
        with engine.begin() as connection:
            resumed = resuming.resume(connection, stopped=known.stopped, now=now)
        with work:
            again = sum(
                erase_again(work, lead_id, state=LeadState(state), who=_WHO, now=now)
                for lead_id, state in known.erased.items()
                if lead_id not in already
            )
            work.commit()
    finally:
        engine.dispose()
    backing_up.settle(snapshot)
    return resumed, again


def _put_in_place(
    settings: Settings, folder: Path, target: Engine, *, full: bool
) -> tuple[Path, ...]:
    """The database first: when that fails, nothing else was touched."""
    aside = f"replaced-{datetime.now(UTC):%Y-%m-%dT%H%M%SZ}"
    kept = []
    if full and target.dialect.name == "postgresql":
        kept.append(make_backup(settings))
    if before := backing_up.put_in_place(folder / backup_file.DATABASE, target, aside):
        kept.append(before)
    for source, place, mode in _files(settings, folder):
        try:
            before = _place(source, place, mode, aside)
        except OSError as error:
            raise HalfDone(
                f"The database is back, but {place} cannot be written: {error}"
            ) from None
        kept += [before] if before else []
    return tuple(kept)


def _files(settings: Settings, folder: Path) -> list[tuple[Path, Path, int]]:
    found = [
        (folder / backup_file.KEYS, keys_file_of(settings), 0o600),
        (folder / backup_file.PRICE_BOOK, settings.price_book, 0o644),
    ]
    if settings.wording is not None:
        texts = sorted((folder / backup_file.WORDING).glob("*.po"))
        found += [(each, settings.wording / each.name, 0o644) for each in texts]
    return [each for each in found if each[0].exists()]


def _place(source: Path, place: Path, mode: int, aside: str) -> Path | None:
    """Put a file where it belongs; where the other one that was there is kept."""
    kept = None
    if place.exists():
        if place.read_bytes() == source.read_bytes():
            return None
        kept = place.with_name(f"{place.name}.{aside}")
        shutil.copy2(place, kept)
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with backup_file.private_file(place) as new:
        new.write_bytes(source.read_bytes())
        new.chmod(mode)
    return kept


def _in_words(done: Restored) -> str:
    requests = done.manifest.rows.get("leads")
    lines = [
        f"The shop is back as it was on {done.manifest.made_at:%B %-d, %Y at %H:%M} UTC"
        + (f", with {requests:,} requests." if requests is not None else "."),
        "What was written, paid or decided after that is not in it.",
        f"Messages that wait for you at the desk, as they may have been sent: "
        f"{done.resumed.deliveries}.",
        f"Reminders taken out because they fell due since: {done.resumed.reminders}.",
        f"Requests erased again: {done.erased}. Clients who keep their “stop”: "
        f"{done.resumed.stops}. Who was erased after what is known here must be erased again"
        " by you.",
        f"Signed out: {done.resumed.sessions}. Start the shop with deploy/run.",
    ]
    lines += [f"What was there is kept in {path}" for path in done.kept]
    if done.kept:
        lines.append("It holds clients' data too: delete it once all is well.")
    return "\n".join(lines)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="deploy/restore", description=__doc__)
    parser.add_argument("file", type=Path, metavar="FILE", help="the backup")
    parser.add_argument(
        "--replace",
        action="store_true",
        help="put it in the place of the shop that is here; what is there is kept aside",
    )
    return parser


if __name__ == "__main__":
    sys.exit(main())
