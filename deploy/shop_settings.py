"""The shop's settings as `deploy/run` starts it: the environment, and the checkout's own places."""

import os
from pathlib import Path
from typing import Any

from deploy.stack import ROOT
from service.config import Settings


def shop_settings() -> Settings:
    """Settings of the service. Raises ValidationError where the environment is wrong."""
    places: dict[str, Any] = {
        "data": ROOT / ".garlandry",
        "wording": ROOT / "deploy" / "wording",
        "price_book": ROOT / "deploy" / "price_book.yaml",
    }
    given = {name for name in places if os.environ.get(f"GARLANDRY_{name.upper()}")}
    return Settings(**{name: place for name, place in places.items() if name not in given})


def from_caller(path: Path) -> Path:
    """A path that was typed where the command was called, not where it runs."""
    return Path(os.environ.get("CALLED_FROM", ".")) / path
