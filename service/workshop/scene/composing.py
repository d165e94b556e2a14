"""The whole picture, put together: pieces side by side, a person beside them, dimensions."""

import hashlib
import math
from itertools import count as counting

from service.estimating import Brief, Estimate, Point, PriceBook, Setting, laid, sized_diameters
from service.workshop.scene.values import (
    Ball,
    Direction,
    Material,
    Measure,
    Person,
    Rod,
    Scene,
    Window,
)


def seed_of(quote_id: str) -> int:
    """A seed that is the same for the same quote for ever."""
    return int.from_bytes(hashlib.sha256(quote_id.encode()).digest()[:8], "big")


def scene_of(brief: Brief, estimate: Estimate, book: PriceBook, *, seed: int) -> Scene:
    """The garland of `estimate` in its place; the same seed gives the same scene, bit for bit."""
    import numpy as np

    outdoors = brief.site.setting is Setting.OUTDOOR
    balls, rods, measures = [], [], []
    x0 = 0.0
    for index, (piece, made) in enumerate(zip(brief.pieces, estimate.pieces, strict=True)):
        dice = np.random.Generator(np.random.PCG64(seed + index))
        sized = sized_diameters(piece, book, outdoors=outdoors)
        path = piece.path
        line = [path.at(path.length_m * i / 60) for i in range(61)]
        width = max(p.x for p in line) - min(p.x for p in line)
        for copy in range(made.count):
            rods.append(
                Rod(
                    points=tuple(Point(x=p.x + x0, y=p.y, z=p.z) for p in line),
                    thickness_m=0.03,
                    material=Material.METAL,
                )
            )
            stretches = laid(piece, made, book, outdoors=outdoors)
            for at in (each for stretch in stretches for each in stretch.clusters):
                number = at.number - 1
                knot = path.at(at.at_m)
                inside = [
                    (s, c) for s, c, n in made.cluster_types[at.kind].balloons for _ in range(n)
                ]
                for k, (size, colour) in zip(counting(), inside, strict=False):
                    angle = 2 * math.pi * k / len(inside) + dice.uniform(0, 6)
                    r = sized[size] * 0.7
                    balls.append(
                        Ball(
                            x=knot.x + x0 + r * math.cos(angle),
                            y=max(sized[size] / 2, knot.y + r * math.sin(angle)),
                            z=knot.z + r * math.sin(2 * angle),
                            diameter_m=sized[size],
                            colour=colour,
                            size_class=size,
                            piece=index,
                            copy=copy,
                            cluster=number,
                        )
                    )
            x0 += width + 1.2
        measures.append(
            Measure(
                direction=Direction.HEIGHT,
                start=Point(x=x0 - 0.6, y=0, z=0),
                end=Point(x=x0 - 0.6, y=path.top_m, z=0),
                metres=path.top_m,
            )
        )
    eye = Point(x=x0 / 2, y=1.5, z=8.0)
    person = Person(at=Point(x=x0, y=0, z=0), height_m=1.7)
    known = {colour.name: colour.hex for colour in book.colours}
    return Scene(
        balls=tuple(balls),
        rods=tuple(rods),
        panels=(),
        foils=(),
        blooms=(),
        sprigs=(),
        streamers=(),
        signs=(),
        floats=(),
        person=person,
        measures=tuple(measures),
        colours={ball.colour: known.get(ball.colour, "#BFBFBF") for ball in balls},
        outdoors=outdoors,
        eye=eye,
        window=Window(left=-1.0, bottom=-0.3, right=x0 + 0.6, top=3.2),
    )
