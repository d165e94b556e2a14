"""How a document is handed to a browser."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote

MEDIA_TYPE = "application/pdf"

_NOT_IN_A_NAME = re.compile(r'[\\/:*?"<>|\x00-\x1f\x7f]+')
_LONGEST = 120


@dataclass(frozen=True, kw_only=True, slots=True)
class PdfFile:
    """A document under the name that it is saved by, such as "Q-1042 Harbor Lane Balloons.pdf"."""

    name: str
    content: bytes

    @property
    def headers(self) -> Mapping[str, str]:
        """What goes with it over HTTP: it is shown, and nobody on the way keeps it."""
        return {
            "Content-Disposition": disposition(self.name),
            "Cache-Control": "private, no-store",
            "X-Content-Type-Options": "nosniff",
            "X-Robots-Tag": "noindex",
        }


def disposition(filename: str) -> str:
    """The value of Content-Disposition that shows a file and names it (RFC 6266, RFC 8187)."""
    stem, dot, ending = _NOT_IN_A_NAME.sub(" ", filename).rpartition(".")
    name = " ".join(stem[:_LONGEST].split()) + dot + ending
    plain = " ".join(name.encode("ascii", "ignore").decode().split())
    said = f'inline; filename="{plain}"'
    return said if plain == name else f"{said}; filename*=UTF-8''{quote(name)}"
