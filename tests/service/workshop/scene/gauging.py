"""How well a piece's balloons lie."""

from dataclasses import dataclass

import numpy as np

from service.workshop.scene.grown import Grown
from service.workshop.scene.relaxing import near_pairs, pressing


@dataclass(frozen=True, kw_only=True, slots=True)
class Gauge:
    """Overlaps as shares of the smaller diameter, and how closely the garland keeps to its line.

    `within` is the worst of any two balloons of one cluster, `between` of any two at all. A
    balloon's reach is how far from the line its far side is, as a share of half the girth:
    `usual_reach` is the median, `far_reach` what nine in ten keep within. `lowest_m` is the
    lowest point above the floor, and `gap` the widest between a balloon and its nearest.
    """

    balloons: int
    within: float
    between: float
    usual_reach: float
    far_reach: float
    lowest_m: float
    gap: float


def gauge(piece: Grown) -> Gauge:
    """The figures of one such piece."""
    at = np.array([(spot.x, spot.y, spot.z) for spot in piece.spots])
    radii = np.array([piece.sized[spot.size_class] / 2 for spot in piece.spots])
    clusters = np.array([spot.cluster for spot in piece.spots])
    first, second = near_pairs(at, radii, 0.5)
    overlap = pressing(at, radii, (first, second))
    nearest = np.full(len(at), -np.inf)
    for side in (first, second):
        np.maximum.at(nearest, side, overlap)
    line = np.concatenate([line.corners for line in piece.lines])
    away = np.array([np.linalg.norm(line - centre, axis=1).min() for centre in at])
    reach = (away + radii) / (piece.girth_m / 2)
    return Gauge(
        balloons=len(at),
        within=float(overlap[clusters[first] == clusters[second]].max(initial=0.0)),
        between=float(overlap.max(initial=0.0)),
        usual_reach=float(np.median(reach)),
        far_reach=float(np.percentile(reach, 90)),
        lowest_m=float((at[:, 1] - radii).min()) + piece.stand.lift_m,
        gap=float(-nearest.min()),
    )
