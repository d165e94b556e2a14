"""Every text that the service says to clients, as the code names it."""

from collections.abc import Iterator
from pathlib import Path

from babel.messages.extract import extract_from_file

from service.estimating import WIND_CAUTION
from service.estimating.cautions import TEXTS

SERVICE = Path(__file__).parents[3] / "service"

_PYTHON = {
    "say": None,
    "msg": None,
    "several": (1, 2),
    "msgs": (1, 2),
    "WindowTaken": None,
}
_TEMPLATES = {"_": None, "gettext": None, "ngettext": (1, 2)}

Text = str | tuple[str, ...]


def said() -> Iterator[Text]:
    """Texts of the code and the templates, and the cautions of an estimate."""
    for path in _python():
        yield from _extracted("python", path, _PYTHON)
    for path in (SERVICE / "pages/templates").glob("*.html"):
        yield from _extracted("jinja2", path, _TEMPLATES, trimmed="true")
    yield from TEXTS
    yield WIND_CAUTION


def _python() -> Iterator[Path]:
    for folder in ("leads", "leads/follow_up", "pages", "pages/form", "pages/bookings"):
        yield from (SERVICE / folder).glob("*.py")
    yield from (SERVICE / "workshop/quote_document").glob("*.py")
    yield from (SERVICE / "rendering/picture").glob("*.py")
    yield SERVICE / "storage/holds.py"


def _extracted(
    method: str, path: Path, keywords: dict[str, tuple[int, int] | None], **options: str
) -> Iterator[Text]:
    for _, text, _, _ in extract_from_file(method, path, keywords=keywords, options=options):
        yield text
