"""The supports, and for each its measures and its path.

To add a support: write its path in a file of this room, name it in `Support`, add one `Kind` to
`_KINDS`. Nothing else in the core asks which support it is dealing with by name, except that a
column is built of quads and an arch has a shape.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from service.estimating.paths import arcs, catenary, frames, straight
from service.estimating.paths.curves import Path

MEASURES = ("width_m", "height_m", "length_m", "sag_m", "rise_m", "run_m")

Measures = Mapping[str, float]


class Support(StrEnum):
    """What carries the balloons."""

    ROUND_TOP_FRAME = "round_top_frame"
    SQUARE_FRAME = "square_frame"
    HOOP = "hoop"
    WALL = "wall"
    DOORWAY = "doorway"
    STAIRCASE = "staircase"
    MANTEL = "mantel"
    TABLE = "table"
    CEILING = "ceiling"
    FREESTANDING_ARCH = "freestanding_arch"
    SWAG = "swag"
    COLUMN = "column"

    @property
    def words(self) -> str:
        """The name as people say it."""
        return self.value.replace("_", " ")


class Shape(StrEnum):
    """The curve of a freestanding arch."""

    CATENARY = "catenary"
    SEMI_ELLIPSE = "semi_ellipse"


@dataclass(frozen=True, kw_only=True, slots=True)
class Form:
    """One way to measure a support: these measures, this path, by this formula."""

    measures: tuple[str, ...]
    formula: str
    path: Callable[..., Path]


@dataclass(frozen=True, kw_only=True, slots=True)
class Kind:
    """What the estimator knows of a support.

    `forms` are tried in order; the first whose measures are all there is taken, so a fuller form
    stands before the shorter one that it contains. `stands` says that wind can tip it over.
    """

    forms: tuple[Form, ...]
    stands: bool = False
    owned: bool = False
    across_way_out: bool = False
    shapes: Mapping[Shape, Form] | None = None
    fits: Callable[[Measures], tuple[str, str] | None] | None = None

    def missing(self, given: Measures) -> tuple[str, ...]:
        """The measures still needed, by the form that asks for the fewest more."""
        gaps = [tuple(m for m in form.measures if m not in given) for form in self.forms]
        return min(reversed(gaps), key=len)

    def misfits(self, given: Measures) -> Iterator[tuple[str, str]]:
        """Faults of measures that are sound one by one but not together."""
        fault = self.fits(given) if self.fits else None
        if fault:
            yield fault

    def form(self, given: Measures, shape: Shape) -> Form:
        """The form that the given measures fill."""
        if self.shapes:
            return self.shapes[shape]
        return next(f for f in self.forms if all(m in given for m in f.measures))

    def path(self, given: Measures, shape: Shape) -> Path:
        """The path for these measures [m]; `shape` matters to arches only."""
        form = self.form(given, shape)
        return form.path(**{name: given[name] for name in form.measures})


def _taller_than_its_top(given: Measures) -> tuple[str, str] | None:
    radius = given["width_m"] / 2
    # A rounding of feet to metres must not refuse a half circle.
    if given["height_m"] >= radius * 0.999:
        return None
    return (
        "height_m",
        f"a round top {given['width_m']:g} m wide is {radius:g} m high by itself;"
        " give at least that height",
    )


_WIDE_HIGH = ("width_m", "height_m")
_ARCHES = {
    Shape.CATENARY: Form(
        measures=_WIDE_HIGH, path=catenary.arch, formula="2a sinh(w/2a), h = a(cosh(w/2a) - 1)"
    ),
    Shape.SEMI_ELLIPSE: Form(
        measures=_WIDE_HIGH, path=arcs.semi_ellipse, formula="2a E(m), m = 1 - b²/a²"
    ),
}

_KINDS: Mapping[Support, Kind] = {
    Support.ROUND_TOP_FRAME: Kind(
        forms=(
            Form(measures=_WIDE_HIGH, path=frames.round_top_frame, formula="2(h - w/2) + πw/2"),
        ),
        stands=True,
        owned=True,
        fits=_taller_than_its_top,
    ),
    Support.SQUARE_FRAME: Kind(
        forms=(Form(measures=_WIDE_HIGH, path=frames.square_frame, formula="2h + w"),),
        stands=True,
        owned=True,
    ),
    Support.HOOP: Kind(
        forms=(Form(measures=("width_m",), path=frames.hoop, formula="πw"),),
        stands=True,
        owned=True,
    ),
    Support.WALL: Kind(
        forms=(
            Form(measures=("length_m",), path=straight.wall_run, formula="length"),
            Form(
                measures=_WIDE_HIGH,
                path=straight.wall_corner,
                formula="w + h: up one side and across",
            ),
        )
    ),
    Support.DOORWAY: Kind(
        forms=(Form(measures=_WIDE_HIGH, path=frames.square_frame, formula="2h + w"),),
        across_way_out=True,
    ),
    Support.STAIRCASE: Kind(
        forms=(
            Form(measures=("rise_m", "run_m"), path=straight.staircase, formula="√(rise² + run²)"),
        ),
        across_way_out=True,
    ),
    Support.MANTEL: Kind(
        forms=(Form(measures=("length_m",), path=straight.mantel, formula="length"),)
    ),
    Support.TABLE: Kind(
        forms=(Form(measures=("length_m",), path=straight.table, formula="length"),)
    ),
    Support.CEILING: Kind(
        forms=(
            Form(
                measures=("length_m", "width_m"),
                path=straight.ceiling_area,
                formula="rows × length, rows about 0.6 m apart",
            ),
            Form(measures=("length_m",), path=straight.ceiling_run, formula="length"),
        )
    ),
    Support.FREESTANDING_ARCH: Kind(
        forms=(_ARCHES[Shape.CATENARY],), stands=True, owned=True, shapes=_ARCHES
    ),
    Support.SWAG: Kind(
        forms=(
            Form(
                measures=("width_m", "sag_m"),
                path=catenary.swag,
                formula="2a sinh(w/2a), sag = a(cosh(w/2a) - 1)",
            ),
        )
    ),
    Support.COLUMN: Kind(
        forms=(Form(measures=("height_m",), path=straight.column, formula="h"),),
        stands=True,
        owned=True,
    ),
}


def kind_of(support: Support) -> Kind:
    """What is known of `support`."""
    return _KINDS[support]
