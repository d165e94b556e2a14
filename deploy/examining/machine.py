"""The machine and the shop's own files: Python, packages, folder, keys, price book, backups."""

import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from deploy.backup import backups_in, folder_of
from deploy.backup_file import BadBackup, read_manifest
from deploy.examining.finding import Finding, note, well, wrong
from service.assembly import keys_file_of
from service.config import Settings
from service.estimating import BookError
from service.storage.keys import Keys
from service.storage.price_book import PriceBookFile

_OLDEST_PYTHON = (3, 11)
_FULL, _NEARLY_FULL = 200_000_000, 2_000_000_000
_BACKUP_EVERY = timedelta(days=7)


def python_version(found: tuple[int, int] = sys.version_info[:2]) -> Iterator[Finding]:
    """Whether this Python is new enough."""
    name = ".".join(map(str, found))
    if found >= _OLDEST_PYTHON:
        yield well(f"Python {name}")
        return
    yield wrong(
        f"Python {name} is too old.",
        means="Garlandry does not start.",
        do="Install Python 3.11 or newer, delete .venv and call deploy/run.",
    )


def packages(constraints: Path) -> Iterator[Finding]:
    """Whether the packages are those that were tested together."""
    pinned = list(pins(constraints))
    found = {name: _other(name, pin) for name, pin in pinned}
    other = [
        f"{name} {there or 'is missing'}" for name, there in found.items() if there is not None
    ]
    if not other:
        yield well(f"{len(pinned)} packages as they are pinned")
        return
    yield wrong(
        f"Packages are not those that were tested: {', '.join(other[:5])}"
        + (f" and {len(other) - 5} more." if len(other) > 5 else "."),
        means="Things may break, now or later.",
        do="Delete .venv and call deploy/run, which sets it up anew.",
    )


def folder(settings: Settings) -> Iterator[Finding]:
    """Whether data can be written, and whether there is room for them."""
    data = settings.data
    if not data.is_dir():
        yield note(f"There is no shop in {data} yet.", do="deploy/run makes one.")
        return
    try:
        with tempfile.TemporaryFile(dir=data):
            pass
    except OSError as error:
        yield wrong(
            f"The data folder {data} cannot be written ({error.strerror}).",
            means="Nothing that clients write can be kept.",
            do="Give the folder to the user that runs Garlandry, or free the disk.",
        )
    mode = stat.S_IMODE(data.stat().st_mode)
    if mode & 0o077:
        yield wrong(
            f"Others on this machine can look into the data folder (mode {mode:o}).",
            means="They can read what clients wrote.",
            do=f"chmod 700 {data}",
        )
    yield _room(data)


def _room(data: Path) -> Finding:
    free = shutil.disk_usage(data).free
    words = f"{free / 1e9:,.1f} GB free for data"
    if free < _FULL:
        return wrong(
            f"The disk is full: {words}.",
            means="Messages, photos and bookings are refused or soon will be.",
            do=f"Make room on the disk of {data}: old backups and logs are the largest. A backup"
            " can go to another disk: deploy/backup --to FILE.",
        )
    if free < _NEARLY_FULL:
        return note(f"The disk fills up: {words}.", do="Make room before it is full.")
    return well(words)


def keys(settings: Settings) -> Iterator[Finding]:
    """Whether the keys are there and private."""
    if settings.keys is not None:
        yield well("The keys come from GARLANDRY_KEYS")
        return
    path = keys_file_of(settings)
    if not path.exists():
        if settings.data.is_dir():
            yield note(f"There are no keys at {path} yet.", do="deploy/run makes them.")
        return
    mode = stat.S_IMODE(path.stat().st_mode)
    if mode & 0o077:
        yield wrong(
            f"Others on this machine can read the shop's keys (mode {mode:o}).",
            means="Whoever reads them can act as your shop and read all that clients wrote.",
            do=f"chmod 600 {path}",
        )
    try:
        Keys.model_validate_json(path.read_text())
    except ValueError:
        yield wrong(
            f"The keys in {path} cannot be read.",
            means="Nothing starts, and no client's link opens.",
            do="Bring them back from a backup, and nothing else: deploy/restore FILE --keys-only."
            " New ones would break every link that clients have.",
        )
        return
    if not mode & 0o077:
        yield well("Keys are there and private")


def price_book(settings: Settings) -> Iterator[Finding]:
    """Whether the price book's file can be read."""
    try:
        PriceBookFile(settings.price_book).current()
    except BookError as error:
        is_there = settings.price_book.is_file()
        first = error.problems[0] if error.problems and is_there else None
        where = f" ({first.field}: {first.detail})" if first else ""
        yield wrong(
            f"The price book {settings.price_book} "
            + (f"cannot be used{where}." if is_there else "is not there."),
            means="The last good one counts; a new shop cannot open at all.",
            do="Mend that line; the desk's page “Price book” names every fault."
            if is_there
            else "Put it there, or name yours in GARLANDRY_PRICE_BOOK.",
        )
    else:
        yield well(f"Price book {settings.price_book}")


def backups(settings: Settings, now: datetime | None = None) -> Iterator[Finding]:
    """How old the newest backup is."""
    if not settings.data.is_dir():
        return
    found = backups_in(folder_of(settings))
    if not found:
        yield note(
            "There is no backup of this shop here.",
            means="If this disk fails, all requests, dates and payments are gone.",
            do="deploy/backup, every night, and a copy in another building.",
        )
        return
    try:
        age = (now or datetime.now(UTC)) - read_manifest(found[-1]).made_at
    except BadBackup as fault:
        yield wrong(
            f"The newest backup is damaged. {fault}",
            means="It could not bring the shop back.",
            do="Make another (deploy/backup), and check the disk.",
        )
        return
    if age > _BACKUP_EVERY:
        yield wrong(
            f"The newest backup is {age.days} days old.",
            means="What came since would be lost with this disk.",
            do="deploy/backup, and see why it does not run by itself.",
        )
        return
    yield well(f"The newest backup is {age.days * 24 + age.seconds // 3600} hours old")


def pins(constraints: Path) -> Iterator[tuple[str, str]]:
    """Names and versions in such a list."""
    for line in constraints.read_text().splitlines():
        name, equal, rest = line.partition("==")
        if equal and not line.startswith((" ", "#")):
            yield name.partition("[")[0], rest.split()[0].rstrip("\\").strip()


def _other(name: str, pin: str) -> str | None:
    """The version that is there instead, "" for none; None where it is the pinned one."""
    try:
        found = version(name)
    except PackageNotFoundError:
        return ""
    return None if found == pin else found
