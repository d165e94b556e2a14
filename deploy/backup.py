"""Make a backup of the whole shop while it runs: requests, chats, photos, dates, money, people,
keys, price book and wording, in one file.

The file holds all that clients told the shop, and its keys: keep it as you keep the till, and a
copy of it in another building.
"""

import argparse
import sys
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from pydantic import ValidationError
from sqlalchemy.exc import SQLAlchemyError

from deploy import backup_file
from deploy.backup_file import Manifest
from deploy.shop_settings import from_caller, shop_settings
from service.assembly import keys_file_of
from service.config import Settings
from service.contract.settings import told
from service.storage import backing_up
from service.storage.backing_up import CannotBackUp
from service.storage.copying import CannotCopy
from service.storage.database import open_engine

KEPT = 14
_NAMES = "garlandry-*.backup"

_WARNING = (
    "It holds clients' data and the shop's keys: keep it as you keep the till, and a copy in"
    " another building."
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; 0 when the backup is there, 1 when it is not, 2 for wrong settings."""
    options = _parser().parse_args(arguments)
    try:
        to = from_caller(options.to) if options.to else None
        path = make_backup(shop_settings(), to=to, keep=options.keep)
    except ValidationError as error:
        print(told(error), file=sys.stderr)
        return 2
    except (CannotBackUp, CannotCopy, OSError) as error:
        print(f"deploy/backup: no backup was made. {error}", file=sys.stderr)
        return 1
    except SQLAlchemyError as error:
        trouble = f"The database does not answer ({type(error).__name__})."
        print(f"deploy/backup: no backup was made. {trouble}", file=sys.stderr)
        return 1
    print(f"{path} ({path.stat().st_size / 1e6:,.2f} MB)\n{_WARNING}")
    if backup_file.KEYS not in backup_file.read_manifest(path).files:
        print("The keys are not in it, as they come from GARLANDRY_KEYS: keep them elsewhere.")
    return 0


def folder_of(settings: Settings) -> Path:
    """Where backups are kept unless told otherwise."""
    return settings.data / "backups"


def backups_in(folder: Path) -> list[Path]:
    """The backups in a folder by their names, the oldest first."""
    return sorted(folder.glob(_NAMES))


def make_backup(settings: Settings, *, to: Path | None = None, keep: int | None = KEPT) -> Path:
    """Make one, and let go of all but the newest `keep` in the shop's own folder, if any."""
    now = datetime.now(UTC)
    path = to or folder_of(settings) / f"garlandry-{now:%Y-%m-%dT%H%M%S.%fZ}.backup"
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=".backup-", dir=path.parent) as folder:
        _pack(settings, Path(folder) / backup_file.DATABASE, path, now)
    if to is None and keep is not None:
        for old in backups_in(path.parent)[:-keep]:
            old.unlink()
    return path


def _pack(settings: Settings, snapshot: Path, path: Path, now: datetime) -> None:
    engine = open_engine(settings.database)
    try:
        backing_up.snapshot(engine, snapshot)
    finally:
        engine.dispose()
    revision, rows, erased = backing_up.counted(snapshot)
    manifest = Manifest(
        made_at=now,
        version=backup_file.version(),
        revision=revision or "",
        database=engine.dialect.name,
        rows=rows,
        erased=erased,
        files={},
    )
    backup_file.write(path, {backup_file.DATABASE: snapshot, **_beside(settings)}, manifest)


def _beside(settings: Settings) -> dict[str, Path]:
    """The shop's files that are no part of its database, as far as there are any."""
    found = {backup_file.PRICE_BOOK: settings.price_book}
    if settings.keys is None:
        found[backup_file.KEYS] = keys_file_of(settings)
    if settings.wording is not None:
        texts = sorted(settings.wording.glob("*.po"))
        found |= {f"{backup_file.WORDING}{each.name}": each for each in texts}
    return {name: path for name, path in found.items() if path.is_file()}


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="deploy/backup", description=__doc__)
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help="where to; GARLANDRY_DATA/backups otherwise"
    )
    parser.add_argument(
        "--keep",
        type=_at_least_one,
        default=KEPT,
        metavar="N",
        help=f"how many to keep there, the newest ones ({KEPT}); those made with --to stay",
    )
    return parser


def _at_least_one(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError("a number from 1 on")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
