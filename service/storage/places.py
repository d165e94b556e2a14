"""Where a postal code lies, from data that ships with a package."""

import re
from dataclasses import dataclass
from typing import Any

_US_CODE = re.compile(r"\s*([0-9]{5})(-[0-9]{4})?\s*")


@dataclass(frozen=True, kw_only=True, slots=True)
class Position:
    """A place on the map: degrees, and the town's name."""

    latitude: float
    longitude: float
    town: str


class Places:
    """US postal codes. The data is loaded at the first look-up: it takes a third of a second."""

    def __init__(self) -> None:
        self._known: dict[str, Position | None] = {}

    def find(self, postal_code: str) -> Position | None:
        """The middle of a postal code's area, None where the code is not known."""
        match = _US_CODE.fullmatch(postal_code)
        if match is None:
            return None
        code = match[1]
        if code not in self._known:
            self._known[code] = _look_up(code)
        return self._known[code]


def _look_up(code: str) -> Position | None:
    # Imported here, since most commands of the service never ask for a place.
    import zipcodes

    found: list[dict[str, Any]] = zipcodes.matching(code)  # type: ignore[no-untyped-call]
    if not found:
        return None
    entry = found[0]
    latitude, longitude = float(entry["lat"]), float(entry["long"])
    # Codes of the forces overseas stand in the data at nought, nought: in the Gulf of Guinea.
    if latitude == longitude == 0:
        return None
    return Position(latitude=latitude, longitude=longitude, town=str(entry["city"]))
