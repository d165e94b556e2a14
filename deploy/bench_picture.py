"""How soon a picture is there, part by part, beside what Pillow takes to encode those pixels alone.

`python -m deploy.bench_picture` draws the gallery's twenty over and over and prints medians and
95th percentiles. Nothing is asserted.
"""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from io import BytesIO
from typing import TypeVar

from deploy import gallery
from service.estimating import Estimate, PriceBook
from service.leads.words import ENGLISH
from service.rendering import picture
from service.rendering.picture.drawing import draw

_T = TypeVar("_T")

ROUNDS = 15
_PARTS = ("scene", "drawing", "encoding")


@dataclass(kw_only=True)
class _Taken:
    """Milliseconds of every round, by part."""

    name: str
    balloons: int
    parts: dict[str, list[float]] = field(default_factory=lambda: {part: [] for part in _PARTS})

    @property
    def whole(self) -> list[float]:
        """Scene, drawing and PNG of each round together."""
        return [sum(each) for each in zip(*self.parts.values(), strict=True)]


def main() -> None:
    """The gallery's cases in turn, round by round; the first round is for the caches."""
    book = gallery.demo_book()
    found = [gallery.estimated(case, book) for case in gallery.CASES]
    taken = [
        _Taken(name=case.name, balloons=sum(b.count for p in est.pieces for b in p.balloons))
        for case, est in zip(gallery.CASES, found, strict=True)
    ]
    for turn in range(ROUNDS + 1):
        for case, est, row in zip(gallery.CASES, found, taken, strict=True):
            for part, milliseconds in _round(case, est, book).items():
                if turn:
                    row.parts[part].append(milliseconds)
    _print(taken)


def _round(case: gallery.Case, found: Estimate, book: PriceBook) -> dict[str, float]:
    width, height = picture.WIDTH, picture.height_of(picture.WIDTH)
    scene, placing = _timed(lambda: gallery.scene(case, found, book))
    sheet, drawing = _timed(lambda: draw(scene, ENGLISH, width=width, height=height))
    _, encoding = _timed(lambda: sheet.save(BytesIO(), "PNG", compress_level=1))
    return dict(zip(_PARTS, (placing, drawing, encoding), strict=True))


def _timed(act: Callable[[], _T]) -> tuple[_T, float]:
    began = time.perf_counter()
    result = act()
    return result, 1000 * (time.perf_counter() - began)


def _print(taken: list[_Taken]) -> None:
    size = f"{picture.WIDTH} x {picture.height_of(picture.WIDTH)} px"
    print(f"pictures, {size}, PNG; ms, median (p95) of {ROUNDS}:")
    heads = "".join(f"{part:>15}" for part in (*_PARTS, "all"))
    print(f"  {'':52} balloons{heads}   all to encoding alone")
    for row in taken:
        told = "".join(f"{_both(each):>15}" for each in (*row.parts.values(), row.whole))
        ratio = statistics.median(row.whole) / statistics.median(row.parts["encoding"])
        print(f"  {row.name:52} {row.balloons:8}{told}   {ratio:.1f}")
    every = [each for row in taken for each in row.whole]
    large = [each for row in taken if row.balloons >= 250 for each in row.whole]
    print(f"  all twenty: {_both(every)} ms; of 250 balloons and more: {_both(large)} ms")


def _both(milliseconds: list[float]) -> str:
    high = statistics.quantiles(milliseconds, n=20)[-1]
    return f"{statistics.median(milliseconds):.0f} ({high:.0f})"


if __name__ == "__main__":
    main()
