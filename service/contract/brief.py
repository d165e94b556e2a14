"""The wire form of a brief: what the client wants. Metres, ISO 8601, ISO 4217, BCP 47."""

import datetime as dt
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

SupportName = Literal[
    "round_top_frame",
    "square_frame",
    "hoop",
    "wall",
    "doorway",
    "staircase",
    "mantel",
    "table",
    "ceiling",
    "freestanding_arch",
    "swag",
    "column",
]


class Wire(BaseModel):
    """Base of every message: unknown fields are refused, so a typo is never silently dropped."""

    model_config = ConfigDict(extra="forbid", from_attributes=True)


Metres = Annotated[float, Field(gt=0, allow_inf_nan=False)]


class Piece(Wire):
    """One thing to build. Which measures are needed depends on `support`."""

    support: SupportName
    count: int = Field(default=1, ge=1, le=50)
    fullness: Literal["airy", "full", "lush"] = "full"
    coverage: float = Field(
        default=1.0, gt=0, le=1, description="Share of the support's path that carries garland."
    )
    build: Literal["organic", "quads"] | None = Field(
        default=None, description="`quads` is the default of a column, `organic` of the rest."
    )
    size_class: int | None = Field(default=None, description="Nominal size in inches, for quads.")
    sized_m: Metres | None = Field(default=None, description="Sized diameter in metres, for quads.")
    width_m: Metres | None = None
    height_m: Metres | None = None
    length_m: Metres | None = None
    sag_m: Metres | None = None
    rise_m: Metres | None = None
    run_m: Metres | None = None
    shape: Literal["catenary", "semi_ellipse"] | None = None
    measures_assumed: bool = Field(
        default=False,
        description="True when the client did not know the size and agreed to a usual one.",
    )


class ColourShare(Wire):
    """A colour by its plain name, with its share of the balloons where the client said one."""

    colour: str = Field(min_length=1, max_length=40)
    share: float | None = Field(default=None, gt=0, le=1)


def _colour_from_name(value: Any) -> Any:
    return {"colour": value} if isinstance(value, str) else value


PaletteColour = Annotated[ColourShare, BeforeValidator(_colour_from_name)]


class Event(Wire):
    """The occasion and its times, local to the shop's time zone. Times are the event's."""

    occasion: str | None = Field(default=None, max_length=60)
    date: dt.date | None = None
    start_time: dt.time | None = None
    end_time: dt.time | None = None
    guests: int | None = Field(default=None, ge=0, le=1_000_000)


class Site(Wire):
    """Where it goes up."""

    setting: Literal["indoor", "outdoor"] | None = None
    place: str | None = Field(default=None, max_length=200)
    postal_code: str | None = Field(default=None, max_length=16)
    latitude: float | None = Field(default=None, ge=-90, le=90)
    longitude: float | None = Field(default=None, ge=-180, le=180)


class Budget(Wire):
    """What the client would like to spend, in the shop's currency."""

    min: Decimal | None = Field(default=None, ge=0, le=1_000_000)
    max: Decimal | None = Field(default=None, ge=0, le=1_000_000)


def _budget_from_number(value: Any) -> Any:
    return {"max": value} if isinstance(value, int | float | str | Decimal) else value


class Brief(Wire):
    """What the client wants; also the body of `POST /v1/estimates`."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "pieces": [
                        {"support": "round_top_frame", "width_m": 1.2192, "height_m": 2.1336}
                    ],
                    "palette": ["sage", "cream", "gold"],
                    "event": {
                        "occasion": "anniversary",
                        "date": "2027-06-06",
                        "start_time": "15:00",
                    },
                    "site": {
                        "setting": "indoor",
                        "place": "boathouse hall",
                        "postal_code": "02139",
                    },
                    "budget": {"max": "600"},
                }
            ]
        }
    )

    pieces: list[Piece] = Field(min_length=1, max_length=20)
    palette: list[PaletteColour] = Field(default_factory=list, max_length=12)
    event: Event = Field(default_factory=Event)
    site: Site = Field(default_factory=Site)
    budget: Annotated[Budget, BeforeValidator(_budget_from_number)] | None = None
    foils: list[Annotated[str, Field(min_length=1, max_length=40)]] = Field(
        default_factory=list, max_length=40, description="Digits one by one, words, shapes by name."
    )
    notes: str | None = Field(default=None, max_length=4000)
