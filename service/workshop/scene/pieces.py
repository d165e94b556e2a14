"""Every piece of a brief as it comes out: its balloons and what dresses them."""

from __future__ import annotations

from collections.abc import Iterator

from service.estimating import Brief, Estimate, Piece, PriceBook, Setting
from service.workshop.scene.accents import accents_on, share_drawn
from service.workshop.scene.foiling import foils_on
from service.workshop.scene.grown import grown, quads
from service.workshop.scene.hues import metal_hue
from service.workshop.scene.showing import Shown

_WAYS = 4
"""Of organic garlands no two are alike: so many copies of a piece each come out their own way."""

_MOST_MEASURED = 6


def shown(
    brief: Brief, estimate: Estimate, book: PriceBook, *, seed: int
) -> Iterator[tuple[Shown, ...]]:
    """Every piece in as many ways as its copies take turns in; foils are on the first copy."""
    measured = _measured(brief)
    for index, piece in enumerate(brief.pieces):
        yield tuple(
            _one(brief, estimate, book, (seed, index, copy), measured=index in measured)
            for copy in range(1 if quads(piece) else min(piece.count, _WAYS))
        )


def _one(
    brief: Brief,
    estimate: Estimate,
    book: PriceBook,
    seeds: tuple[int, int, int],
    *,
    measured: bool,
) -> Shown:
    import numpy as np

    _, index, copy = seeds
    counted = estimate.pieces[index]
    dice = np.random.Generator(np.random.PCG64(seeds if copy else seeds[:2]))
    outdoors = brief.site.setting is Setting.OUTDOOR
    each = grown(brief.pieces[index], counted, book, outdoors=outdoors, dice=dice)
    foils = []
    fitted = next((one for one in estimate.fittings if one.code == "foils"), None)
    if fitted and copy == 0 and index == fitted.piece:
        metal = metal_hue((balloon.colour for balloon in counted.balloons), book)
        foils = [
            *foils_on(each, brief.foils, next(iter(fitted.at_m), each.length_m / 2), book, metal)
        ]
    share = share_drawn(brief.pieces, book)
    accents = accents_on(each, foils, _cover_of(index, estimate), book, dice, share=share)
    return Shown(grown=each, dressing=(*foils, *accents), measured=measured)


def _cover_of(index: int, estimate: Estimate) -> str:
    """What the fittings call the fabric cover of a piece."""
    covers = (each for each in estimate.fittings if each.code == "covers")
    return " ".join(each.label for each in covers if each.piece == index)


def _measured(brief: Brief) -> frozenset[int]:
    """The pieces that have dimension lines: one of each size, and none where those are many."""
    first: dict[tuple[object, ...], int] = {}
    for index, piece in enumerate(brief.pieces):
        first.setdefault(_size_of(piece), index)
    return frozenset(first.values()) if len(first) <= _MOST_MEASURED else frozenset()


def _size_of(piece: Piece) -> tuple[object, ...]:
    return (
        piece.support,
        piece.width_m,
        piece.height_m,
        piece.length_m,
        piece.rise_m,
        piece.run_m,
        piece.sag_m,
        piece.drop_m,
    )
