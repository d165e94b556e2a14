"""Scenes put together by hand, for tests of how they are drawn."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from service.estimating import Estimate, Point, estimate
from service.storage.price_book import read_price_book
from service.workshop.scene import Ball, Person, Scene, Window
from tests.service.building import NOON, PRICE_BOOK, a_brief

BOOK = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
HEXES = {colour.name: colour.hex for colour in BOOK.colours}


@cache
def the_estimate() -> Estimate:
    """The rowing club's frame."""
    return estimate(a_brief(), BOOK, today=NOON.date())


def a_ball(x: float, y: float, colour: str = "sage", **details: Any) -> Ball:
    usual: dict[str, Any] = {"z": 0.0, "diameter_m": 0.24, "size_class": 10}
    where = {"piece": 0, "copy": 0, "cluster": 0}
    return Ball(x=x, y=y, colour=colour, **(usual | where | details))


def a_scene(balls: Sequence[Ball] = (), **things: Any) -> Scene:
    """Balls and things before a plain wall, the figure far off to the right."""
    empty: dict[str, Any] = dict.fromkeys(
        ("rods", "panels", "foils", "blooms", "sprigs", "streamers", "signs", "floats"), ()
    )
    scene = Scene(
        balls=tuple(balls),
        person=Person(at=Point(x=40.0, y=0.0, z=0.0), height_m=1.7),
        measures=(),
        colours=HEXES,
        eye=Point(x=0.0, y=1.5, z=8.0),
        window=Window(left=-2.0, bottom=0.0, right=2.0, top=3.0),
        outdoors=False,
        **empty,
    )
    return replace(scene, **things)


def pixels(encoded: bytes) -> NDArray[np.float64]:
    """Red, green and blue of every pixel, from 0 to 1."""
    with Image.open(BytesIO(encoded)) as image:
        return np.asarray(image.convert("RGB")) / 255
