"""Small charts of figures as SVG, for an `<img>` beside the table that says the same."""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any
from xml.etree.ElementTree import Element

# As wide as a phone's page: what is drawn smaller cannot be read.
_WIDTH = 328
_BAR, _EDGE = 30, 34

# A letter of that size is about so wide.
_LETTER = 7.4
_LONGEST_LABEL = 22

_LIGHT = {"ink": "#25302b", "bar": "#3f7d66", "pale": "#b9cfc4"}
_DARK = {"ink": "#efe9dc", "bar": "#4d8d75", "pale": "#2f5546"}

_FONT = "system-ui, sans-serif"


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """One bar: its label, its length, and how its value is said."""

    label: str
    value: float
    said: str


def bars(rows: Sequence[Bar]) -> bytes:
    """One bar below the other, in the order of the rows, each with its value in words."""
    return _drawn([bar.label for bar in rows], [rows])


def pairs(rows: Sequence[tuple[Bar, Bar]]) -> bytes:
    """Two bars for each row, the first one paler, under the label of the first."""
    first, second = [one for one, _ in rows], [other for _, other in rows]
    return _drawn([bar.label for bar in first], [first, second], colours=("pale", "bar"))


def _drawn(
    labels: Sequence[str], series: Sequence[Sequence[Bar]], colours: Sequence[str] = ("bar",)
) -> bytes:
    """Bars of several series, those of one place below one another."""
    library = _library()
    every = [bar for each in series for bar in each]
    css = ("file://style.css", "file://graph.css", _in_the_dark(colours))
    chart = library.HorizontalBar(
        config=library.Config(css=css, js=()),
        style=_style(library, colours),
        width=_WIDTH,
        height=_EDGE + _BAR * len(every),
        margin=2,
        spacing=8,
        show_legend=False,
        show_x_guides=False,
        show_y_guides=False,
        show_x_labels=False,
        print_values=True,
        print_values_position="top",
        range=_range(labels, every),
        no_data_text="nothing yet",
        disable_xml_declaration=True,
        explicit_size=True,
    )
    chart.add_xml_filter(_without_scripts)
    # The first bar of such a chart is the lowest.
    chart.x_labels = [_short(label) for label in reversed(labels)]
    for each in series:
        upwards = [{"value": bar.value, "formatter": _saying(bar.said)} for bar in reversed(each)]
        chart.add("", upwards)
    return str(chart.render()).encode()


@cache
def _library() -> Any:
    import pygal  # takes a quarter of a second: only who looks at a chart waits

    # It hooks itself into every later import, by a way that is no more.
    sys.meta_path[:] = [
        each for each in sys.meta_path if not isinstance(each, pygal.PluginImportFixer)
    ]
    return pygal


def _style(library: Any, colours: Sequence[str]) -> Any:
    return library.style.Style(
        background="transparent",
        plot_background="transparent",
        foreground=_LIGHT["ink"],
        foreground_strong=_LIGHT["ink"],
        foreground_subtle=_LIGHT["ink"],
        value_colors=(_LIGHT["ink"],) * len(colours),
        colors=tuple(_LIGHT[name] for name in colours),
        font_family=_FONT,
        label_font_size=13,
        major_label_font_size=13,
        value_font_size=13,
        no_data_font_size=13,
        transition="0s",
    )


def _in_the_dark(colours: Sequence[str]) -> str:
    """An image follows the colours of the page that it is on, not those of the page's style."""
    own = "".join(
        f"  {{{{ id }}}} .color-{place} {{ fill: {_DARK[name]} !important;"
        f" stroke: {_DARK[name]} !important }}\n"
        for place, name in enumerate(colours)
    )
    return f"""inline:
@media (prefers-color-scheme: dark) {{
  {{{{ id }}}} text {{ fill: {_DARK["ink"]} !important }}
{own}}}
{{{{ id }}}} .axis .line, {{{{ id }}}} .guides line {{ stroke: none !important }}
{{{{ id }}}} text.value {{ text-anchor: start !important }}
"""


def _without_scripts(drawing: Element) -> Element:
    for parent in drawing.iter():
        for child in [each for each in parent if str(each.tag).endswith("script")]:
            parent.remove(child)
    return drawing


def _saying(text: str) -> Callable[[float], str]:
    return lambda _value: text


def _short(label: str) -> str:
    return label if len(label) <= _LONGEST_LABEL else f"{label[: _LONGEST_LABEL - 1]}…"


def _range(labels: Sequence[str], rows: Sequence[Bar]) -> tuple[float, float]:
    """From nought, with room for the words behind the longest bar."""
    longest = max((len(_short(label)) for label in labels), default=0)
    said = max((len(bar.said) for bar in rows), default=0)
    plot = _WIDTH - _LETTER * (longest + 3)
    room = plot / max(plot / 4, plot - _LETTER * (said + 2))
    values = [0.0, *(bar.value for bar in rows)]
    return min(values), room * (max(values) or 1.0)
