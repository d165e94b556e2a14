"""Length and position along each support; one file per family, one registry."""

from service.estimating.paths.curves import Path, Point
from service.estimating.paths.registry import (
    MEASURES,
    Kind,
    Measures,
    Shape,
    Support,
    kind_of,
)

__all__ = ["MEASURES", "Kind", "Measures", "Path", "Point", "Shape", "Support", "kind_of"]
