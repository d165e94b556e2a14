"""What is in the picture, as frozen values [m]: x right, y up from the floor, z to the viewer."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from service.estimating import FloatKind, Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Ball:
    """One balloon of the estimate: its centre, sized diameter [m] and stock colour.

    `size_class` is nominal [in]; `piece` is its place in the brief, `copy` which of the piece's
    `count`, and `cluster` its place in the estimate's order along the line.
    """

    x: float
    y: float
    z: float
    diameter_m: float
    colour: str
    size_class: int
    piece: int
    copy: int
    cluster: int

    @property
    def centre(self) -> Point:
        """Its middle."""
        return Point(x=self.x, y=self.y, z=self.z)


class Material(StrEnum):
    """What a rod or panel is made of; the drawing gives it its shade."""

    METAL = "metal"
    WOOD = "wood"
    CORD = "cord"
    FABRIC = "fabric"
    CLOTH = "cloth"
    WALL = "wall"
    TRIM = "trim"
    CEILING = "ceiling"
    DARK = "dark"
    STONE = "stone"


@dataclass(frozen=True, kw_only=True, slots=True)
class Rod:
    """A tube, rail, cord or plank's edge along `points`, `thickness_m` across."""

    points: tuple[Point, ...]
    thickness_m: float
    material: Material

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing: the mean z."""
        return _mean_z(self.points)


@dataclass(frozen=True, kw_only=True, slots=True)
class Panel:
    """A filled polygon behind or under the garland; `hex` where it has a colour of its own."""

    corners: tuple[Point, ...]
    material: Material
    hex: str | None = None

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing: the mean z."""
        return _mean_z(self.corners)


class FoilSort(StrEnum):
    """What a foil shows."""

    DIGIT = "digit"
    LETTER = "letter"
    SHAPE = "shape"


@dataclass(frozen=True, kw_only=True, slots=True)
class Foil:
    """A foil, flat towards the viewer: `text` is its digit, letter or the shape's plain name."""

    sort: FoilSort
    text: str
    centre: Point
    width_m: float
    height_m: float
    hex: str

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing."""
        return self.centre.z


@dataclass(frozen=True, kw_only=True, slots=True)
class Bloom:
    """The flower on one stem."""

    centre: Point
    diameter_m: float
    hex: str

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing."""
        return self.centre.z


@dataclass(frozen=True, kw_only=True, slots=True)
class Sprig:
    """One twig of a stem of greenery, leaves along it from `start` to its tip at `end`."""

    start: Point
    end: Point
    hex: str

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing."""
        return max(self.start.z, self.end.z)


@dataclass(frozen=True, kw_only=True, slots=True)
class Streamer:
    """A ribbon that hangs down along `points`."""

    points: tuple[Point, ...]
    width_m: float
    hex: str

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing: the mean z."""
        return _mean_z(self.points)


@dataclass(frozen=True, kw_only=True, slots=True)
class Sign:
    """A flat sign; `words` is what it says, empty where the client has not said."""

    centre: Point
    width_m: float
    height_m: float
    words: str

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing."""
        return self.centre.z


@dataclass(frozen=True, kw_only=True, slots=True)
class Float:
    """A helium balloon on its ribbon, which is tied to a weight at `weight`.

    `diameter_m` is its width at its widest. It is not one of the estimate's air-filled balloons.
    """

    kind: FloatKind
    centre: Point
    diameter_m: float
    hex: str
    weight: Point

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing."""
        return self.centre.z


@dataclass(frozen=True, kw_only=True, slots=True)
class Person:
    """A plain figure for scale, its feet at `at`."""

    at: Point
    height_m: float

    @property
    def depth_m(self) -> float:
        """Where it comes in the order of drawing."""
        return self.at.z


class Direction(StrEnum):
    """What a dimension line measures."""

    WIDTH = "width"
    HEIGHT = "height"
    LENGTH = "length"
    DROP = "drop"


@dataclass(frozen=True, kw_only=True, slots=True)
class Measure:
    """A dimension line from `start` to `end`, and what it says [m], as the client gave it.

    It measures the bare `frame` where that is so: balloons reach beyond it.
    """

    direction: Direction
    start: Point
    end: Point
    metres: float
    frame: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """What of the plane z = 0 the picture shows [m]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width_m(self) -> float:
        """From left to right [m]."""
        return self.right - self.left

    @property
    def height_m(self) -> float:
        """From bottom to top [m]."""
        return self.top - self.bottom


@dataclass(frozen=True, kw_only=True, slots=True)
class Seen:
    """A point as the eye sees it: where its ray meets the plane z = 0 [m], and how much larger.

    A balloon of radius r is drawn with r * scale.
    """

    u: float
    v: float
    scale: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Scene:
    """The whole picture, in metres, on the floor y = 0; `outdoors` says where that is.

    `colours` are hex values of the balloons' colours by name. What has the lesser `depth_m` is
    drawn first. `ranked` where pieces stand in rows one behind the other. `window` holds all of it
    as `eye` sees it, dimension lines and person included.
    """

    balls: tuple[Ball, ...]
    rods: tuple[Rod, ...]
    panels: tuple[Panel, ...]
    foils: tuple[Foil, ...]
    blooms: tuple[Bloom, ...]
    sprigs: tuple[Sprig, ...]
    streamers: tuple[Streamer, ...]
    signs: tuple[Sign, ...]
    floats: tuple[Float, ...]
    person: Person
    measures: tuple[Measure, ...]
    colours: Mapping[str, str]
    outdoors: bool
    eye: Point
    window: Window
    ranked: bool = False

    def seen(self, point: Point) -> Seen:
        """`point` as the eye sees it; verticals stay upright, and what is nearer is larger."""
        return seen_from(self.eye, point)


def seen_from(eye: Point, point: Point) -> Seen:
    """`point` as `eye` sees it on the plane z = 0."""
    scale = eye.z / (eye.z - point.z)
    return Seen(
        u=eye.x + (point.x - eye.x) * scale, v=eye.y + (point.y - eye.y) * scale, scale=scale
    )


def _mean_z(points: tuple[Point, ...]) -> float:
    return sum(point.z for point in points) / len(points)
