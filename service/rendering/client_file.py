"""A client's data as one file that they can be given: a zip of JSON, plain text and pictures."""

import io
import json
import zipfile
from collections.abc import Mapping
from typing import Any

# The zip of the same data is the same file, whenever it is made.
_WHEN = (1980, 1, 1, 0, 0, 0)


def packed(found: Mapping[str, Any], pictures: Mapping[str, bytes]) -> bytes:
    """`data.json` with everything, `conversation.txt` to be read, and every photo."""
    files = {
        "data.json": json.dumps(found, ensure_ascii=False, indent=2).encode(),
        "conversation.txt": _conversation(found).encode(),
        **{f"photos/{name}.jpg": jpeg for name, jpeg in pictures.items()},
    }
    packed_up = io.BytesIO()
    with zipfile.ZipFile(packed_up, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, _WHEN), content)
    return packed_up.getvalue()


def _conversation(found: Mapping[str, Any]) -> str:
    lines = (
        f"{said['at']}  {'client' if said['direction'] == 'in' else 'shop'}: {said['text']}"
        for said in found["messages"]
    )
    return "\n\n".join(lines) + "\n"
