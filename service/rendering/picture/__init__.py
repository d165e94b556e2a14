"""The picture of a client's own garland: a scene drawn to PNG, WebP or JPEG.

Same scene, words and width: same bytes. What draws is loaded when something is drawn.
"""

import hashlib
import logging
from enum import Enum
from io import BytesIO
from typing import TYPE_CHECKING

from service.estimating import PriceBook
from service.leads.lead import Quote
from service.leads.pictures import caption
from service.leads.words import Words
from service.rendering.shelf import Shelf
from service.workshop.scene import Scene, scene_of, seed_of

if TYPE_CHECKING:
    from PIL import Image

__all__ = [
    "WIDTH",
    "Format",
    "NoPicture",
    "caption",
    "height_of",
    "jpeg",
    "of_quote",
    "png",
    "tag_of",
    "webp",
]

_log = logging.getLogger(__name__)

WIDTH = 1200
"""Pixels across, as pages and chats show it."""

# Some 0.2 MB each.
_KEPT_MOST = 48

# Of the forty threads that answer requests.
_WAITING = 8


class Format(Enum):
    """For chats, for pages, for documents."""

    PNG = "png"
    WEBP = "webp"
    JPEG = "jpeg"


class NoPicture(Exception):
    """A quote's garland cannot be drawn; whoever wanted the picture does without."""


def height_of(width: int) -> int:
    """Pixels from top to bottom: pictures are four by three."""
    return width * 3 // 4


def tag_of(drawn: bytes) -> str:
    """An entity tag for a picture."""
    return f'"{hashlib.sha256(drawn).hexdigest()[:32]}"'


def png(scene: Scene, *, words: Words, width: int = WIDTH) -> bytes:
    """For chats, where nothing stands beside it: the caption is in the picture."""
    from service.rendering.picture.marks import draw_small_print

    sheet = _drawn(scene, words, width)
    draw_small_print(sheet, caption(words))
    # Little is gained by more, and it takes twice the time.
    return _encoded(sheet, "PNG", compress_level=1)


def webp(scene: Scene, *, words: Words, width: int = WIDTH) -> bytes:
    """For pages, a tenth as large; the page says the caption."""
    return _encoded(_drawn(scene, words, width), "WEBP", quality=84, method=2)


def jpeg(scene: Scene, *, words: Words, width: int = WIDTH) -> bytes:
    """For documents, which say the caption themselves."""
    return _encoded(_drawn(scene, words, width), "JPEG", quality=88, subsampling=0)


_DRAWN = {Format.PNG: png, Format.WEBP: webp, Format.JPEG: jpeg}
_shelf = Shelf(most=_KEPT_MOST, waiting=_WAITING)

_NONE = b""
"""That there is no picture is kept as well: finding it out may have taken long."""


def of_quote(quote: Quote, book: PriceBook, words: Words, format_: Format) -> bytes:
    """A quote's garland, by the price book that the quote was made with.

    It looks the same in every quote of a request: the dice are the request's. A picture that was
    drawn lately is at hand. Raises NoPicture, and Busy where too many are waited for.
    """
    key = quote.id, format_, words.language, words.locale
    found = _shelf.get(key, lambda: _of_quote(quote, book, words, format_))
    if found == _NONE:
        raise NoPicture
    return found


def _of_quote(quote: Quote, book: PriceBook, words: Words, format_: Format) -> bytes:
    try:
        scene = scene_of(quote.brief, quote.estimate, book, seed=seed_of(quote.lead_id))
        return _DRAWN[format_](scene, words=words)
    except Exception as error:
        # A price and its papers go out all the same. The error's own text may quote the client.
        _log.error("quote %s has no picture (%s)", quote.id, type(error).__name__)
        return _NONE


def _drawn(scene: Scene, words: Words, width: int) -> "Image.Image":
    from service.rendering.picture.drawing import draw

    return draw(scene, words, width=width, height=height_of(width))


def _encoded(sheet: "Image.Image", kind: str, **options: int) -> bytes:
    encoded = BytesIO()
    sheet.save(encoded, kind, **options)
    return encoded.getvalue()
