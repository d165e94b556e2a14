"""API keys and the link secret, made on first start and kept in one private file."""

import json
import os
import secrets
from pathlib import Path

from pydantic import BaseModel, ConfigDict


class Keys(BaseModel):
    """One key for each role, and the secret that signs links. Never printed or logged."""

    model_config = ConfigDict(frozen=True, hide_input_in_errors=True)

    bot: str
    worker: str
    website: str
    owner: str
    links: str
    #: Opens /metrics and nothing else.
    metrics: str

    def __repr__(self) -> str:
        return "Keys(…)"


class DamagedKeys(ValueError):
    """The file with the keys cannot be read; the text says what to do, and quotes nothing of it."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            f"The keys in {path} cannot be read. Bring them back from a backup, and nothing else:"
            " deploy/restore FILE --keys-only. New ones would break every link that clients have."
        )


def keys_in(text: str) -> Keys:
    """The keys in the text of such a file. Raises ValueError, which does not quote them."""
    return Keys.model_validate_json(text)


def read_or_make_keys(path: Path) -> Keys:
    """The keys in the file; a new file, readable by its owner only, if there is none.

    A file from before one of the keys was needed gets it. Raises DamagedKeys.
    """
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        # Written aside and linked into place: of two processes that start together the first
        # wins, and nobody ever reads half a file.
        aside = _written_aside(path, {})
        try:
            os.link(aside, path)
        except FileExistsError:
            pass
        finally:
            aside.unlink()
    try:
        kept = json.loads(path.read_text())
        if isinstance(kept, dict) and kept and not kept.keys() >= Keys.model_fields.keys():
            _written_aside(path, kept).replace(path)
        return Keys.model_validate_json(path.read_text())
    except ValueError:
        raise DamagedKeys(path) from None


def _written_aside(path: Path, kept: dict[str, str]) -> Path:
    """A file beside `path` with these keys, and fresh ones for all that are not there."""
    keys = {name: secrets.token_urlsafe(32) for name in Keys.model_fields} | kept
    aside = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
        json.dump(keys, file, indent=1)
    return aside


def hand_out(keys: Keys, folder: Path) -> None:
    """Write what other processes need of the keys as files of settings, one for each kind."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for name, lines in {
        "bot.env": {"GARLANDRY_API_KEY": keys.bot, "GARLANDRY_METRICS_KEY": keys.metrics},
        "worker.env": {"GARLANDRY_API_KEY": keys.worker},
    }.items():
        aside = folder / f".{name}.{secrets.token_hex(8)}"
        text = "".join(f"{setting}={key}\n" for setting, key in lines.items())
        with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(text)
        aside.replace(folder / name)
