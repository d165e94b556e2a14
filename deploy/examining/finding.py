"""One thing that was looked at: how it is, what that means for clients, and what to do."""

from dataclasses import dataclass
from enum import StrEnum


class Level(StrEnum):
    """Well; worth knowing; wrong, so that somebody has to do something."""

    WELL = "ok"
    NOTE = "note"
    WRONG = "WRONG"


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """What was seen. `means` and `do` are empty where all is well."""

    level: Level
    what: str
    means: str = ""
    do: str = ""

    def __str__(self) -> str:
        lines = [f"{self.level.value:>5}  {self.what}"]
        lines += [f"       Means: {self.means}"] if self.means else []
        lines += [f"       Do:    {self.do}"] if self.do else []
        return "\n".join(lines)


START = "Start the shop: deploy/run, or systemctl start garlandry.target."

LOGS = (
    "Look at the end of its log: logs/ in the data folder, or journalctl --unit 'garlandry-*', or"
    " docker compose logs."
)


def well(what: str) -> Finding:
    """It is as it should be."""
    return Finding(level=Level.WELL, what=what)


def note(what: str, *, means: str = "", do: str = "") -> Finding:
    """Nothing is wrong, but it is good to know."""
    return Finding(level=Level.NOTE, what=what, means=means, do=do)


def wrong(what: str, *, means: str, do: str) -> Finding:
    """Somebody has to do something."""
    return Finding(level=Level.WRONG, what=what, means=means, do=do)
