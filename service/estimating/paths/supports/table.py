"""Along the front of a table, hanging down at its ends where a drop is given."""

from service.estimating.paths.ledges import ledge

HEIGHT_M = 0.76
"""Common practice, no source: 30 in."""

KIND = ledge("table", height_m=HEIGHT_M)
