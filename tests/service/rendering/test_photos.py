"""Photos are made small and upright, and carry nothing but the picture."""

from io import BytesIO

import pytest
from PIL import Image

from service.rendering.photos import MOST_BYTES, NotAPhoto, reduced

ORIENTATION, DESCRIPTION = 0x0112, 0x010E
TURNED = 6


def a_photo(kind: str = "JPEG", size: tuple[int, int] = (60, 40), mode: str = "RGB") -> bytes:
    """A picture, red on the left and blue on the right, taken with the camera on its side."""
    made, exif = Image.new(mode, size), Image.Exif()
    if mode == "RGB":
        made.paste("red", (0, 0, size[0] // 2, size[1]))
        made.paste("blue", (size[0] // 2, 0, *size))
    exif[ORIENTATION], exif[DESCRIPTION] = TURNED, "Quixotry House"
    file = BytesIO()
    made.save(file, kind, exif=exif, **({"comment": b"zeppelin"} if kind == "JPEG" else {}))
    return file.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_stands_upright_and_tells_nothing_besides(kind: str) -> None:
    data = a_photo(kind)
    assert b"Quixotry" in data
    kept = reduced(data)
    assert b"Quixotry" not in kept
    assert b"zeppelin" not in kept
    image = Image.open(BytesIO(kept))
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (40, 60))
    assert not image.getexif()
    red, blue = (image.getpixel((20, row)) for row in (10, 50))
    assert isinstance(red, tuple)
    assert isinstance(blue, tuple)
    assert red[0] > 200 > 50 > red[2]
    assert blue[2] > 200 > 50 > blue[0]


def test_a_large_one_is_made_small_and_a_small_one_stays() -> None:
    assert Image.open(BytesIO(reduced(a_photo(size=(3200, 1600))))).size == (800, 1600)
    assert Image.open(BytesIO(reduced(a_photo(size=(30, 20))))).size == (20, 30)


@pytest.mark.parametrize(("kind", "mode"), [("PNG", "RGBA"), ("PNG", "LA"), ("PNG", "1")])
def test_what_is_see_through_stands_on_white(kind: str, mode: str) -> None:
    image = Image.open(BytesIO(reduced(a_photo(kind, mode=mode))))
    expected = (0, 0, 0) if mode == "1" else (255, 255, 255)
    assert image.getpixel((5, 5)) == expected


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "no JPEG"),
        (b"%PDF-1.7", "no JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG"),
        (a_photo("GIF"), "no JPEG"),
        (a_photo()[:500], "damaged"),
        (a_photo() + b"\xff\xda" * 65, "damaged"),
        (b"\xff\xd8\xff" + bytes(MOST_BYTES), "larger than 12 MB"),
        (a_photo("PNG", (5000, 4000), "1"), "too many pixels"),
    ],
)
def test_what_is_no_photo_is_refused(data: bytes, why: str) -> None:
    with pytest.raises(NotAPhoto, match=why):
        reduced(data)
