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

    def __repr__(self) -> str:
        return "Keys(…)"


def read_or_make_keys(path: Path) -> Keys:
    """The keys in the file; a new file, readable by its owner only, if there is none."""
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        made = {name: secrets.token_urlsafe(32) for name in Keys.model_fields}
        # Written aside and linked into place: of two processes that start together the first
        # wins, and nobody ever reads half a file.
        aside = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
        with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            json.dump(made, file, indent=1)
        try:
            os.link(aside, path)
        except FileExistsError:
            pass
        finally:
            aside.unlink()
    return Keys.model_validate_json(path.read_text())
