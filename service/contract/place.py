"""The wire form of a place on the map."""

from service.contract.brief import Wire


class Place(Wire):
    """The postal code and the town that a shared location lies in or next to."""

    postal_code: str
    town: str
