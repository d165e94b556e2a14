"""Bring a shop back from a backup, on SQLite or PostgreSQL, whichever the settings name.

Everything is checked, and moved up to this version, before anything is touched. The shop must be
stopped. What was written, paid or decided after the backup is not in it.

What may have been said since is not said again by itself: messages and prices that were about to go
out by Telegram wait at the desk for you, reminders that fell due since are taken out, and a date
whose hold is over, or will be within a day, stays held for three days, so that you can enter what
was paid. Only a client who was being answered just when the backup was made is answered once more.

Anyone erased since is erased again, and who said “stop” stays unwritten to, as far as the database
of now or a newer backup beside still knows of it. Everybody signs in again, with the password of
then.
"""

import argparse
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from pydantic import ValidationError
from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from deploy import backup_file
from deploy.backup import folder_of
from deploy.backup_file import BadBackup, Manifest
from deploy.restore_places import put_file, put_in_place, unwritable
from deploy.restore_since import Known, is_current, known_since
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
_KEYS_BACK = "The keys are back in {place}, and nothing else was touched. Start the shop again."


class Refused(Exception):
    """Nothing was touched; the text says why and what to type."""


@dataclass(frozen=True, kw_only=True)
class Restored:
    """What was done; `kept` are the places of what was there before.

    `unwritten` are files that could not be put back, each with the reason.
    """

    manifest: Manifest
    resumed: Resumed
    known: Known
    erased: int
    kept: tuple[Path, ...]
    unwritten: tuple[str, ...]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; 0 when the shop is back, 1 when it is not, 2 for wrong settings."""
    options = _parser().parse_args(arguments)
    try:
        settings, file = shop_settings(), from_caller(options.file)
        if options.keys_only:
            print(_KEYS_BACK.format(place=restore_keys(settings, file)))
            return 0
        done = restore(settings, file, replace=options.replace)
    except ValidationError as error:
        print(told(error), file=sys.stderr)
        return 2
    except (Refused, BadBackup, CannotBackUp, CannotCopy, CannotStart, OSError) as error:
        print(f"deploy/restore: nothing was restored. {error}", file=sys.stderr)
        return 1
    except SQLAlchemyError as error:
        trouble = f"The database does not answer ({type(error).__name__})."
        print(f"deploy/restore: nothing was restored. {trouble}", file=sys.stderr)
        return 1
    print(_in_words(done))
    return 1 if done.unwritten else 0


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
            _check_places(settings, folder)
            beside = (file.parent, folder_of(settings))
            known = known_since(manifest, beside, target, full=full)
            resumed, again = _resume(folder / backup_file.DATABASE, settings, known)
            kept, unwritten = put_in_place(settings, folder, target, full=full)
        finally:
            target.dispose()
    return Restored(
        manifest=manifest,
        resumed=resumed,
        known=known,
        erased=again,
        kept=kept,
        unwritten=unwritten,
    )


def restore_keys(settings: Settings, file: Path) -> Path:
    """Put the keys of a backup in place of lost or damaged ones; where. Raises as `restore`."""
    place = keys_file_of(settings)
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=".restore-", dir=place.parent) as name:
        manifest = backup_file.unpack(file, Path(name))
        if backup_file.KEYS not in manifest.files:
            raise BadBackup(f"{file} holds no keys.")
        put_file(Path(name) / backup_file.KEYS, place, 0o600)
    return place


def _check_places(settings: Settings, folder: Path) -> None:
    if places := unwritable(settings, folder):
        raise Refused(
            f"These cannot be written: {', '.join(places)}. Make them so, or name other places"
            " in GARLANDRY_PRICE_BOOK and GARLANDRY_WORDING, here and for the shop."
        )


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
    return not is_current(target) or any(row_counts(target).values())


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


def _in_words(done: Restored) -> str:
    resumed = done.resumed
    lines = [
        *_back(done),
        f"Messages that wait for you at the desk, as they may have been sent: "
        f"{resumed.deliveries}.",
        f"Prices that wait for you there for the same reason: {resumed.prices}.",
        f"Dates whose hold is over, kept for three days so that you can enter what was paid:"
        f" {resumed.holds}.",
        f"Reminders taken out because they fell due since: {resumed.reminders}.",
        f"Requests erased again: {done.erased}. Clients who keep their “stop”: {resumed.stops}.",
        _gaps(done.known),
        f"Signed out: {resumed.sessions}.",
    ]
    lines += [f"What was there is kept in {path}" for path in done.kept]
    if done.kept:
        lines.append("It holds clients' data too: delete it once all is well.")
    lines += [f"NOT put back: {each}. The backup still has it." for each in done.unwritten]
    return "\n".join([*lines, "Start the shop again, as you always do (deploy/run)."])


def _back(done: Restored) -> Sequence[str]:
    number = done.manifest.rows.get("leads")
    requests = (
        ""
        if number is None
        else ", with 1 request"
        if number == 1
        else (f", with {number:,} requests")
    )
    return (
        f"The shop is back as it was on {done.manifest.made_at:%B %-d, %Y at %H:%M} UTC{requests}.",
        "What was written, paid or decided after that is not in it.",
    )


def _gaps(known: Known) -> str:
    if known.complete:
        return (
            "Anyone erased whom neither the database of now nor a newer backup here knows of has to"
            " be erased again by you."
        )
    return (
        "The database that was here could not be read: who was erased or said “stop” since the"
        " backup is known from newer backups only. Erase them again, and write to nobody who said"
        " “stop”."
    )


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="deploy/restore",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="the backup")
    parser.add_argument(
        "--keys-only",
        action="store_true",
        help="only put lost or damaged keys back; the shop may run, and everything else stays",
    )
    parser.add_argument(
        "--replace",
        action="store_true",
        help="put it in the place of the shop that is here; what is there is kept aside",
    )
    return parser


if __name__ == "__main__":
    sys.exit(main())
