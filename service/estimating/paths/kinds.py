"""What a support is to the estimator: its measures, its path and how it stands."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from service.estimating.paths.curves import Path

MEASURES = ("width_m", "height_m", "length_m", "sag_m", "rise_m", "run_m", "drop_m", "steps")
"""What supports are measured by: metres, and a whole number of steps."""

Measures = Mapping[str, float]


class Shape(StrEnum):
    """The curve of a freestanding arch."""

    CATENARY = "catenary"
    SEMI_ELLIPSE = "semi_ellipse"


@dataclass(frozen=True, kw_only=True, slots=True)
class Form:
    """One way to measure a support: these measures, this path, by this formula.

    One that is not `asked_for` is taken where its measures are given; nobody is told to give them.
    """

    measures: tuple[str, ...]
    formula: str
    path: Callable[..., Path]
    asked_for: bool = True

    def filled_by(self, given: Measures) -> bool:
        """Whether every measure it needs is given."""
        return all(name in given for name in self.measures)


@dataclass(frozen=True, kw_only=True, slots=True)
class Kind:
    """What the estimator knows of a support.

    `forms` are tried in order; the first whose measures are all there is taken, so a fuller form
    stands before the shorter one that it contains. `stands` says that wind can tip it over,
    `owned` that it is hardware which the shop has or hires, `across_way_out` that people leave
    through it, `quads` that it is built of quads unless the client says otherwise. `fits` finds
    the fault of measures that are sound one by one but not together.
    """

    forms: tuple[Form, ...]
    stands: bool = False
    owned: bool = False
    across_way_out: bool = False
    quads: bool = False
    shapes: Mapping[Shape, Form] | None = None
    fits: Callable[[Measures], tuple[str, str] | None] | None = None

    def missing(self, given: Measures) -> tuple[str, ...]:
        """The measures still needed, by the form that asks for the fewest more."""
        if any(form.filled_by(given) for form in self.forms):
            return ()
        asked = [form for form in reversed(self.forms) if form.asked_for]
        gaps = (tuple(name for name in form.measures if name not in given) for form in asked)
        return min(gaps, key=len)

    def misfits(self, given: Measures) -> Iterator[tuple[str, str]]:
        """Faults of measures that are sound one by one but not together."""
        fault = self.fits(given) if self.fits else None
        if fault:
            yield fault

    def form(self, given: Measures, shape: Shape) -> Form:
        """The form that the given measures fill."""
        if self.shapes:
            return self.shapes[shape]
        return next(form for form in self.forms if form.filled_by(given))

    def path(self, given: Measures, shape: Shape) -> Path:
        """The path for these measures [m]; `shape` matters to arches only."""
        form = self.form(given, shape)
        return form.path(**{name: given[name] for name in form.measures})


WIDE_HIGH = ("width_m", "height_m")
"""How whatever stands round an opening is measured."""
