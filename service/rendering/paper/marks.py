"""What stands on a page, each at its place: texts, lines, shapes, pictures. In mm, y down."""

from dataclasses import dataclass, replace
from enum import Enum
from typing import Self, TypeAlias

from service.rendering.paper.typefaces import POINT_MM, width_of

INK = "#25302b"
GREY = "#5b6660"
LINE = "#c9cfc9"
SHADE = "#f3f5f1"
ACCENT = "#2f6b55"


class Align(Enum):
    """Where a text or a picture stands in its room; of a mark, which end its x is."""

    LEFT = 0.0
    CENTRE = 0.5
    RIGHT = 1.0


@dataclass(frozen=True, slots=True)
class Text:
    """One line; `y` is its baseline, `anchor` which end of it is at `x`, `size` in points."""

    x: float
    y: float
    text: str
    size: float = 10.0
    bold: bool = False
    colour: str = INK
    anchor: Align = Align.LEFT

    @property
    def left(self) -> float:
        """Where it begins."""
        return self.x - self.anchor.value * self.width

    @property
    def width(self) -> float:
        """How wide it is."""
        return width_of(self.text, size=self.size, bold=self.bold)

    @property
    def extent(self) -> tuple[float, float]:
        """Its top and bottom."""
        return self.y - self.size * POINT_MM * 0.8, self.y + self.size * POINT_MM * 0.22

    def placed(self, dx: float, dy: float, scale: float = 1.0) -> "Text":
        """The same made `scale` as large, then moved."""
        x, y = self.x * scale + dx, self.y * scale + dy
        return replace(self, x=x, y=y, size=self.size * scale)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line; `dashed` for what is only meant."""

    x1: float
    y1: float
    x2: float
    y2: float
    colour: str = INK
    thickness: float = 0.25
    dashed: bool = False

    @property
    def extent(self) -> tuple[float, float]:
        """Its top and bottom."""
        return min(self.y1, self.y2), max(self.y1, self.y2)

    def placed(self, dx: float, dy: float, scale: float = 1.0) -> "Line":
        """The same made `scale` as large, then moved."""
        return replace(
            self,
            x1=self.x1 * scale + dx,
            y1=self.y1 * scale + dy,
            x2=self.x2 * scale + dx,
            y2=self.y2 * scale + dy,
        )


@dataclass(frozen=True, slots=True)
class _Boxed:
    """What fills a rectangle, given by its top left."""

    x: float
    y: float
    width: float
    height: float

    @property
    def extent(self) -> tuple[float, float]:
        """Its top and bottom."""
        return self.y, self.y + self.height

    def placed(self, dx: float, dy: float, scale: float = 1.0) -> Self:
        """The same made `scale` as large, then moved."""
        return replace(
            self,
            x=self.x * scale + dx,
            y=self.y * scale + dy,
            width=self.width * scale,
            height=self.height * scale,
        )


@dataclass(frozen=True, slots=True)
class Rectangle(_Boxed):
    """A rectangle; without colour there is no edge, without fill no inside."""

    colour: str | None = INK
    fill: str | None = None
    thickness: float = 0.25
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle by its middle."""

    x: float
    y: float
    radius: float
    colour: str | None = INK
    fill: str | None = None
    thickness: float = 0.25

    @property
    def extent(self) -> tuple[float, float]:
        """Its top and bottom."""
        return self.y - self.radius, self.y + self.radius

    def placed(self, dx: float, dy: float, scale: float = 1.0) -> "Circle":
        """The same made `scale` as large, then moved."""
        x, y = self.x * scale + dx, self.y * scale + dy
        return replace(self, x=x, y=y, radius=self.radius * scale)


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed shape, or an open line where `closed` is not so."""

    points: tuple[tuple[float, float], ...]
    colour: str | None = INK
    fill: str | None = None
    thickness: float = 0.25
    closed: bool = True

    @property
    def extent(self) -> tuple[float, float]:
        """Its top and bottom."""
        return min(y for _, y in self.points), max(y for _, y in self.points)

    def placed(self, dx: float, dy: float, scale: float = 1.0) -> "Polygon":
        """The same made `scale` as large, then moved."""
        points = tuple((x * scale + dx, y * scale + dy) for x, y in self.points)
        return replace(self, points=points)


@dataclass(frozen=True, slots=True)
class Raster(_Boxed):
    """A picture (JPEG, PNG), and what to say where it is not seen."""

    data: bytes
    alt: str


@dataclass(frozen=True, slots=True)
class Link(_Boxed):
    """Where a click leads to an address."""

    url: str


Mark: TypeAlias = Text | Line | Rectangle | Circle | Polygon | Raster | Link
