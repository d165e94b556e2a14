"""Length and position along each support; one file per support, one register of them."""

from service.estimating.paths.curves import Path, Point
from service.estimating.paths.kinds import MEASURES, Form, Kind, Measures, Shape
from service.estimating.paths.placement import Placement, Run, runs, usual_coverage
from service.estimating.paths.registry import Support, kind_of
from service.estimating.paths.supports.staircase import FEWEST_STEPS, MOST_STEPS

__all__ = [
    "FEWEST_STEPS",
    "MEASURES",
    "MOST_STEPS",
    "Form",
    "Kind",
    "Measures",
    "Path",
    "Placement",
    "Point",
    "Run",
    "Shape",
    "Support",
    "kind_of",
    "runs",
    "usual_coverage",
]
