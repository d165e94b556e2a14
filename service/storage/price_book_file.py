"""The owner's price book as a file: read, checked line by line, read again when it changes."""

import datetime as dt
import hashlib
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from service.estimating import BookError, FieldProblem, Fullness, OpenHours, PriceBook, Support
from service.estimating import book as core

_INCH, _FOOT, _MILE = 0.0254, 0.3048, 1609.344
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


def _decimal(value: Any) -> Any:
    # A number written 8.90 reads as a float; its shortest form is what the owner wrote.
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return Decimal(str(value)) if number else value


def _clock(value: Any) -> Any:
    try:
        return dt.time.fromisoformat(value)
    except (TypeError, ValueError):
        raise ValueError('write a time of day such as "08:00"') from None


def _enum(kind: type[Support] | type[Fullness] | type[core.Cluster] | type[core.Charge]) -> Any:
    def read(value: Any) -> Any:
        try:
            return kind(value)
        except ValueError:
            raise ValueError(f"use one of {', '.join(kind)}") from None

    return BeforeValidator(read)


def _cents(value: Decimal) -> Decimal:
    # So that 8.9 in the file is 8.90 wherever it is shown.
    return value.quantize(Decimal("0.01"))


Money = Annotated[
    Decimal, BeforeValidator(_decimal), Field(ge=0, decimal_places=2), AfterValidator(_cents)
]
Rate = Annotated[Decimal, BeforeValidator(_decimal), Field(ge=0, decimal_places=4)]
Step = Annotated[
    Decimal, BeforeValidator(_decimal), Field(gt=0, decimal_places=2), AfterValidator(_cents)
]
Percent = Annotated[Decimal, BeforeValidator(_decimal), Field(ge=0, le=100)]
AnyPercent = Annotated[Decimal, BeforeValidator(_decimal), Field(ge=0)]
Length = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Whole = Annotated[int, Field(ge=1)]
Name = Annotated[str, Field(min_length=1)]
SupportName = Annotated[Support, _enum(Support)]
ClusterName = Annotated[core.Cluster, _enum(core.Cluster)]


class _Shop(_Entry):
    name: Name
    owner: Name
    town: Name
    postal_code: Name
    latitude: float = Field(ge=-90, le=90)
    longitude: float = Field(ge=-180, le=180)
    time_zone: Name
    currency: str = Field(pattern="^[A-Z]{3}$")
    locale: Name
    contact: list[Name]

    def core(self) -> core.Shop:
        return core.Shop(**self.model_dump(exclude={"contact"}), contact=tuple(self.contact))


class _Size(_Entry):
    size_class: Literal[5, 10, 11, 12, 16, 18, 24, 36]
    sized_in: Length
    sized_outdoors_in: Length
    breakage_percent: float = Field(ge=0, le=50)

    def core(self) -> core.SizeClass:
        return core.SizeClass(
            size_class=self.size_class,
            sized_indoors_m=self.sized_in * _INCH,
            sized_outdoors_m=self.sized_outdoors_in * _INCH,
            breakage=self.breakage_percent / 100,
        )


class _Look(_Entry):
    girth_in: Length
    base_step: Length
    large_percent: float = Field(ge=0, le=100)
    fill: dict[ClusterName, Whole]

    def core(self) -> core.Look:
        return core.Look(
            girth_m=self.girth_in * _INCH,
            base_step=self.base_step,
            large_share=self.large_percent / 100,
            fill=self.fill,
        )


class _Recipe(_Entry):
    base_size: int
    large_size: int
    small_size: int
    solid_fraction: float = Field(ge=0.2, le=0.74)
    quads_size: int
    quads_sized_in: Length
    looks: dict[Annotated[Fullness, _enum(Fullness)], _Look]

    def core(self) -> core.Recipe:
        return core.Recipe(
            base_size=self.base_size,
            large_size=self.large_size,
            small_size=self.small_size,
            solid_fraction=self.solid_fraction,
            quads_size=self.quads_size,
            quads_sized_m=self.quads_sized_in * _INCH,
            looks={fullness: look.core() for fullness, look in self.looks.items()},
        )


class _Colour(_Entry):
    name: Name
    hex: str = Field(pattern="^#[0-9A-Fa-f]{6}$")
    group: Name
    aliases: list[Name] = Field(default_factory=list)

    def core(self) -> core.Colour:
        return core.Colour(
            name=self.name, hex=self.hex, group=self.group, aliases=tuple(self.aliases)
        )


class _Bag(_Entry):
    supplier: Name
    group: Name
    size_class: int
    pack_size: Whole
    price: Step

    def core(self) -> core.Bag:
        return core.Bag(**self.model_dump(exclude={"price"}), unit_price=self.price)


class _Holding(_Entry):
    size_class: int
    colour: Name
    count: Whole

    def core(self) -> core.Holding:
        return core.Holding(**self.model_dump())


