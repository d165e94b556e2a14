"""A backup: database, keys, price book and wording in one file, which says what it holds."""

import hashlib
import os
import secrets
import tomllib
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from pydantic import BaseModel, ValidationError

from deploy.stack import ROOT

DATABASE = "shop.sqlite3"
KEYS = "keys.json"
PRICE_BOOK = "price_book.yaml"
WORDING = "wording/"
_MANIFEST = "manifest.json"

_FORMAT = 1
_CHUNK = 1 << 20
# More than this is no manifest of ours.
_MANIFEST_BYTES = 64 << 20


class BadBackup(Exception):
    """The file is no backup, is damaged, or cannot be used by this version; the text says which."""


class Part(BaseModel):
    """One file in the backup."""

    bytes: int
    sha256: str


class Manifest(BaseModel):
    """What a backup holds. `erased` are the states of erased requests by their ids."""

    format: int = _FORMAT
    made_at: datetime
    version: str
    revision: str
    database: str
    rows: dict[str, int]
    erased: dict[str, str]
    files: dict[str, Part]


def version() -> str:
    """Garlandry's own version."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        return str(tomllib.load(file)["project"]["version"])


@contextmanager
def private_file(path: Path) -> Iterator[Path]:
    """A file to write aside, which takes its place whole, or never; readable by its owner only."""
    aside = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    os.close(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        yield aside
        _sync(aside)
        aside.replace(path)
        _sync(path.parent)
    finally:
        aside.unlink(missing_ok=True)


def write(path: Path, parts: Mapping[str, Path], manifest: Manifest) -> Manifest:
    """Pack the parts, each under its name, with the manifest, which learns what they are."""
    with private_file(path) as aside, zipfile.ZipFile(aside, "w") as packed:
        files = {name: _add(packed, name, part) for name, part in parts.items()}
        full = manifest.model_copy(update={"files": files})
        packed.writestr(_MANIFEST, full.model_dump_json(indent=1))
    return full


def read_manifest(path: Path) -> Manifest:
    """What a backup says that it holds. Raises BadBackup."""
    with _opened(path) as packed:
        return _manifest(packed)


def unpack(path: Path, folder: Path) -> Manifest:
    """Put all parts into a folder, checked by their sums. Raises BadBackup."""
    with _opened(path) as packed:
        manifest = _manifest(packed)
        for name, part in manifest.files.items():
            _take_out(packed, name, part, folder)
    return manifest


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(path) as packed:
            yield packed
    except FileNotFoundError:
        raise BadBackup(f"There is no file {path}.") from None
    except (OSError, KeyError, EOFError, zipfile.BadZipFile, zlib.error) as error:
        told = "it is cut off, damaged, or something else"
        raise BadBackup(f"{path} is no whole backup: {told} ({type(error).__name__}).") from None


def _manifest(packed: zipfile.ZipFile) -> Manifest:
    if packed.getinfo(_MANIFEST).file_size > _MANIFEST_BYTES:
        raise BadBackup("Its list of contents is too long to be ours.")
    try:
        manifest = Manifest.model_validate_json(packed.read(_MANIFEST))
    except ValidationError:
        raise BadBackup("Its list of contents cannot be read.") from None
    if manifest.format > _FORMAT:
        raise BadBackup("It was made by a newer Garlandry. Update this one first.")
    return manifest


def _add(packed: zipfile.ZipFile, name: str, part: Path) -> Part:
    digest, size = hashlib.sha256(), 0
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    with part.open("rb") as source, packed.open(info, "w", force_zip64=True) as target:
        while chunk := source.read(_CHUNK):
            digest.update(chunk)
            size += len(chunk)
            target.write(chunk)
    return Part(bytes=size, sha256=digest.hexdigest())


def _take_out(packed: zipfile.ZipFile, name: str, part: Part, folder: Path) -> None:
    place = (folder / name).resolve()
    if not place.is_relative_to(folder.resolve()):
        raise BadBackup("It names a file outside of itself.")
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    digest, size = hashlib.sha256(), 0
    with packed.open(name) as source, place.open("xb") as target:
        place.chmod(0o600)
        # No more than it says: a file may grow without end when it is unpacked.
        while size <= part.bytes and (chunk := source.read(_CHUNK)):
            digest.update(chunk)
            size += len(chunk)
            target.write(chunk)
    if (size, digest.hexdigest()) != (part.bytes, part.sha256):
        raise BadBackup(f"{name} in it is damaged.")


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
