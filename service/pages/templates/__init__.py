"""The templates of the pages, and how values are said in them."""

import hashlib
import re
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from service.leads import words

STATIC = Path(__file__).parent.parent / "static"


def render(template: str, **values: Any) -> str:
    """The template as HTML; every value is escaped."""
    return _templates().get_template(template).render(**values)


def blocks(text: str) -> list[tuple[str, list[str]]]:
    """Plain text as ("list", items) and ("lines", lines), the way that messages are written."""
    found: list[tuple[str, list[str]]] = []
    for paragraph in text.split("\n\n"):
        kind = ""
        for line in paragraph.splitlines():
            item = line.startswith("• ")
            if kind != ("list" if item else "lines"):
                kind = "list" if item else "lines"
                found.append((kind, []))
            found[-1][1].append(line.removeprefix("• "))
    return found


def spent(hours: float) -> str:
    """ "2 h 05 min", "40 min"."""
    whole, minutes = divmod(round(hours * 60), 60)
    return f"{whole} h {minutes:02d} min" if whole else f"{minutes} min"


def trimmed(value: Decimal, places: int) -> str:
    """A number to so many places without the zeros that pad it: 0.1250 is "0.125"."""
    return f"{value:.{places}f}".rstrip("0").rstrip(".")


def named(figure: str) -> str:
    """A figure for people: pieces[0].path_length_m is "piece 1, path length in m"."""
    counted = re.sub(r"pieces\[(\d+)\]", lambda found: f"piece {int(found[1]) + 1}", figure)
    return re.sub(r"_(m[23]?)\b", r" in \1", counted).replace(".", ", ").replace("_", " ")


@cache
def _templates() -> Environment:
    templates = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.filters.update(
        cost=words.cost,
        money=words.money,
        piece=words.piece,
        day=words.day,
        clock=words.clock,
        moment=words.moment,
        listed=words.listed,
        blocks=blocks,
        spent=spent,
        trimmed=trimmed,
        named=named,
    )
    templates.globals["asset"] = _asset
    return templates


@cache
def _asset(name: str) -> str:
    # The digest changes with the content, so that browsers may keep a file for good.
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?v={digest}"
