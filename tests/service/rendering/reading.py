"""What is in a PDF: its words, its typefaces, its pictures, and whether anything is cut off.

`python -m tests.service.rendering.reading FILE.pdf FOLDER` draws its pages, to look at.
"""

import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdfium2
import zxingcpp
from pypdf import PdfReader

_MM = 72 / 25.4
# Some letters reach a little over where they begin [pt].
_ROUNDING = 0.8


def pages_of(pdf: bytes) -> list[str]:
    """The words of every page."""
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


def text_of(pdf: bytes) -> str:
    """All words, whatever lines they are broken into."""
    return " ".join(" ".join(pages_of(pdf)).split())


def sizes_of(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of every page, in whole mm."""
    boxes = (page.mediabox for page in PdfReader(io.BytesIO(pdf)).pages)
    return [(round(float(box.width) / _MM), round(float(box.height) / _MM)) for box in boxes]


def fonts_of(pdf: bytes) -> dict[str, bool]:
    """Every typeface by its name, and whether it is in the file."""
    found = {}
    for page in PdfReader(io.BytesIO(pdf)).pages:
        for font in _values(_in(page, "/Resources", "/Font")):
            below = _values(font.get("/DescendantFonts", [font]))
            held = [each.get("/FontDescriptor", {}) for each in below]
            found[str(font["/BaseFont"])] = all("/FontFile2" in each for each in held)
    return found


def clipped(pdf: bytes, *, margin: float = 18.0, edge: float = 8.0) -> list[str]:
    """What stands beyond the side margins, or nearer than `edge` to the upper and lower edge.

    Of what is written and of what is drawn; margins in mm.
    """
    with pypdfium2.PdfDocument(pdf) as document:
        return [
            f"page {number}: {what} at {box}"
            for number, page in enumerate(document, start=1)
            for what, box in _beyond(page, margin * _MM, edge * _MM)
        ]


def pictures_of(pdf: bytes, *, scale: float = 1.0) -> list[bytes]:
    """Every page as a PNG, `scale` × 72 dots an inch."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [_png(page.render(scale=scale).to_pil()) for page in document]


def qr_codes_of(pdf: bytes) -> list[str]:
    """What the QR codes on the pages say."""
    with pypdfium2.PdfDocument(pdf) as document:
        images = [page.render(scale=2.5).to_pil() for page in document]
    return [code.text for image in images for code in zxingcpp.read_barcodes(image)]


def _in(thing: Any, *keys: str) -> Any:
    for key in keys:
        thing = thing[key].get_object() if key in thing else {}
    return thing


def _values(several: Any) -> list[Any]:
    each = several.values() if isinstance(several, dict) else several
    return [value.get_object() for value in each]


def _beyond(page: Any, margin: float, edge: float) -> Iterator[tuple[str, tuple[int, ...]]]:
    width, height = page.get_size()
    for thing in page.get_objects():
        left, bottom, right, top = thing.get_bounds()
        room = thing.type != pypdfium2.raw.FPDF_PAGEOBJ_TEXT and 0.5 * _MM
        aside = left < margin - room - _ROUNDING or right > width - margin + room + _ROUNDING
        if aside or bottom < edge or top > height - edge:
            kind = "text" if thing.type == pypdfium2.raw.FPDF_PAGEOBJ_TEXT else "a drawing"
            yield kind, tuple(round(each / _MM) for each in (left, bottom, right, top))


def _png(image: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, "png")
    return out.getvalue()


def _draw(file: Path, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for number, png in enumerate(pictures_of(file.read_bytes(), scale=1.4), start=1):
        path = folder / f"{re.sub(r'[^A-Za-z0-9]+', '-', file.stem)}-{number}.png"
        path.write_bytes(png)
        print(path)


if __name__ == "__main__":
    _draw(Path(sys.argv[1]), Path(sys.argv[2]))
