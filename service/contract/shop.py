"""What bot and website may show of the shop, from the owner's price book."""

from pydantic import Field

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
    contacts: dict[str, str] = Field(
        default_factory=dict, description="`contact` as each language says it: language to text."
    )
    time_zone: str
    currency: str
    locale: str = Field(default="en-US", description="BCP 47.")
    colours: list[StockColour]
    aliases: dict[str, str] = Field(
        default_factory=dict, description="What clients call the colors: alias to name."
    )
    foil_shapes: list[str] = Field(
        default_factory=list, description="Foil balloons that are neither digits nor letters."
    )
    privacy_url: str | None = Field(
        default=None, description="What the shop says of the data it keeps."
    )
    answers: dict[str, dict[str, str]] = Field(
        default_factory=dict,
        description="The owner's own answers to side questions: topic to language to text.",
    )
