"""How a document is handed to a browser."""

import re
from urllib.parse import quote

_NOT_IN_A_NAME = re.compile(r'[\\/:*?"<>|\x00-\x1f\x7f]+')
_LONGEST = 120


def disposition(filename: str) -> str:
    """The value of Content-Disposition that shows a file and names it (RFC 6266, RFC 8187)."""
    stem, dot, ending = _NOT_IN_A_NAME.sub(" ", filename).rpartition(".")
    name = " ".join(stem[:_LONGEST].split()) + dot + ending
    plain = name.encode("ascii", "ignore").decode()
    said = f'inline; filename="{" ".join(plain.split())}"'
    return said if plain == name else f"{said}; filename*=UTF-8''{quote(name)}"
