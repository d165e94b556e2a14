"""Pictures of balloons with known colours, drawn for the tests."""

from collections.abc import Mapping
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageColor

Pixels = NDArray[np.floating[Any]]


def balloons(
    counts: Mapping[str, int],
    *,
    wall: str = "#e9e5df",
    side: int = 400,
    noise: float = 0.0,
    shade: float = 0.0,
    wall_shade: float = 0.0,
    seed: int = 1,
) -> Image.Image:
    """Round balloons in a grid, so many of each colour, before a wall.

    `noise` is the standard deviation of each channel; `shade` darkens a balloon's far side, and
    `wall_shade` one end of the wall, by that share.
    """
    rng = np.random.default_rng(seed)
    colours = [colour for colour, count in counts.items() for _ in range(count)]
    rng.shuffle(colours)
    cells = int(np.ceil(np.sqrt(len(colours))))
    rows, columns = np.mgrid[0:side, 0:side] / side
    pixels = _rgb(wall) * (1 - wall_shade * rows)[..., None]
    for index, colour in enumerate(colours):
        row, column = divmod(index, cells)
        down, across = rows * cells - row - 0.5, columns * cells - column - 0.5
        light = 1 - shade * np.clip(down + across + 0.5, 0, 1)
        inside = down**2 + across**2 < 0.46**2
        pixels[inside] = (_rgb(colour) * light[..., None])[inside]
    noisy = pixels + rng.normal(0, noise, pixels.shape) if noise else pixels
    return Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8))


def pixels_of(image: Image.Image) -> Pixels:
    """`image` as `dominant` takes it."""
    return np.asarray(image.convert("RGB"), dtype=float).reshape(-1, 3)


def encoded(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    """The bytes of `image` as a file."""
    file = BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def _rgb(colour: str) -> Pixels:
    return np.array(ImageColor.getrgb(colour), dtype=float)
