"""Colours drawn as a picture with their names."""

from io import BytesIO

import pytest
from PIL import Image

from service.contract.talk import Swatch
from workers.channels.swatches import picture


def drawn(*swatches: tuple[str, str]) -> Image.Image:
    data = picture([Swatch(name=name, hex=colour) for name, colour in swatches])
    return Image.open(BytesIO(data)).convert("RGB")


def test_every_field_shows_its_very_colour_on_a_light_ground() -> None:
    image = drawn(("Sage", "#a3b899"), ("Navy", "#1b2a49"), ("White", "#ffffff"))
    fields = [image.getpixel((28 + 268 * number + 120, 28 + 75)) for number in range(3)]
    assert fields == [(0xA3, 0xB8, 0x99), (0x1B, 0x2A, 0x49), (0xFF, 0xFF, 0xFF)]
    red, green, blue = image.getpixel((2, 2))  # type: ignore[misc]
    assert min(red, green, blue) > 240


def test_names_are_dark_enough_to_read() -> None:
    image = drawn(("Sage", "#a3b899"))
    label = image.crop((28, 28 + 152, 268, 28 + 150 + 40)).convert("L")
    darkest, lightest = label.getextrema()
    assert darkest < 60  # type: ignore[operator]
    assert lightest > 240  # type: ignore[operator]


def test_four_stand_side_by_side_and_the_next_begin_a_row() -> None:
    one, four, five = (drawn(*[("Sage", "#a3b899")] * count) for count in (1, 4, 5))
    assert four.height == one.height
    assert four.width > 3 * one.width
    assert (five.width, five.height > four.height) == (four.width, True)


@pytest.mark.parametrize("name", ["Dusty rose and champagne gold", "W" * 40, "Ñandú", "🎈", "日本"])
def test_any_name_stays_in_its_field(name: str) -> None:
    image = drawn((name, "#a3b899"), (name, "#a3b899"))
    between = image.crop((28 + 240 + 2, 28 + 152, 28 + 240 + 26, image.height)).convert("L")
    assert between.getextrema()[0] > 240  # type: ignore[operator]


def test_the_same_colours_are_drawn_once() -> None:
    swatches = [Swatch(name="Sage", hex="#a3b899")]
    assert picture(swatches) is picture(list(swatches))


def test_the_most_that_a_message_holds_makes_a_picture_that_a_phone_can_show() -> None:
    image = drawn(*[("Sage", "#a3b899")] * 24)
    assert image.width + image.height < 10_000
    assert image.height < 2 * image.width
