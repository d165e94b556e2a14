"""Photos of finished jobs made small: upright, with nothing in them but the picture.

Decoding takes the processor for as much as a few tenths of a second: call it in a thread. Importing
this loads Pillow.
"""

from io import BytesIO

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

MOST_BYTES = 12_000_000

_FORMATS = ("JPEG", "PNG", "WEBP")
# A JPEG is decoded at the size that is needed, anything else at its own.
_MOST_PIXELS, _MOST_PIXELS_IN_FULL = 60_000_000, 16_000_000
# A picture sent in many passes is decoded once for each; cameras use a dozen at most.
_SCAN, _MOST_SCANS = b"\xff\xda", 64
_SHRUNK_AS_IT_IS = ("RGB", "RGBA", "CMYK", "L")
_SIDE = 1600
_QUALITY = 82

_TOO_MANY_PIXELS = "That photo has too many pixels. Take it smaller."
_BROKEN = "That photo is damaged: it cannot be opened."


class NotAPhoto(Exception):
    """The bytes cannot be kept as a photo; the text says why and what to do."""


def reduced(data: bytes) -> bytes:
    """A JPEG, PNG or WebP as a JPEG of at most 1600 pixels a side. Raises NotAPhoto."""
    if len(data) > MOST_BYTES:
        raise NotAPhoto(f"That photo is larger than {MOST_BYTES // 1_000_000} MB.")
    try:
        return _reduced(data)
    except NotAPhoto:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise NotAPhoto(_TOO_MANY_PIXELS) from None
    except UnidentifiedImageError:
        raise NotAPhoto("That is no JPEG, PNG or WebP picture.") from None
    except Exception:  # what a decoder raises for broken bytes is anybody's guess
        raise NotAPhoto(_BROKEN) from None


def _reduced(data: bytes) -> bytes:
    with Image.open(BytesIO(data), formats=_FORMATS) as image:
        in_parts = image.format in ("JPEG", "MPO")
        if image.width * image.height > (_MOST_PIXELS if in_parts else _MOST_PIXELS_IN_FULL):
            raise NotAPhoto(_TOO_MANY_PIXELS)
        if in_parts and data.count(_SCAN) > _MOST_SCANS:
            raise NotAPhoto(_BROKEN)
        kept = BytesIO()
        _on_white(_upright(_small(image))).save(kept, "JPEG", quality=_QUALITY)
        return kept.getvalue()


def _upright(image: Image.Image) -> Image.Image:
    """`image` the right way up, without what the camera wrote besides: the place, for one."""
    turned = ImageOps.exif_transpose(image)
    turned.info.clear()
    return turned


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode != "RGBA":
        return image
    white = Image.new("RGBA", image.size, "white")
    return Image.alpha_composite(white, image).convert("RGB")


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
