"""The line that clusters are tied to, and the points where it is held."""

import math

from service.estimating.book import LineAndFixings


def line_length(garland_m: float, line: LineAndFixings) -> float:
    """Line for one piece [m]: its garland, what the knots take, and a tail at each end."""
    return garland_m * (1 + line.knots_share) + 2 * line.tail_m


def attachment_points(garland_m: float, line: LineAndFixings, *, closed: bool) -> int:
    """Points that hold the garland, no further apart than the book's spacing."""
    # A hair less, so that a length of exactly so many spacings is not given one more.
    gaps = math.ceil(garland_m / line.spacing_m - 1e-9)
    return max(2, gaps if closed else gaps + 1)
