"""Pictures that strangers send: made small, stripped of what they tell besides, and looked at.

Decoding takes the processor for as much as a few tenths of a second: call it in a thread.
"""

from dataclasses import dataclass
from io import BytesIO
from typing import Literal

import numpy as np
from PIL import Image, ImageCms, ImageFilter, ImageOps, UnidentifiedImageError

from bot.understanding.palettes import dominant

Reason = Literal["too_large", "too_many_pixels", "no_picture", "broken"]

_FORMATS = ("JPEG", "PNG", "WEBP", "GIF")
_MOST_BYTES = 12_000_000
# A JPEG is decoded at the size that is needed, anything else at its own.
_MOST_PIXELS, _MOST_PIXELS_IN_FULL = 60_000_000, 16_000_000
# A picture sent in many passes is decoded once for each; cameras use a dozen at most.
_SCAN, _MOST_SCANS = b"\xff\xda", 64

_SHRUNK_AS_IT_IS = ("RGB", "RGBA", "CMYK", "L")
_SIDE = 1600
_QUALITIES = (85, 70, 50, 30)
_KEPT_BYTES = 2_000_000
_SEEN_SIDE, _SAMPLED_SIDE = 300, 100
_MOST_COLOURS = 5
_OPAQUE = 128


class NotAPhoto(Exception):
    """The bytes cannot be used as a picture, for `reason`."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, kw_only=True)
class Reduced:
    """A picture to keep: at most 1600 pixels a side and 2 MB, upright, nothing in it but the
    picture. `colours` are `#rrggbb`, five at most, the most prominent first."""

    jpeg: bytes
    colours: tuple[str, ...]


def reduce(data: bytes) -> Reduced:
    """A JPEG, PNG, WebP or GIF (its first frame) made small. Raises NotAPhoto."""
    if len(data) > _MOST_BYTES:
        raise NotAPhoto("too_large")
    try:
        return _reduced(data)
    except NotAPhoto:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise NotAPhoto("too_many_pixels") from None
    except UnidentifiedImageError:
        raise NotAPhoto("no_picture") from None
    except Exception:  # what a decoder raises for broken bytes is anybody's guess
        raise NotAPhoto("broken") from None


def _reduced(data: bytes) -> Reduced:
    with Image.open(BytesIO(data), formats=_FORMATS) as image:
        in_parts = image.format in ("JPEG", "MPO")
        if image.width * image.height > (_MOST_PIXELS if in_parts else _MOST_PIXELS_IN_FULL):
            raise NotAPhoto("too_many_pixels")
        if in_parts and data.count(_SCAN) > _MOST_SCANS:
            raise NotAPhoto("broken")
        small = _upright(_small(image))
    return Reduced(jpeg=_jpeg(small), colours=_colours(small))


def _small(image: Image.Image) -> Image.Image:
    """`image` at its final size, its colours those of sRGB, see-through where it was so."""
    if image.mode not in _SHRUNK_AS_IT_IS:
        image = image.convert("RGBA" if image.has_transparency_data else "RGB")
    image.thumbnail((_SIDE, _SIDE), reducing_gap=1.0)
    if image.mode == "RGBA":
        return image
    profile = image.info.get("icc_profile") if image.mode == "RGB" else None
    return _in_srgb(image, profile) if profile else image.convert("RGB")


def _in_srgb(image: Image.Image, profile: bytes) -> Image.Image:
    """Telephones take pictures in wider spaces, where the same numbers are stronger colours."""
    try:
        given = ImageCms.ImageCmsProfile(BytesIO(profile))
        converted = ImageCms.profileToProfile(image, given, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return image
    return converted or image


def _upright(image: Image.Image) -> Image.Image:
    turned = ImageOps.exif_transpose(image)
    turned.info.clear()
    return turned


def _jpeg(image: Image.Image) -> bytes:
    """`image` on white, as good as 2 MB allow."""
    if image.mode == "RGBA":
        white = Image.new("RGBA", image.size, "white")
        image = Image.alpha_composite(white, image).convert("RGB")
    for quality in _QUALITIES:
        kept = BytesIO()
        image.save(kept, "JPEG", quality=quality)
        if kept.tell() <= _KEPT_BYTES:
            break
    return kept.getvalue()


def _colours(image: Image.Image) -> tuple[str, ...]:
    # The median takes the noise away and, unlike a mean, keeps edges: blended pixels would show
    # colours that are nowhere in the picture.
    seen = _resized(image, _SEEN_SIDE, Image.Resampling.NEAREST).convert("RGBA")
    seen = seen.filter(ImageFilter.MedianFilter(3))
    pixels = np.asarray(_resized(seen, _SAMPLED_SIDE, Image.Resampling.NEAREST)).reshape(-1, 4)
    opaque = pixels[pixels[:, 3] >= _OPAQUE, :3]
    return dominant(opaque.astype(float), most=_MOST_COLOURS, seed=0)


def _resized(image: Image.Image, side: int, way: Image.Resampling) -> Image.Image:
    width, height = (min(old, side) for old in image.size)
    return image.resize((width, height), way)
