"""A scene on a sheet: everything in it from the farthest to the nearest."""

from collections.abc import Callable, Iterator
from functools import partial

from PIL import Image

from service.leads.words import Words
from service.rendering.picture.backdrop import backdrop, cast_at_feet, cast_shadows, tint_of
from service.rendering.picture.balls import Balls
from service.rendering.picture.floats import draw_float
from service.rendering.picture.foils import draw_foil
from service.rendering.picture.greenery import draw_bloom, draw_sprig
from service.rendering.picture.marks import draw_measure, draw_person
from service.rendering.picture.ribbons import draw_streamer
from service.rendering.picture.signs import draw_sign
from service.rendering.picture.surfaces import draw_panel, draw_rod, rod_parts
from service.rendering.picture.view import View, view_of
from service.workshop.scene import Scene

Stroke = tuple[float, Callable[[], None]]


def draw(scene: Scene, words: Words, *, width: int, height: int) -> Image.Image:
    """The picture of a scene. Takes some 100 ms: call it in a thread."""
    view = view_of(scene, width, height)
    tint = tint_of(scene)
    sheet = backdrop(view, tint)
    cast_at_feet(sheet, view)
    for panel in sorted(scene.panels, key=lambda panel: panel.depth_m):
        draw_panel(sheet, view, panel, tint)
    cast_shadows(sheet, view)
    for _depth, stroke in sorted(_strokes(sheet, view, tint), key=lambda each: each[0]):
        stroke()
    for measure in scene.measures:
        draw_measure(sheet, view, measure, words)
    return sheet


def _strokes(sheet: Image.Image, view: View, tint: str) -> Iterator[Stroke]:
    """Everything that may stand before or behind something else, with its depth."""
    scene = view.scene
    yield scene.person.depth_m, partial(draw_person, sheet, view, scene.person, tint)
    for rod in scene.rods:
        for depth, part in rod_parts(rod):
            yield depth, partial(draw_rod, sheet, view, rod, part)
    balls = Balls(view)
    for depth, number in balls:
        yield depth, partial(balls.draw, sheet, number)
    yield from _dressing(sheet, view)


def _dressing(sheet: Image.Image, view: View) -> Iterator[Stroke]:
    scene = view.scene
    for foil in scene.foils:
        yield foil.depth_m, partial(draw_foil, sheet, view, foil)
    for bloom in scene.blooms:
        yield bloom.depth_m, partial(draw_bloom, sheet, view, bloom)
    for sprig in scene.sprigs:
        yield sprig.depth_m, partial(draw_sprig, sheet, view, sprig)
    for streamer in scene.streamers:
        yield streamer.depth_m, partial(draw_streamer, sheet, view, streamer)
    for sign in scene.signs:
        yield sign.depth_m, partial(draw_sign, sheet, view, sign)
    for floating in scene.floats:
        yield floating.depth_m, partial(draw_float, sheet, view, floating)
