"""Foils, letters, flowers and the rest: each is drawn, where it is, in its colour."""

import math
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from service.estimating import FloatKind, Point
from service.leads.words import ENGLISH
from service.rendering import picture
from service.rendering.picture.foils import puffed
from service.rendering.picture.lettering import fitted, font_for
from service.rendering.picture.shapes import outline_of
from service.rendering.picture.tones import oklab, rgb_of
from service.workshop.scene import (
    Bloom,
    Float,
    Foil,
    FoilSort,
    Material,
    Panel,
    Person,
    Rod,
    Sign,
    Sprig,
    Streamer,
)
from tests.service.rendering.picture.boarding import BOOK, a_scene, pixels

MIDDLE = Point(x=0.0, y=1.5)


def changed_by(**things: Any) -> NDArray[np.bool_]:
    """Where the picture of a scene differs from that of an empty one."""
    with_it, without = (
        pixels(picture.jpeg(scene, words=ENGLISH, width=320))
        for scene in (a_scene(**things), a_scene())
    )
    changed: NDArray[np.bool_] = np.abs(with_it - without).max(axis=2) > 0.06
    return changed


def test_what_dresses_a_garland_is_drawn_where_it_is() -> None:
    aside = Point(x=0.3, y=1.8)
    things = {
        "foils": Foil(
            sort=FoilSort.DIGIT, text="5", centre=MIDDLE, width_m=0.4, height_m=0.7, hex="#C9A24B"
        ),
        "blooms": Bloom(centre=MIDDLE, diameter_m=0.2, hex="#C98F8D"),
        "sprigs": Sprig(start=MIDDLE, end=aside, hex="#5E7A55"),
        "streamers": Streamer(points=(aside, MIDDLE), width_m=0.08, hex="#6E1A2B"),
        "signs": Sign(centre=MIDDLE, width_m=0.6, height_m=0.4, words="Fifty years afloat"),
        "floats": Float(
            kind=FloatKind.LATEX,
            centre=MIDDLE,
            diameter_m=0.3,
            hex="#1C2A4A",
            weight=Point(x=0.0, y=0.0),
        ),
        "rods": Rod(points=(MIDDLE, aside), thickness_m=0.06, material=Material.WOOD),
        "panels": Panel(corners=(MIDDLE, Point(x=0.4, y=1.5), aside), material=Material.DARK),
    }
    for name, thing in things.items():
        rows, columns = np.nonzero(changed_by(**{name: (thing,)}))
        assert len(rows) > 60, name
        # Nothing of it is farther off than the figure's own reach.
        assert 80 < np.median(rows) < 200, name
        assert 110 < np.median(columns) < 215, name


def test_an_empty_sign_has_a_flourish_in_place_of_words() -> None:
    def inked(words: str) -> int:
        sign = Sign(centre=MIDDLE, width_m=1.2, height_m=0.8, words=words)
        drawn = pixels(picture.jpeg(a_scene(signs=(sign,)), words=ENGLISH, width=320))
        return int((drawn[100:140, 120:200].mean(axis=2) < 0.8).sum())

    assert 0 < inked("") < inked("Fifty years afloat")


def test_the_figure_is_as_tall_as_it_says() -> None:
    tall, small = (
        np.flatnonzero(
            changed_by(person=Person(at=Point(x=0.0, y=0.0), height_m=height)).any(axis=1)
        )
        for height in (1.7, 0.85)
    )
    assert len(tall) / len(small) == pytest.approx(2, abs=0.2)


def silhouette(name: str) -> NDArray[np.bool_]:
    """Where a shaped foil lies in a square of 60 by 60."""
    sheet = Image.new("RGB", (80, 80), "#808080")
    puffed(sheet, (40, 40), (60, 60), "#F0D080", FoilSort.SHAPE, name)
    lit: NDArray[np.bool_] = np.asarray(sheet)[10:70, 10:70, 0] > 0x84
    return lit


def test_every_shape_that_the_shop_names_looks_like_itself_and_no_other() -> None:
    names = [name for name in BOOK.fittings.foils.shape_names if name not in ("round", "circle")]
    drawn = {name: silhouette(name) for name in (*names, "round")}
    for name, other in combinations(drawn, 2):
        both, either = drawn[name] & drawn[other], drawn[name] | drawn[other]
        assert both.sum() / either.sum() < 0.9, (name, other)
    assert all(part.line for name in (*names, "dragon") for part in outline_of(name))


def test_a_ring_has_a_hole_and_an_i_is_narrow() -> None:
    assert not silhouette("ring")[30, 30]
    sheet = Image.new("RGB", (120, 160), "#808080")
    puffed(sheet, (60, 80), (100, 120), "#F0D080", FoilSort.LETTER, "I")
    columns = np.flatnonzero((np.asarray(sheet)[..., 0] > 0x90).any(axis=0))
    assert columns.max() - columns.min() < 50


@pytest.mark.parametrize("text", ["5", "0", "Ñ", "&", "M"])
def test_a_character_fills_its_foil_in_metal(text: str) -> None:
    sheet = Image.new("RGB", (120, 160), "#808080")
    puffed(sheet, (60, 80), (80, 120), "#C9A24B", FoilSort.LETTER, text)
    drawn = oklab(np.asarray(sheet)[20:140:4, 20:100:4].reshape(-1, 3) / 255)
    gold = [math.dist(each, oklab(rgb_of("#C9A24B"))) < 0.2 for each in drawn]
    assert 0.2 < np.mean(gold) < 0.95


def test_words_of_a_sign_stay_on_it() -> None:
    long = "Donaudampfschifffahrtsgesellschaft"
    for words in ("Fifty years afloat", "Συγχαρητήρια", long * 2, f"{long} " * 6, "x" * 2000):
        lines, font = fitted(words, (200.0, 90.0))
        assert len(lines) * font.size <= 90
        assert max(font.getlength(line) for line in lines) <= 200


def test_letters_that_the_usual_typeface_lacks_come_from_another() -> None:
    assert "Lato" in str(font_for("Aún así", 20).getname())
    assert "DejaVu" in str(font_for("Συγχαρητήρια", 20).getname())
