"""Briefs that pictures are made of, and what the tests of several files ask of a scene."""

import datetime as dt
from typing import Any

import numpy as np

from service.estimating import (
    Brief,
    ColourShare,
    Estimate,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.workshop.scene.grown import Grown, grown

TODAY = dt.date(2027, 1, 10)
PALETTE = tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold"))

MEASURES: dict[Support, dict[str, Any]] = {
    Support.ROUND_TOP_FRAME: {"width_m": 1.2192, "height_m": 2.1336},
    Support.SQUARE_FRAME: {"width_m": 1.5, "height_m": 2.1},
    Support.HOOP: {"width_m": 1.83},
    Support.WALL: {"width_m": 3.0, "height_m": 2.4},
    Support.DOORWAY: {"width_m": 0.9, "height_m": 2.1},
    Support.STAIRCASE: {"rise_m": 1.2, "run_m": 1.6},
    Support.MANTEL: {"length_m": 1.5, "drop_m": 0.4},
    Support.TABLE: {"length_m": 1.8},
    Support.CEILING: {"length_m": 2.0, "width_m": 1.2},
    Support.FREESTANDING_ARCH: {"width_m": 2.0, "height_m": 2.2},
    Support.SWAG: {"width_m": 2.4, "sag_m": 0.5},
    Support.COLUMN: {"height_m": 1.83},
}
"""One piece on every support, of a size that is usual or a little less."""


def piece_on(support: Support, **other: Any) -> Piece:
    return Piece(support=support, **{**MEASURES[support], **other})


FRAME = piece_on(Support.ROUND_TOP_FRAME)


def brief_of(*pieces: Piece, outdoors: bool = False, **other: Any) -> Brief:
    setting = Setting.OUTDOOR if outdoors else Setting.INDOOR
    return Brief(pieces=pieces, site=Site(setting=setting), **{"palette": PALETTE, **other})


def estimate_of(brief: Brief, book: PriceBook) -> Estimate:
    return estimate(brief, book, today=TODAY)


def grown_of(piece: Piece, book: PriceBook, *, seed: int = 1) -> Grown:
    """One such piece indoors, as the picture grows it."""
    brief = brief_of(piece)
    (counted,) = estimate_of(brief, book).pieces
    dice = np.random.Generator(np.random.PCG64([seed, 0]))
    return grown(piece, counted, book, outdoors=False, dice=dice)
