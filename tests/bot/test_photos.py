import io
import struct
import zlib
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageDraw

from bot.photos import NotAPhoto, Reduced, reduce
from bot.understanding.shading import difference
from tests.bot.understanding.photos.drawing import balloons, encoded

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
PALETTE = {"#a9b79a": 16, "#f1cfc8": 11, "#c9a24b": 6}


def opened(reduced: Reduced) -> Image.Image:
    return Image.open(io.BytesIO(reduced.jpeg))


def reason(data: bytes) -> str:
    with pytest.raises(NotAPhoto) as refused:
        reduce(data)
    return refused.value.reason


def png(width: int, height: int, rows: bytes = b"", *chunks: tuple[bytes, bytes]) -> bytes:
    """A PNG that claims to be so large, whatever it holds."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    every = ((b"IHDR", header), *chunks, (b"IDAT", zlib.compress(rows)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in every
    )


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_of_each_kind_shows_its_colours(kind: str) -> None:
    reduced = reduce(encoded(balloons(PALETTE, side=900, noise=10), kind, quality=90))
    balloons_only = [one for one in reduced.colours if difference(one, "#e9e5df") > 3]
    pairs = zip(balloons_only, PALETTE, strict=True)
    assert all(difference(found, drawn) < 3 for found, drawn in pairs)
    assert opened(reduced).format == "JPEG"


def test_of_a_moving_picture_the_first_frame_counts() -> None:
    frames = [Image.new("RGB", (60, 40), colour) for colour in ("#2469b8", "#c91f2b")]
    moving = encoded(frames[0], "GIF", save_all=True, append_images=frames[1:])
    (colour,) = reduce(moving).colours
    assert difference(colour, "#2469b8") < 2


def test_a_large_picture_is_made_small_in_its_proportions() -> None:
    assert opened(reduce(encoded(balloons(PALETTE).resize((4000, 3000))))).size == (
        1600,
        1200,
    )
    assert opened(reduce(encoded(Image.new("RGB", (9000, 20), "red"), "PNG"))).size == (1600, 4)


def test_a_small_picture_keeps_its_size() -> None:
    assert opened(reduce(encoded(Image.new("RGB", (31, 17), "red")))).size == (31, 17)


def test_a_picture_taken_sideways_is_set_upright() -> None:
    sideways = Image.new("RGB", (200, 100), "#2469b8")
    ImageDraw.Draw(sideways).rectangle((0, 0, 99, 99), fill="#c91f2b")
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned clockwise
    upright = opened(reduce(encoded(sideways, exif=exif.tobytes(), quality=95)))
    assert upright.size == (100, 200)
    red, green, blue = upright.convert("RGB").resize((1, 2)).getpixel((0, 0))  # type: ignore[misc]
    assert red > blue > green


def test_nothing_that_the_picture_tells_besides_is_kept() -> None:
    exif = Image.Exif()
    exif[0x010F] = "camera of somebody"
    exif.get_ifd(0x8825)[1] = "N"  # where it was taken
    wide = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = encoded(
        balloons(PALETTE),
        exif=exif.tobytes(),
        comment=b"to my aunt",
        icc_profile=wide,
        dpi=(72, 72),
    )
    assert b"camera of somebody" in data
    kept = opened(reduce(data))
    kept.load()
    assert not kept.getexif()
    assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_what_is_seen_through_is_white_and_has_no_colour() -> None:
    cut_out = balloons({"#6b3a97": 9}, wall="#00ff00").convert("RGBA")
    pixels = np.array(cut_out)
    pixels[(pixels[..., :3] == (0, 255, 0)).all(axis=2), 3] = 0
    reduced = reduce(encoded(Image.fromarray(pixels), "PNG"))
    (colour,) = reduced.colours
    assert difference(colour, "#6b3a97") < 2
    assert opened(reduced).convert("RGB").getpixel((0, 0)) == pytest.approx((255,) * 3, abs=2)


def test_a_picture_that_cannot_be_seen_has_no_colours() -> None:
    assert reduce(encoded(Image.new("RGBA", (20, 20)), "PNG")).colours == ()


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "I;16", "YCbCr"])
def test_every_way_to_store_a_picture_is_read(mode: str) -> None:
    kind = "JPEG" if mode in ("CMYK", "YCbCr") else "PNG"
    assert (
        len(reduce(encoded(Image.new("RGB", (40, 40), "#ffffff").convert(mode), kind)).colours) == 1
    )


def test_colours_of_a_wider_space_are_brought_into_the_usual_one() -> None:
    # With red and blue exchanged it is a space in which blue is written as red.
    swapped = SRGB.replace(b"rXYZ", b"tmpX").replace(b"bXYZ", b"rXYZ").replace(b"tmpX", b"bXYZ")
    image = Image.new("RGB", (50, 50), "#c91f2b")
    (found,) = reduce(encoded(image, quality=95, icc_profile=swapped)).colours
    assert difference(found, "#2b1fc9") < 3


def test_a_broken_profile_is_left_aside() -> None:
    image = Image.new("RGB", (50, 50), "#c91f2b")
    (found,) = reduce(encoded(image, quality=95, icc_profile=b"nonsense" * 40)).colours
    assert difference(found, "#c91f2b") < 2


def test_the_worst_picture_for_a_jpeg_still_fits_into_two_megabytes() -> None:
    speckles = np.random.default_rng(1).integers(0, 256, (1600, 1600, 3)).astype(np.uint8)
    assert len(reduce(encoded(Image.fromarray(speckles), "JPEG", quality=90)).jpeg) <= 2_000_000


def test_the_same_picture_gives_the_same_bytes() -> None:
    data = encoded(balloons(PALETTE, noise=9))
    assert reduce(data) == reduce(data)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "no_picture"),
        (b"%PDF-1.7 and so on", "no_picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no_picture"),
        (b"\xff\xd8\xff" + bytes(13_000_000), "too_large"),
        (png(30_000, 30_000), "too_many_pixels"),
        (png(9_000, 9_000), "too_many_pixels"),
        (png(2_000, 2_000), "broken"),
        (encoded(Image.new("RGB", (40, 40)), "BMP"), "no_picture"),
        (encoded(balloons(PALETTE))[:3_000], "broken"),
        (encoded(balloons(PALETTE)) + b"\xff\xda" * 100, "broken"),
    ],
)
def test_what_cannot_be_used_is_refused_by_its_reason(data: bytes, why: str) -> None:
    assert reason(data) == why


def test_a_text_that_unpacks_to_a_gigabyte_is_refused() -> None:
    bomb = zlib.compress(bytes(50_000_000), 9)
    assert reason(png(10, 10, b"", (b"zTXt", b"note\0\0" + bomb))) == "broken"


VALID = [
    encoded(balloons(PALETTE, side=80), kind, **options)
    for kind, options in (
        ("JPEG", {"progressive": True}),
        (
            "JPEG",
            {"icc_profile": ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()},
        ),
        ("PNG", {}),
        ("WEBP", {}),
        ("GIF", {}),
    )
]


def only_refuses(data: bytes) -> None:
    try:
        reduced = reduce(data)
    except NotAPhoto:
        return
    assert max(opened(reduced).size) <= 1600
    assert len(reduced.colours) <= 5


@given(st.binary(max_size=400), st.sampled_from([b"", b"\xff\xd8\xff", b"GIF89a", b"RIFF"]))
def test_no_bytes_raise_anything_else(data: bytes, start: bytes) -> None:
    only_refuses(start + data)


def _overwritten(data: bytes, at: int, new: bytes) -> bytes:
    return data[:at] + new + data[at + len(new) :]


def _dropped(data: bytes, at: int, new: bytes) -> bytes:
    return data[:at] + data[at + len(new) :]


def _doubled(data: bytes, at: int, new: bytes) -> bytes:
    return data[: at + len(new)] + data[at:]


@given(
    st.sampled_from(VALID),
    st.lists(
        st.tuples(
            st.sampled_from([_overwritten, _dropped, _doubled]),
            st.floats(0, 1),
            st.binary(min_size=1, max_size=12),
        ),
        min_size=1,
        max_size=6,
    ),
)
def test_no_damaged_file_raises_anything_else(
    data: bytes, damages: list[tuple[Callable[[bytes, int, bytes], bytes], float, bytes]]
) -> None:
    for damage, where, new in damages:
        data = damage(data, int(where**3 * len(data)), new)  # most of it in the headers
    only_refuses(data)
