"""The wire form of a brief: what the client wants. Metres, ISO 8601, ISO 4217, BCP 47."""

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, StrictInt

from service.contract.figure import Number, Whole
from service.contract.times import Day, LocalTime

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


Metres = Annotated[Number, Field(gt=0)]


class Accent(Wire):
    """What is fixed on each such piece besides its balloons and foils."""

    kind: Literal["flowers", "greenery", "sign", "ribbon", "fabric_cover"]
    count: StrictInt | None = Field(
        default=None,
        ge=1,
        le=200,
        description="Stems of flowers or greenery, streamers of ribbon, signs or covers; null for"
        " the usual number.",
    )
    words: str | None = Field(
        default=None,
        max_length=120,
        description="What a sign says, or which flowers are meant.",
    )


class Piece(Wire):
    """One thing to build. Which measures are needed depends on `support`."""

    support: SupportName
    count: StrictInt = Field(default=1, ge=1, le=50)
    fullness: Literal["airy", "full", "lush"] = "full"
    coverage: Number | None = Field(
        default=None,
        gt=0,
        le=1,
        description="Share of the support's path that carries garland; null for what is usual for"
        " the `placement`: all of it for `whole`, half for `one_side` and `centred`.",
    )
    placement: Literal["whole", "one_side", "centred", "corner_to_corner", "asymmetric"] = Field(
        default="whole",
        description="Where along the path the garland lies. `asymmetric` is a long run from one"
        " end and a short one from the other.",
    )
    pattern: Literal["mixed", "ombre", "blocks", "stripe"] = Field(
        default="mixed", description="How the colors follow one another along the garland."
    )
    build: Literal["organic", "quads"] | None = Field(
        default=None, description="`quads` is the default of a column, `organic` of the rest."
    )
    size_class: Whole | None = Field(default=None, description="Nominal size in inches, for quads.")
    sized_m: Metres | None = Field(default=None, description="Sized diameter in metres, for quads.")
    width_m: Metres | None = None
    height_m: Metres | None = None
    length_m: Metres | None = None
    sag_m: Metres | None = None
    rise_m: Metres | None = None
    run_m: Metres | None = None
    drop_m: Metres | None = Field(
        default=None, description="How far it hangs down at each end of a mantel or table."
    )
    steps: StrictInt | None = Field(
        default=None,
        ge=1,
        le=90,
        description="Steps of a staircase, where its rise and run are not known.",
    )
    shape: Literal["catenary", "semi_ellipse"] | None = None
    accents: list[Accent] = Field(
        default_factory=list, max_length=20, description="On each of the `count` pieces."
    )
    measures_assumed: StrictBool = Field(
        default=False,
        description="True when the client did not know the size and agreed to a usual one.",
    )


class ColourShare(Wire):
    """A colour by its plain name, with its share of the balloons where the client said one."""

    colour: str = Field(min_length=1, max_length=40)
    share: Number | None = Field(default=None, gt=0, le=1)


def _colour_from_name(value: Any) -> Any:
    return {"colour": value} if isinstance(value, str) else value


_Name = Annotated[str, Field(min_length=1, max_length=40)]
PaletteColour = Annotated[
    ColourShare,
    BeforeValidator(_colour_from_name, json_schema_input_type=ColourShare | _Name),
]


class Event(Wire):
    """The occasion and its times, local to the shop's time zone. Times are the event's."""

    occasion: str | None = Field(default=None, max_length=60)
    date: Day | None = None
    start_time: LocalTime | None = None
    end_time: LocalTime | None = None
    guests: StrictInt | None = Field(default=None, ge=0, le=1_000_000)


