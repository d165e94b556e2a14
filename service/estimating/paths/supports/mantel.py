"""Along a mantel, hanging down at its ends where a drop is given."""

from service.estimating.paths.ledges import ledge

HEIGHT_M = 1.4
"""Common practice, no source: 54 in."""

KIND = ledge("mantel", height_m=HEIGHT_M)
