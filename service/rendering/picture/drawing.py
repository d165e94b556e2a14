"""A scene on a sheet: everything in it from the farthest to the nearest."""

from collections.abc import Callable, Iterator
from functools import partial

from PIL import Image

from service.leads.words import Words
from service.rendering.picture.backdrop import backdrop, cast_shadows, tint_of
from service.rendering.picture.balls import Balls
from service.rendering.picture.surfaces import draw_panel, draw_rod, rod_parts
from service.rendering.picture.view import View, view_of
from service.workshop.scene import Scene

Stroke = tuple[float, Callable[[], None]]


def draw(scene: Scene, words: Words, *, width: int, height: int) -> Image.Image:
    """The picture of a scene. Takes some 100 ms: call it in a thread."""
    view = view_of(scene, width, height)
    tint = tint_of(scene)
    sheet = backdrop(view, tint)
    for panel in sorted(scene.panels, key=lambda panel: panel.depth_m):
        draw_panel(sheet, view, panel, tint)
    cast_shadows(sheet, view)
    for _depth, stroke in sorted(_strokes(sheet, view), key=lambda each: each[0]):
        stroke()
    return sheet


def _strokes(sheet: Image.Image, view: View) -> Iterator[Stroke]:
    """Everything that may stand before or behind something else, with its depth."""
    for rod in view.scene.rods:
        for depth, part in rod_parts(rod):
            yield depth, partial(draw_rod, sheet, view, rod, part)
    balls = Balls(view)
    for depth, number in balls:
        yield depth, partial(balls.draw, sheet, number)
