"""One JSON line in, one JSON line out: the understanding as another program sees it."""

import json
from datetime import date
from typing import Any

from bot.understanding.reading import read
from bot.understanding.slots import Slots, Structure

_PROBLEM = {"type": "about:blank", "status": 400}


class _Refused(ValueError):
    """What is wrong with a line, in words for who wrote it."""


def answer_line(line: str) -> str:
    """The slots of one line `{"id", "text", "reference_date", "timezone"?, "locale"?}`.

    A line that cannot be read answers `{"id", "error": problem details (RFC 9457)}`; never raises.
    """
    identity: Any = None
    try:
        request = _request(line)
        identity = request.get("id")
        answer = {"id": identity, **_contract(_understood(request))}
    except _Refused as refused:
        answer = {
            "id": identity,
            "error": {**_PROBLEM, "title": "Line not understood", "detail": str(refused)},
        }
    return json.dumps(answer, ensure_ascii=True)


def _request(line: str) -> dict[str, Any]:
    try:
        request = json.loads(line)
    except (ValueError, RecursionError) as broken:
        raise _Refused(
            f"The line is not JSON: {broken}. Send one JSON object on each line."
        ) from broken
    if not isinstance(request, dict):
        raise _Refused('The line is not a JSON object. Send {"id", "text", "reference_date"}.')
    return request


def _understood(request: dict[str, Any]) -> Slots:
    text = request.get("text")
    if not isinstance(text, str):
        raise _Refused('"text" is missing or not a string. Send the client\'s message there.')
    locale = request.get("locale")
    if locale is not None and not isinstance(locale, str):
        raise _Refused('"locale" is not a string. Send a tag such as "en-US", or leave it out.')
    return read(text, reference_date=_reference(request), locale=locale or None)


def _reference(request: dict[str, Any]) -> date:
    said = request.get("reference_date")
    try:
        # The day is all that counts: a full timestamp is cut to the date it is written with.
        return date.fromisoformat(str(said)[:10])
    except ValueError:
        raise _Refused('"reference_date" is missing or no date. Send it as YYYY-MM-DD.') from None


def _contract(slots: Slots) -> dict[str, Any]:
    return {
        "lang": slots.lang,
        "intent": slots.intent,
        "occasion": slots.occasion,
        "event_date": slots.event_date and slots.event_date.isoformat(),
        "start_time": slots.start_time and slots.start_time.strftime("%H:%M"),
        "end_time": slots.end_time and slots.end_time.strftime("%H:%M"),
        "structures": [_structure(piece) for piece in slots.structures],
        "colours": list(slots.colours),
        "setting": slots.setting,
        "postal_code": slots.postal_code,
        "place": slots.place,
        "budget_min": _money(slots.budget_min),
        "budget_max": _money(slots.budget_max),
        "foils": list(slots.foils),
        "guests": slots.guests,
        "flags": list(slots.flags),
    }


def _structure(piece: Structure) -> dict[str, Any]:
    sides = {"width_m": piece.width_m, "height_m": piece.height_m, "length_m": piece.length_m}
    rounded = {name: side if side is None else round(side, 4) for name, side in sides.items()}
    return {"kind": piece.kind, "count": piece.count, **rounded}


def _money(amount: Any) -> int | float | None:
    if amount is None:
        return None
    return int(amount) if amount == int(amount) else float(amount)
