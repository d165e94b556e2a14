"""What is known of the time after a backup: who was erased, and who said “stop”."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from deploy import backup_file
from deploy.backup import backups_in
from deploy.backup_file import BadBackup, Manifest
from service.storage import backing_up


@dataclass(frozen=True, kw_only=True)
class Known:
    """States of requests erased since, by their ids, and chats that are not to be written to.

    Not `complete` where there was a database that could not be read.
    """

    erased: Mapping[str, str] = field(default_factory=dict)
    stopped: frozenset[tuple[str, str]] = frozenset()
    complete: bool = True


def known_since(
    manifest: Manifest, folders: Iterable[Path], target: Engine, *, full: bool
) -> Known:
    """What newer backups in those folders tell, and the database of now where there is one."""
    erased: dict[str, str] = {}
    for folder in {each.resolve() for each in folders}:
        for newer in backups_in(folder):
            erased |= _erased_by(newer, manifest)
    if not full:
        return Known(erased=erased)
    try:
        if is_current(target):
            return Known(
                erased={**erased, **backing_up.erased_in(target)},
                stopped=frozenset(backing_up.stopped_in(target)),
            )
    except SQLAlchemyError:
        pass  # it is damaged or not there: that is what backups are for
    return Known(erased=erased, complete=False)


def is_current(target: Engine) -> bool:
    """Whether a database has this version's tables."""
    return backing_up.revision_of(target) == backing_up.known_revisions()[0]


def _erased_by(path: Path, than: Manifest) -> dict[str, str]:
    try:
        manifest = backup_file.read_manifest(path)
    except BadBackup:
        return {}
    return manifest.erased if manifest.made_at > than.made_at else {}