class _Kit(_Entry):
    item: Name
    supplier: Name
    price: Step
    contents: Annotated[list[_Holding], Field(min_length=1)]

    def core(self) -> core.Kit:
        return core.Kit(
            item=self.item,
            supplier=self.supplier,
            unit_price=self.price,
            contents=tuple(holding.core() for holding in self.contents),
        )


class _Hardware(_Entry):
    label: Name
    support: SupportName
    width_ft: Length | None = None
    height_ft: Length | None = None
    count: Whole
    wear: Money

    def core(self) -> core.Hardware:
        return core.Hardware(
            label=self.label,
            support=self.support,
            width_m=self.width_ft and self.width_ft * _FOOT,
            height_m=self.height_ft and self.height_ft * _FOOT,
            count=self.count,
            wear=self.wear,
        )


class _Hire(_Entry):
    support: SupportName
    price: Money

    def core(self) -> core.Hire:
        return core.Hire(support=self.support, price=self.price)


class _FoilKind(_Entry):
    price: Money
    minutes: float = Field(ge=0)

    def core(self) -> core.FoilKind:
        return core.FoilKind(price=self.price, seconds=self.minutes * 60)


class _Foils(_Entry):
    digit: _FoilKind
    letter: _FoilKind
    shape: _FoilKind
    shape_names: list[Name]

    def core(self) -> core.Foils:
        return core.Foils(
            digit=self.digit.core(),
            letter=self.letter.core(),
            shape=self.shape.core(),
            shape_names=tuple(name.lower() for name in self.shape_names),
        )


class _Line(_Entry):
    tail_ft: float = Field(ge=0)
    knots_percent: float = Field(ge=0, le=100)
    price_per_ft: Rate
    spacing_in: Length
    price_per_fixing: Rate

    def core(self) -> core.LineAndFixings:
        return core.LineAndFixings(
            tail_m=self.tail_ft * _FOOT,
            knots_share=self.knots_percent / 100,
            price_per_m=_per(self.price_per_ft, _FOOT),
            spacing_m=self.spacing_in * _INCH,
            price_per_fixing=self.price_per_fixing,
        )


class _Labour(_Entry):
    wage: Money
    inflated_per_hour: Length
    tied_per_hour: Length
    seconds_per_cluster: dict[ClusterName, Annotated[float, Field(ge=0)]]
    line_minutes_per_ft: float = Field(ge=0)
    load_minutes: float = Field(ge=0)
    install_minutes_per_piece: float = Field(ge=0)
    install_minutes_per_ft: float = Field(ge=0)
    ladder_factor: float = Field(ge=1)
    ladder_above_ft: Length
    finish_minutes_per_piece: float = Field(ge=0)
    strike_minutes_per_piece: float = Field(ge=0)
    strike_minutes_per_ft: float = Field(ge=0)

    def core(self) -> core.Labour:
        per_m = 60 / _FOOT
        return core.Labour(
            wage=self.wage,
            inflated_per_hour=self.inflated_per_hour,
            tied_per_hour=self.tied_per_hour,
            seconds_per_cluster=self.seconds_per_cluster,
            line_seconds_per_m=self.line_minutes_per_ft * per_m,
            load_seconds=self.load_minutes * 60,
            install_seconds_per_piece=self.install_minutes_per_piece * 60,
            install_seconds_per_m=self.install_minutes_per_ft * per_m,
            ladder_factor=self.ladder_factor,
            ladder_above_m=self.ladder_above_ft * _FOOT,
            finish_seconds_per_piece=self.finish_minutes_per_piece * 60,
            strike_seconds_per_piece=self.strike_minutes_per_piece * 60,
            strike_seconds_per_m=self.strike_minutes_per_ft * per_m,
        )


class _Car(_Entry):
    usable_ft3: Length
    bag_ft3: Length
    packing_fraction: float = Field(gt=0, le=0.8)

    def core(self) -> core.Car:
        return core.Car(
            usable_m3=self.usable_ft3 * _FOOT**3,
            bag_m3=self.bag_ft3 * _FOOT**3,
            packing_fraction=self.packing_fraction,
        )


class _Zone(_Entry):
    up_to_miles: Length
    fee: Money

    def core(self) -> core.Zone:
        return core.Zone(up_to_m=self.up_to_miles * _MILE, fee=self.fee)


class _Travel(_Entry):
    road_factor: float = Field(ge=1, le=3)
    speed_mph: Length
    price_per_mile: Rate
    zones: list[_Zone]
    area_miles: Length
    unknown_miles: Length

    def core(self) -> core.TravelRates:
        zones = sorted((zone.core() for zone in self.zones), key=lambda zone: zone.up_to_m)
        return core.TravelRates(
            road_factor=self.road_factor,
            speed_m_s=self.speed_mph * _MILE / 3600,
            price_per_km=_per(self.price_per_mile, _MILE / 1000),
            zones=tuple(zones),
            area_m=self.area_miles * _MILE,
            unknown_distance_m=self.unknown_miles * _MILE,
        )


