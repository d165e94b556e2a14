"""Where postal codes and towns lie, from data that ships with a package."""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from service.estimating import Shop, geodesic_m

TOWNS_WITHIN_MILES = 186
"""300 km: a day's drive there and back. A namesake farther off is more likely another town."""

_US_CODE = re.compile(r"\s*([0-9]{5})(-[0-9]{4})?\s*")

_STATES = {
    "alabama": "AL", "alaska": "AK", "arizona": "AZ", "arkansas": "AR", "california": "CA",
    "colorado": "CO", "connecticut": "CT", "delaware": "DE", "district of columbia": "DC",
    "florida": "FL", "georgia": "GA", "hawaii": "HI", "idaho": "ID", "illinois": "IL",
    "indiana": "IN", "iowa": "IA", "kansas": "KS", "kentucky": "KY", "louisiana": "LA",
    "maine": "ME", "maryland": "MD", "massachusetts": "MA", "michigan": "MI", "minnesota": "MN",
    "mississippi": "MS", "missouri": "MO", "montana": "MT", "nebraska": "NE", "nevada": "NV",
    "new hampshire": "NH", "new jersey": "NJ", "new mexico": "NM", "new york": "NY",
    "north carolina": "NC", "north dakota": "ND", "ohio": "OH", "oklahoma": "OK", "oregon": "OR",
    "pennsylvania": "PA", "rhode island": "RI", "south carolina": "SC", "south dakota": "SD",
    "tennessee": "TN", "texas": "TX", "utah": "UT", "vermont": "VT", "virginia": "VA",
    "washington": "WA", "west virginia": "WV", "wisconsin": "WI", "wyoming": "WY",
}  # fmt: skip

_CODES = frozenset(_STATES.values())

_BEFORE_A_TOWN = frozenset({"in", "at", "near", "of", "from"})

_ALSO_VENUES = frozenset({
    "beacon", "center", "garden", "garrison", "glen", "grove", "guild", "hall", "harbor", "hill",
    "industry", "island", "lake", "liberty", "lodge", "mason", "park", "prospect", "ridge",
    "summit", "sunset", "temple", "trinity", "union", "unity", "victory",
})  # fmt: skip
"""Names of towns that end the name of many a venue: "the masonic temple" is not in Temple."""


NEAR_MILES = 20
"""A shared location farther than this from any postal code's middle is at sea, or abroad."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Nearby:
    """A postal code and its town."""

    postal_code: str
    town: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Position:
    """A place on the map: degrees, and the town's name."""

    latitude: float
    longitude: float
    town: str


_Towns = Mapping[str, Mapping[str, Position]]
"""Towns by plain name, by state."""


class Places:
    """US postal codes and towns. The data is loaded at the first look-up: a third of a second."""

    def __init__(self) -> None:
        self._known: dict[str, Position | None] = {}
        self._towns: dict[tuple[float, float], _Towns] = {}

    def find(self, postal_code: str) -> Position | None:
        """The middle of a postal code's area, None where the code is not known."""
        match = _US_CODE.fullmatch(postal_code)
        if match is None:
            return None
        code = match[1]
        if code not in self._known:
            self._known[code] = _look_up(code)
        return self._known[code]

    def find_town(self, words: str, *, near: Shop) -> Position | None:
        """The middle of the town that `words` name; None where they name none within 300 km.

        A town is a part between commas, or the words that such a part ends with; the last part
        counts first, the longest name before a shorter one, and of namesakes the nearest to the
        shop. A state behind the town is heeded. The shop's own town lies where the shop does.
        """
        towns = self._towns_around(near)
        said = [_plain(part) for part in re.split(r"[,;()\n]", words)]
        parts = [part for part in said if part]
        for left, state in _with_state(parts):
            for name in _names(left):
                found = _nearest(towns.get(name, {}), state, near)
                if found:
                    return found
        return None

    def nearest(self, latitude: float, longitude: float) -> Nearby | None:
        """The postal code whose middle is nearest; None where none is near, as outside the US."""
        here = latitude, longitude
        found = min(
            (entry for entry in _within(*here, NEAR_MILES) if _is_an_area(entry)),
            key=lambda entry: geodesic_m(*here, float(entry["lat"]), float(entry["long"])),
            default=None,
        )
        if found is None:
            return None
        return Nearby(postal_code=str(found["zip_code"]), town=str(found["city"]))

    def _towns_around(self, shop: Shop) -> _Towns:
        here = shop.latitude, shop.longitude
        if here not in self._towns:
            self._towns[here] = _gather(*here)
        # Put in at each look-up: the owner may change the town's name and nothing else.
        own = Position(latitude=shop.latitude, longitude=shop.longitude, town=shop.town)
        return {**self._towns[here], _plain(shop.town): {"": own}}


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


def _is_an_area(entry: Mapping[str, Any]) -> bool:
    # The others are post office boxes, single buildings and the forces overseas; some stand in
    # the data at nought, nought.
    known = float(entry["lat"]) or float(entry["long"])
    return bool(known) and entry["zip_code_type"] == "STANDARD"


def _within(latitude: float, longitude: float, miles: float) -> list[dict[str, Any]]:
    import zipcodes

    found: list[dict[str, Any]] = zipcodes.filter_by_coordinates(  # type: ignore[no-untyped-call]
        latitude, longitude, miles
    )
    return found


def _gather(latitude: float, longitude: float) -> _Towns:
    entries = _within(latitude, longitude, TOWNS_WITHIN_MILES)
    codes: dict[str, dict[str, list[dict[str, Any]]]] = defaultdict(lambda: defaultdict(list))
    for entry in entries:
        for name in (entry["city"], *entry["acceptable_cities"]):
            codes[_plain(name)][entry["state"]].append(entry)
    return {
        name: {state: _middle(found) for state, found in states.items()}
        for name, states in codes.items()
    }


def _middle(entries: list[dict[str, Any]]) -> Position:
    return Position(
        latitude=fmean(float(entry["lat"]) for entry in entries),
        longitude=fmean(float(entry["long"]) for entry in entries),
        town=str(entries[0]["city"]),
    )


def _plain(words: str) -> str:
    letters = re.sub(r"['’.]", "", words.casefold())
    return " ".join(re.sub(r"[^\w&]|_", " ", letters).split())


def _with_state(parts: list[str]) -> Iterator[tuple[list[str], str | None]]:
    """The parts without the state behind them, and that state; else all parts, for any state.

    Where the parts in front name no town, the state's name may be a town's: New York.
    """
    if not parts:
        return
    words = [word for word in parts[-1].split() if not word.isdigit()]
    for size in (3, 2, 1):
        ending = " ".join(words[-size:])
        state = _STATES.get(ending) or (ending.upper() if ending.upper() in _CODES else None)
        if state and len(words) >= size:
            front = " ".join(words[:-size])
            yield [*parts[:-1], *([front] if front else [])], state
            yield [ending], None
            return
    yield [*parts[:-1], " ".join(words)], None


def _names(parts: list[str]) -> Iterator[str]:
    for part in reversed(parts):
        words = part.split()
        yield part
        for start in range(1, len(words)):
            name = " ".join(words[start:])
            if name not in _ALSO_VENUES or words[start - 1] in _BEFORE_A_TOWN:
                yield name


def _nearest(states: Mapping[str, Position], state: str | None, shop: Shop) -> Position | None:
    # The shop's own town stands there without a state: it is meant whichever is named.
    here = [p for name, p in states.items() if state is None or name in ("", state)]
    return min(
        here,
        key=lambda p: geodesic_m(shop.latitude, shop.longitude, p.latitude, p.longitude),
        default=None,
    )
