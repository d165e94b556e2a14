"""How a piece's colours are spread over its clusters, in order along the line.

Whole clusters and whole balloons go in, and whole balloons of each colour in every cluster come
out, so that each can be tied; of no size class and colour is there one balloon more or fewer.
It knows no kind of cluster by name, and no colour: inside, a colour is its place in the palette.
"""

from service.estimating.colouring.arranging import (
    Arrangement,
    ArrangementError,
    ClusterType,
    Run,
    arrange,
    fillers,
)
from service.estimating.colouring.patterns import Pattern

__all__ = ["Arrangement", "ArrangementError", "ClusterType", "Pattern", "Run", "arrange", "fillers"]