class Site(Wire):
    """Where it goes up."""

    setting: Literal["indoor", "outdoor"] | None = None
    place: str | None = Field(default=None, max_length=200)
    postal_code: str | None = Field(default=None, max_length=16)
    latitude: Number | None = Field(default=None, ge=-90, le=90)
    longitude: Number | None = Field(default=None, ge=-180, le=180)
    elevation_m: Number | None = Field(
        default=None, ge=-430, le=5000, description="Above the sea, where it is known to matter."
    )
    temperature_c: Number | None = Field(
        default=None, ge=-30, le=55, description="Of the air while it is up, in degrees Celsius."
    )
    gust_m_s: Number | None = Field(
        default=None, ge=0, le=60, description="The gust to reckon with outdoors, in m/s."
    )
    beaufort: StrictInt | None = Field(
        default=None,
        ge=0,
        le=12,
        description="The mean wind on the Beaufort scale, where no gust is given.",
    )
    ground: Literal["grass", "paving", "timber", "carpet"] | None = Field(
        default=None, description="What the feet of pieces stand on."
    )
    access_from: LocalTime | None = Field(
        default=None, description="When the venue lets us in, local time."
    )
    access_until: LocalTime | None = Field(
        default=None, description="When the venue wants us out again, local time."
    )


class Floating(Wire):
    """Balloons of one kind and size that float on helium."""

    kind: Literal["latex", "foil_round", "foil_heart", "foil_star", "foil_shape"]
    size_class: StrictInt = Field(
        ge=1, le=36, description="Nominal size in inches; latex from 10, foils from 18."
    )
    count: StrictInt = Field(default=1, ge=1, le=500)
    treated: StrictBool = Field(
        default=False, description="Latex that is treated on the inside to float for longer."
    )


_Amount = Annotated[Decimal, Field(ge=0, le=1_000_000)]


class Budget(Wire):
    """What the client would like to spend, in the shop's currency."""

    min: _Amount | None = None
    max: _Amount | None = None


def _budget_from_number(value: Any) -> Any:
    return {"max": value} if isinstance(value, int | float | str | Decimal) else value


_BudgetOrItsMost = Annotated[
    Budget, BeforeValidator(_budget_from_number, json_schema_input_type=Budget | _Amount)
]


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
                },
                {
                    "pieces": [
                        {
                            "support": "hoop",
                            "width_m": 1.8288,
                            "fullness": "lush",
                            "placement": "asymmetric",
                            "pattern": "ombre",
                            "accents": [
                                {"kind": "flowers", "count": 8, "words": "white roses"},
                                {"kind": "sign", "words": "Fifty years afloat"},
                            ],
                        },
                        {"support": "column", "count": 2, "height_m": 1.8288, "pattern": "stripe"},
                        {"support": "table", "length_m": 2.4384, "drop_m": 0.6096},
                    ],
                    "palette": ["navy", {"colour": "white", "share": 0.25}, "gold"],
                    "event": {
                        "occasion": "anniversary",
                        "date": "2027-06-12",
                        "start_time": "14:00",
                        "end_time": "18:00",
                        "guests": 120,
                    },
                    "site": {
                        "setting": "outdoor",
                        "place": "boathouse lawn",
                        "postal_code": "02139",
                        "temperature_c": 29,
                        "beaufort": 3,
                        "ground": "grass",
                    },
                    "foils": ["5", "0"],
                    "floating": [
                        {"kind": "latex", "size_class": 11, "count": 12, "treated": True},
                        {"kind": "foil_star", "size_class": 19, "count": 2},
                    ],
                    "client_keeps": False,
                    "notes": "The lawn slopes a little toward the river.",
                },
            ]
        }
    )

    pieces: list[Piece] = Field(min_length=1, max_length=20)
    palette: list[PaletteColour] = Field(default_factory=list, max_length=12)
    event: Event = Field(default_factory=Event)
    site: Site = Field(default_factory=Site)
    budget: _BudgetOrItsMost | None = None
    foils: list[Annotated[str, Field(min_length=1, max_length=40)]] = Field(
        default_factory=list, max_length=40, description="Digits one by one, words, shapes by name."
    )
    floating: list[Floating] = Field(
        default_factory=list,
        max_length=20,
        description="Balloons that float on helium; everything on a piece is filled with air.",
    )
    client_keeps: StrictBool | None = Field(
        default=None,
        description="True where the balloons stay with the client and are not taken down.",
    )
    notes: str | None = Field(default=None, max_length=4000)