class _Policy(_Entry):
    charge: Annotated[core.Charge, _enum(core.Charge)]
    overhead_percent: AnyPercent
    markup_percent: AnyPercent
    hourly_target: Money
    minimum: Money
    rush_days: int = Field(ge=0)
    rush_percent: AnyPercent
    weekend_percent: AnyPercent
    rounding: Step
    deposit_percent: Percent
    deposit_rounding: Step
    tax_percent: Percent
    tax_included: bool
    leftovers_charged_percent: Percent
    service_percent: float = Field(ge=50, lt=100)

    def core(self) -> core.Policy:
        return core.Policy(
            charge=self.charge,
            overhead=self.overhead_percent / 100,
            markup=self.markup_percent / 100,
            hourly_target=self.hourly_target,
            minimum=self.minimum,
            rush_days=self.rush_days,
            rush_share=self.rush_percent / 100,
            weekend_share=self.weekend_percent / 100,
            rounding=self.rounding,
            deposit_share=self.deposit_percent / 100,
            deposit_rounding=self.deposit_rounding,
            tax_rate=self.tax_percent / 100,
            tax_included=self.tax_included,
            leftovers_charged=self.leftovers_charged_percent / 100,
            service_level=self.service_percent / 100,
        )


Deviation = Annotated[float, Field(ge=0, le=100)]


class _Spread(_Entry):
    # A range of no width would promise a certainty that no estimate has.
    packing_percent: Annotated[float, Field(gt=0, le=100)]
    hours_percent: Annotated[float, Field(gt=0, le=100)]
    prices_percent: Deviation
    travel_percent: Deviation
    measures_assumed_percent: Deviation
    palette_assumed_percent: Deviation
    setting_unknown_percent: Deviation
    date_unknown_percent: Deviation
    distance_unknown_percent: Deviation

    def core(self) -> core.Spread:
        shares = {name.removesuffix("_percent"): value / 100 for name, value in self}
        return core.Spread(**shares)


class _Review(_Entry):
    likely_above: Money
    notice_below_days: int = Field(ge=0)
    distance_above_miles: Length
    outdoors: bool
    assumptions_above: int = Field(ge=0)

    def core(self) -> core.Review:
        return core.Review(
            **self.model_dump(exclude={"distance_above_miles"}),
            distance_above_m=self.distance_above_miles * _MILE,
        )


class _Hours(_Entry):
    opens: Annotated[dt.time, BeforeValidator(_clock)]
    closes: Annotated[dt.time, BeforeValidator(_clock)]


class _Calendar(_Entry):
    opening: dict[Literal[_DAYS], _Hours]  # type: ignore[valid-type]  # the days are a constant
    buffer_minutes: float = Field(ge=0)
    hold_hours: float = Field(gt=0)
    quote_valid_days: float = Field(gt=0)
    notice_days: float = Field(ge=0)
    jobs_at_once: Whole

    def core(self) -> core.Calendar:
        return core.Calendar(
            opening={
                _DAYS.index(day): OpenHours(opens=hours.opens, closes=hours.closes)
                for day, hours in self.opening.items()
            },
            buffer=dt.timedelta(minutes=self.buffer_minutes),
            hold=dt.timedelta(hours=self.hold_hours),
            quote_valid=dt.timedelta(days=self.quote_valid_days),
            notice=dt.timedelta(days=self.notice_days),
            jobs_at_once=self.jobs_at_once,
        )


class _Book(_Entry):
    shop: _Shop
    sizes: Annotated[list[_Size], Field(min_length=1)]
    recipe: _Recipe
    colours: Annotated[list[_Colour], Field(min_length=1)]
    default_palette: list[Name]
    special_order_group: Name
    suppliers: list[Name]
    bags: list[_Bag]
    kits: list[_Kit]
    stock: list[_Holding]
    hardware: list[_Hardware]
    hire: list[_Hire]
    foils: _Foils
    line: _Line
    labour: _Labour
    car: _Car
    travel: _Travel
    policy: _Policy
    spread: _Spread
    review: _Review
    calendar: _Calendar

    def core(self, version: str) -> PriceBook:
        return PriceBook(
            version=version,
            shop=self.shop.core(),
            sizes=tuple(size.core() for size in self.sizes),
            recipe=self.recipe.core(),
            colours=tuple(colour.core() for colour in self.colours),
            default_palette=tuple(self.default_palette),
            special_order_group=self.special_order_group,
            suppliers=tuple(self.suppliers),
            bags=tuple(bag.core() for bag in self.bags),
            kits=tuple(kit.core() for kit in self.kits),
            stock=tuple(holding.core() for holding in self.stock),
            hardware=tuple(item.core() for item in self.hardware),
            hire=tuple(entry.core() for entry in self.hire),
            foils=self.foils.core(),
            line=self.line.core(),
            labour=self.labour.core(),
            car=self.car.core(),
            travel=self.travel.core(),
            policy=self.policy.core(),
            spread=self.spread.core(),
            review=self.review.core(),
            calendar=self.calendar.core(),
        )


