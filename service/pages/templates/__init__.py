"""The templates of the pages, and how values are said in them."""

import hashlib
import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from babel.numbers import format_currency
from jinja2 import Environment, FileSystemLoader, StrictUndefined, pass_context
from jinja2.ext import InternationalizationExtension
from jinja2.runtime import Context
from markupsafe import escape

from service.estimating import named
from service.leads import words
from service.leads.plain import unturned
from service.leads.words import ENGLISH, Words

_MILE_M = 1609.344

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


def rate(amount: Decimal, currency: str) -> str:
    """ "$0.108" a balloon, "$26.00" an hour: to a hundredth of a cent."""
    return format_currency(amount, currency, "¤#,##0.00##", locale="en_US", currency_digits=False)


def cents(amount: Decimal, currency: str) -> str:
    """An amount in a column of amounts: always with cents."""
    return format_currency(amount, currency, locale="en_US")


def miles(metres: float) -> str:
    """ "0.54 miles", "12.3 miles": three figures, at most two of them behind the point."""
    far = round(metres / _MILE_M, 2)
    said = f"{far:.3g}" if far < 100 else f"{far:,.0f}"
    return f"{said} mile" if said == "1" else f"{said} miles"


def in_customary(value: str) -> str:
    """A value as the estimate explains it, with feet, miles and pounds beside what is metric.

    "4.963 m" is "4.963 m (16 ft 3 in)".
    """
    return _METRIC.sub(lambda found: f"{found[0]} ({_CUSTOMARY[found[2]](float(found[1]))})", value)


_CUSTOMARY: Mapping[str, Callable[[float], str]] = {
    "m": words.feet,
    "km": lambda kilometres: miles(kilometres * 1000),
    "km/h": lambda kilometres_an_hour: words.mph(kilometres_an_hour / 3.6),
    "m/s": words.mph,
    "m²": words.square_feet,
    "m³": words.cubic_feet,
    "kg": words.pounds,
    "N": words.pounds_of_force,
    "°C": words.fahrenheit,
}

_METRIC = re.compile(r"(-?\d+(?:\.\d+)?) (km/h|km|m/s|m³|m²|m|kg|N|°C)(?![\w/²³])")


def _said_by(name: str) -> Callable[..., Any]:
    """A filter that is a method of the words that the page speaks."""

    @pass_context
    def say(context: Context, *values: Any) -> Any:
        return getattr(_words(context), name)(*values)

    return say


# The catalogues hold plain text: what looks like markup in them is shown as it stands.
@pass_context
def _gettext(context: Context, text: str) -> str:
    return str(escape(_words(context).translations.gettext(text)))


@pass_context
def _ngettext(context: Context, one: str, many: str, count: int) -> str:
    return str(escape(_words(context).translations.ngettext(one, many, count)))


def _words(context: Context) -> Words:
    # Parts that the desk shares with the pages are not told of a language there.
    words: Words = context.get("words") or ENGLISH
    return words


def _shown(value: Any) -> Any:
    # What is markup already stays markup.
    return type(value)(unturned(value)) if isinstance(value, str) else value


@cache
def _templates() -> Environment:
    templates = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=[InternationalizationExtension],
    )
    templates.policies["ext.i18n.trimmed"] = True
    # The extension adds this to the environment without telling its type.
    templates.install_gettext_callables(_gettext, _ngettext, newstyle=True)  # type: ignore[attr-defined]
    said = (
        "money",
        "piece",
        "floating",
        "day",
        "clock",
        "moment",
        "listed",
        "colour",
        "foils",
        "number",
    )
    templates.filters.update({name: _said_by(name) for name in said})
    templates.filters.update(
        blocks=blocks,
        spent=spent,
        cents=cents,
        named=named,
        miles=miles,
        in_customary=in_customary,
    )
    templates.globals["asset"] = _asset
    return templates


@cache
def _asset(name: str) -> str:
    # The digest changes with the content, so that browsers may keep a file for good.
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?v={digest}"
