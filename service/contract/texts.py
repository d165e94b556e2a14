"""The wire form of texts that the shop writes by itself, which the owner may word anew."""

from typing import Literal

from pydantic import Field, StrictBool

from service.contract.brief import Wire

Language = Literal["en", "es"]


class Text(Wire):
    """A text in one language, with its placeholders in braces."""

    key: str
    language: Language
    about: str = Field(description="When it is written.")
    text: str
    shipped: str = Field(description="What it says where the owner has not worded it anew.")
    changed: StrictBool
    placeholders: list[str] = Field(description="All that may stand in it.")
    needs: list[str] = Field(description="Those that must stand in it.")


class NewText(Wire):
    """The owner's own words."""

    text: str = Field(min_length=1, max_length=4000)