def _per(price: Decimal, unit: float) -> Decimal:
    return (price / Decimal(str(unit))).quantize(Decimal("0.0001"))


def read_price_book(text: str, name: str) -> PriceBook:
    """The price book written in `text`; `name` stands in its errors.

    Raises BookError with every fault: the line, the key, what is wrong and what is allowed.
    """
    tree = _parse(text, name)
    try:
        entries = _Book.model_validate(_plain(tree))
    except ValidationError as error:
        faults = error.errors(include_url=False)
        raise BookError(
            tuple(_problem(tree, name, fault["loc"], fault) for fault in faults)
        ) from None
    version = hashlib.sha256(text.encode()).hexdigest()[:12]
    try:
        return entries.core(version)
    except BookError as error:
        located = (_located(tree, name, _keys(p.field), p.detail) for p in error.problems)
        raise BookError(tuple(located)) from None


class PriceBookFile:
    """The price book at `path`, read again whenever the file has changed.

    While the file cannot be read the last good book stays in use, and `problem` says why.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._stamp = self._now()
        self._book = read_price_book(_text(path), path.name)
        self.problem: str | None = None

    def current(self) -> PriceBook:
        """The newest good book."""
        stamp = self._now()
        if stamp != self._stamp:
            self._stamp = stamp
            self._reload()
        return self._book

    def _reload(self) -> None:
        try:
            text = self._path.read_text(encoding="utf-8")
            self._book, self.problem = read_price_book(text, self._path.name), None
        except (BookError, OSError, UnicodeDecodeError) as error:
            self.problem = str(error)

    def _now(self) -> tuple[int, int]:
        try:
            stat = self._path.stat()
        except OSError:
            return 0, 0
        return stat.st_mtime_ns, stat.st_size


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        detail = f"cannot be read ({why}); name your price book in GARLANDRY_PRICE_BOOK"
        raise BookError((FieldProblem(field=str(path), detail=detail),)) from error


def _parse(text: str, name: str) -> Any:
    try:
        tree = YAML(typ="rt").load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"{name}:{mark.line + 1}" if mark else name
        detail = f"{error.problem or 'not readable'}; check indentation, colons and quotes"
        raise BookError((FieldProblem(field=where, detail=detail),)) from None
    except YAMLError as error:
        raise BookError((FieldProblem(field=name, detail=str(error)),)) from None
    if not isinstance(tree, Mapping):
        detail = "the file holds no entries; start from the example price book"
        raise BookError((FieldProblem(field=name, detail=detail),))
    return tree


def _plain(node: Any) -> Any:
    if isinstance(node, Mapping):
        return {key: _plain(value) for key, value in node.items()}
    if isinstance(node, Sequence) and not isinstance(node, str):
        return [_plain(value) for value in node]
    if isinstance(node, float):
        return float(node)
    return str(node) if isinstance(node, str) else node


def _problem(tree: Any, name: str, keys: Sequence[Any], fault: Any) -> FieldProblem:
    message = str(fault["msg"]).removeprefix("Value error, ")
    if fault["type"] == "missing":
        return _located(tree, name, keys, "this entry is missing; add it")
    if fault["type"] == "extra_forbidden":
        return _located(tree, name, keys, "no such entry; check the spelling or take it out")
    return _located(tree, name, keys, f"{message}; found {fault['input']!r}")


def _located(tree: Any, name: str, keys: Sequence[Any], detail: str) -> FieldProblem:
    line, path = _line_of(tree, keys), _path(keys)
    return FieldProblem(field=f"{name}:{line} {path}", detail=detail)


def _line_of(tree: Any, keys: Sequence[Any]) -> int:
    """The line on which the deepest part of the key path that exists begins, from one."""
    node, line = tree, 0
    for key in keys:
        try:
            line = node.lc.data[key][0]
            node = node[key]
        except (AttributeError, KeyError, IndexError, TypeError):
            break
    return line + 1


def _path(keys: Sequence[Any]) -> str:
    path = ""
    for key in keys:
        path += f"[{key}]" if isinstance(key, int) else f".{key}" if path else str(key)
    return path


def _keys(path: str) -> list[str | int]:
    parts = path.replace("]", "").replace("[", ".").split(".")
    return [int(part) if part.isdigit() else part for part in parts]
