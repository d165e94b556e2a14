"""What bot and website may show of the shop, from the owner's price book."""

from service.contract.brief import Wire


class StockColour(Wire):
    """A colour that the shop works with, for a swatch."""

    name: str
    hex: str


class Shop(Wire):
    """The shop's card."""

    name: str
    town: str
    owner_name: str
    contact: str
    time_zone: str
    currency: str
    colours: list[StockColour]
