"""Where the parts of a backup belong, and how they get there without anything being lost."""

import errno
import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine

from deploy import backup_file
from deploy.backup import make_backup
from service.assembly import keys_file_of
from service.config import Settings
from service.storage import backing_up

_Part = tuple[Path, Path, int]


def unwritable(settings: Settings, folder: Path) -> list[str]:
    """Places of files that would have to be changed and cannot be, each with the reason."""
    return [
        f"{place} ({reason})"
        for source, place, _ in _files(settings, folder)
        if _differs(source, place) and (reason := _refusal(place))
    ]


def put_in_place(
    settings: Settings, folder: Path, target: Engine, *, full: bool
) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Where what was there is kept, and which files could not be written, with the reason.

    The database comes first: when that fails, nothing else was touched.
    """
    aside = f"replaced-{datetime.now(UTC):%Y-%m-%dT%H%M%SZ}"
    kept, failed = [], []
    if full and target.dialect.name == "postgresql":
        # The one that is being restored may be the oldest that is kept.
        kept.append(make_backup(settings, keep=None))
    if before := backing_up.put_in_place(folder / backup_file.DATABASE, target, aside):
        kept.append(before)
    for part in _files(settings, folder):
        try:
            kept += _place(part, aside)
        except OSError as error:
            failed.append(f"{part[1]} ({error.strerror})")
    return tuple(kept), tuple(failed)


def _files(settings: Settings, folder: Path) -> list[_Part]:
    found = [
        (folder / backup_file.KEYS, keys_file_of(settings), 0o600),
        (folder / backup_file.PRICE_BOOK, settings.price_book, 0o644),
    ]
    if settings.wording is not None:
        texts = sorted((folder / backup_file.WORDING).glob("*.po"))
        found += [(each, settings.wording / each.name, 0o644) for each in texts]
    return [each for each in found if each[0].exists()]


def _differs(source: Path, place: Path) -> bool:
    return not place.exists() or place.read_bytes() != source.read_bytes()


def _refusal(place: Path) -> str | None:
    """Why another file cannot take this place; found by trying, beside it."""
    if place.is_mount():
        return os.strerror(errno.EBUSY)
    there = next(each for each in place.parents if each.exists())
    try:
        with backup_file.private_file(there / f"{place.name}.tried") as tried:
            tried.touch()
        (there / f"{place.name}.tried").unlink()
    except OSError as error:
        return error.strerror
    return None


def _place(part: _Part, aside: str) -> Iterator[Path]:
    """Put a file where it belongs; gives where the other one that was there is kept."""
    source, place, mode = part
    if not _differs(source, place):
        return
    if place.exists():
        kept = place.with_name(f"{place.name}.{aside}")
        shutil.copy2(place, kept)
        yield kept
    put_file(source, place, mode)


def put_file(source: Path, place: Path, mode: int) -> None:
    """Have a file take its place whole, or not at all. Raises OSError."""
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with backup_file.private_file(place) as new:
        new.write_bytes(source.read_bytes())
        new.chmod(mode)
