"""Flowers, greenery, ribbon, signs and covers on a piece, where the fittings put them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from service.estimating import SIGN_HANGS_UNDER, Accent, AccentKind, Piece, Point, PriceBook
from service.workshop.scene.grown import Grown
from service.workshop.scene.hues import named_hue
from service.workshop.scene.stands.stand import sampled, upright
from service.workshop.scene.values import (
    Bloom,
    Foil,
    Material,
    Panel,
    Rod,
    Sign,
    Sprig,
    Streamer,
)

if TYPE_CHECKING:
    from numpy.random import Generator

Dressing = Bloom | Sprig | Streamer | Sign | Rod | Panel

_BLOOM_M = 0.17
_TWIG_M = 0.32
_FAN = (-0.45, 0.0, 0.4)
"""A stem of greenery is three twigs, fanned out by these angles [rad]."""
_RIBBON_M, _RIBBON_WIDE_M = 0.9, 0.025
_SIGN_M = (0.62, 0.36)
_BEFORE_M = 0.02
_BELOW_M = 0.12
_UPRIGHT = 0.7
_HUES = {
    AccentKind.FLOWERS: "#F7EFE6",
    AccentKind.GREENERY: "#7C9070",
    AccentKind.FABRIC_COVER: "#EFE6D6",
}


MOST_DRAWN = 1500
"""Stems, streamers and boards in one picture: more are a thicket in which nobody counts, and take
seconds to draw. What is bought and fixed goes by the estimate. No source."""


def share_drawn(pieces: Sequence[Piece], book: PriceBook) -> float:
    """How many of the accents that are spread along garlands are drawn, as a share of all."""
    rates = book.fittings.accents
    asked = sum(
        piece.count * (each.count or rates[each.kind].usual)
        for piece in pieces
        for each in piece.accents
    )
    return min(1.0, MOST_DRAWN / asked) if asked else 1.0


def accents_on(
    grown: Grown,
    foils: Sequence[Foil],
    cover: str,
    book: PriceBook,
    dice: Generator,
    *,
    share: float,
) -> Iterator[Dressing]:
    """The accents of one such piece, in its path's coordinates; `share` of those along it.

    `cover` is what the fittings call its fabric cover. Kinds that share a garland take turns
    along it, as the fittings say.
    """
    dresser = _Dresser(grown=grown, foils=foils, book=book, dice=dice)
    rates = book.fittings.accents
    asked = [
        (each, number)
        for each in grown.piece.accents
        if (number := each.count or rates[each.kind].usual)
    ]
    along = sum(not _in_one_place(each, number) for each, number in asked)
    turn = 0
    for each, number in asked:
        if each.kind is AccentKind.FABRIC_COVER:
            yield from dresser.cover(named_hue(each.words, book) or named_hue(cover, book))
        elif _in_one_place(each, number):
            yield from dresser.sign(each.words or "")
        else:
            turn += 1
            yield from dresser.spread(each, round(number * share), turn / (along + 1))


def _in_one_place(accent: Accent, number: int) -> bool:
    one_sign = accent.kind is AccentKind.SIGN and number == 1
    return one_sign or accent.kind is AccentKind.FABRIC_COVER


@dataclass(frozen=True, kw_only=True, slots=True)
class _Dresser:
    """A piece, its foils, and what else accents go by."""

    grown: Grown
    foils: Sequence[Foil]
    book: PriceBook
    dice: Generator

    def spread(self, accent: Accent, number: int, shift: float) -> Iterator[Dressing]:
        """So many along the garland; `shift` is where each sits in its own part of it."""
        hex_value = named_hue(accent.words, self.book) or _HUES.get(accent.kind)
        for index in range(number):
            at = self.grown.length_m / number * (index + shift)
            side = 1 if index % 2 else -1
            if accent.kind is AccentKind.FLOWERS:
                yield self._bloom(at, side, hex_value or "")
            elif accent.kind is AccentKind.GREENERY:
                yield from self._stem(at, side, hex_value or "")
            elif accent.kind is AccentKind.RIBBON:
                yield self._streamer(at, hex_value or self._usual_ribbon())
            else:
                yield self._board(self._line_at(at), accent.words or "")

    def sign(self, words: str) -> Iterator[Dressing]:
        """One sign: hung in the opening or under the garland, else on it, under the foils."""
        middle, (_, height) = self.grown.middle(), _SIGN_M
        stand = self.grown.stand
        if stand.hollow or self.grown.piece.support in SIGN_HANGS_UNDER:
            across = [point.x for point in sampled(self.grown.path)]
            x = (min(across) + max(across)) / 2 if stand.hollow else middle.x
            top = self.grown.path.top_m if stand.hollow else middle.y
            low = top - self.grown.girth_m / 2
            under = self._under_foils(x)
            upper = min(low, low if under is None else under) - _BELOW_M
            board = self._board(Point(x=x, y=upper - height / 2, z=0.0), words)
            yield from self._cords(top, board)
            yield board
            return
        under = self._under_foils(middle.x)
        y = middle.y if under is None else under - height / 2 - _BEFORE_M
        floor = -stand.lift_m + height / 2
        yield self._board(Point(x=middle.x, y=max(y, floor), z=middle.z), words)

    def _under_foils(self, x: float) -> float | None:
        """How low the foils come that are above a sign in the middle of `x`."""
        wide, _ = _SIGN_M
        return min(
            (
                foil.centre.y - foil.height_m / 2
                for foil in self.foils
                if abs(foil.centre.x - x) < (foil.width_m + wide) / 2
            ),
            default=None,
        )

    def cover(self, hex_value: str | None) -> Iterator[Dressing]:
        """Fabric over the frame; where there is none, hung behind the garland to the floor."""
        yield Panel(
            corners=self.grown.stand.cover or self._backdrop(),
            material=Material.FABRIC,
            hex=hex_value or _HUES[AccentKind.FABRIC_COVER],
        )

    def _backdrop(self) -> tuple[Point, ...]:
        stand, beside = self.grown.stand, self.grown.girth_m * 0.75
        across = [float(x) for line in self.grown.lines for x in line.corners[:, 0]]
        wall = stand.backs_on_m
        z = self.grown.deepest_m if wall is None else wall + _BEFORE_M
        top = self.grown.path.top_m
        return upright(min(across) - beside, -stand.lift_m, max(across) + beside, top, z)

    def _bloom(self, at_m: float, side: int, hex_value: str) -> Bloom:
        angle = side * self.dice.uniform(0.2, 0.9)
        x, y, _ = self.grown.along(at_m).round(angle, self.grown.girth_m * 0.4)
        size = _BLOOM_M * self.dice.uniform(0.8, 1.15)
        return Bloom(centre=self._before(float(x), float(y)), diameter_m=float(size), hex=hex_value)

    def _stem(self, at_m: float, side: int, hex_value: str) -> Iterator[Sprig]:
        """From between the balloons outward, so that its tips show beyond the edge."""
        tie, half = self.grown.along(at_m), self.grown.girth_m / 2
        angle = side * self.dice.uniform(0.7, 1.35)
        x, y, _ = tie.round(angle, half * 0.6)
        start = self._between(float(x), float(y))
        low = -self.grown.stand.lift_m + 0.03
        for turn in _FAN:
            bearing = angle + turn * self.dice.uniform(0.7, 1.2)
            length = _TWIG_M * self.dice.uniform(0.75, 1.05)
            slant = length * (0.6 * turn + self.dice.uniform(-0.1, 0.1))
            far = tie.round(bearing, half * 0.6 + length, slant)
            end = Point(x=float(far[0]), y=max(float(far[1]), low), z=start.z)
            yield Sprig(start=start, end=end, hex=hex_value)

    def _streamer(self, at_m: float, hex_value: str) -> Streamer:
        tie = self.grown.along(at_m)
        # What hangs down along a garland that stands has to hang before it, here and there.
        stands = abs(float(tie.forward[1])) > _UPRIGHT
        aside = tie.round(self.dice.uniform(-0.8, 0.8), self.grown.girth_m * 0.35)
        x, y = (float(value) for value in (aside if stands else tie.at)[:2])
        start = self._before(x, y) if stands else self._between(x, y)
        floor = -self.grown.stand.lift_m + 0.03
        length = min(_RIBBON_M * self.dice.uniform(0.75, 1.1), max(start.y - floor, 0.1))
        phase = self.dice.uniform(0, math.tau)
        points = tuple(
            Point(
                x=start.x + 0.03 * part * math.sin(phase + 5 * part),
                y=start.y - length * part,
                z=start.z,
            )
            for part in (i / 8 for i in range(9))
        )
        return Streamer(points=points, width_m=_RIBBON_WIDE_M, hex=hex_value)

    def _usual_ribbon(self) -> str:
        known = self.book.colour(self.grown.spots[-1].colour) if self.grown.spots else None
        return known.hex if known else _HUES[AccentKind.FABRIC_COVER]

    def _board(self, at: Point, words: str) -> Sign:
        wide, high = _SIGN_M
        left, low = at.x - wide / 2, at.y - high / 2
        z = self.grown.front(left, low, left + wide, low + high) + _BEFORE_M
        return Sign(centre=Point(x=at.x, y=at.y, z=z), width_m=wide, height_m=high, words=words)

    def _cords(self, above_m: float, board: Sign) -> Iterator[Rod]:
        for side in (-0.4, 0.4):
            x, z = board.centre.x + side * board.width_m, board.centre.z - 0.01
            ends = (Point(x=x, y=above_m, z=0.0), Point(x=x, y=board.centre.y, z=z))
            yield Rod(points=ends, thickness_m=0.006, material=Material.CORD)

    def _line_at(self, at_m: float) -> Point:
        x, y, z = (float(value) for value in self.grown.along(at_m).at)
        return Point(x=x, y=y, z=z)

    def _between(self, x: float, y: float) -> Point:
        return Point(x=x, y=y, z=self.grown.tucked(x, y))

    def _before(self, x: float, y: float) -> Point:
        half = _BLOOM_M / 4
        z = self.grown.front(x - half, y - half, x + half, y + half) + _BEFORE_M
        return Point(x=x, y=y, z=z)
