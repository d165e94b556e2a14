"""Where a site lies on the map, from its postal code or its town."""

from dataclasses import replace
from typing import Protocol

from service.estimating import Shop, Site


class Position(Protocol):
    """Degrees."""

    @property
    def latitude(self) -> float: ...

    @property
    def longitude(self) -> float: ...


class Places(Protocol):
    """Knows where postal codes and towns lie."""

    def find(self, postal_code: str) -> Position | None:
        """The position of a postal code, None where it is not known."""
        ...

    def find_town(self, words: str, *, near: Shop) -> Position | None:
        """The position of the town that `words` name, None where they name none nearby."""
        ...


def located(site: Site, places: Places, shop: Shop) -> Site:
    """The site with its position, as seen from the shop; as it was where it has one or none can be
    found."""
    if site.latitude is not None:
        return site
    found = _position(site, places, shop)
    return replace(site, latitude=found.latitude, longitude=found.longitude) if found else site


def _position(site: Site, places: Places, shop: Shop) -> Position | None:
    by_code = places.find(site.postal_code) if site.postal_code else None
    if by_code or not site.place:
        return by_code
    return places.find_town(site.place, near=shop)
