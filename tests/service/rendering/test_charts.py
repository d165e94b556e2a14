"""Charts: SVG that stands on its own and says what its table says."""

import sys
from xml.etree import ElementTree as ET

import pytest

from service.rendering.charts import Bar, bars

ROWS = (
    Bar(label="won", value=66, said="66"),
    Bar(label="lost & gone <b>", value=0, said="none"),
    Bar(label="a source with a very long name indeed", value=-3, said="−3"),
)


def test_every_bar_has_its_label_and_its_value_in_words() -> None:
    drawing = ET.fromstring(bars(ROWS))  # noqa: S314 - our own
    texts = [element.text for element in drawing.iter("{http://www.w3.org/2000/svg}text")]
    for said in ("won", "66", "lost & gone <b>", "none", "a source with a very …", "−3"):
        assert said in texts


def test_a_chart_asks_for_nothing_from_elsewhere_and_runs_nothing() -> None:
    drawing = ET.fromstring(bars(ROWS))  # noqa: S314 - our own
    for element in drawing.iter():
        assert not str(element.tag).endswith("script")
        assert not [name for name in element.attrib if name.endswith("href")]
    assert b"@import" not in bars(ROWS)
    assert b"prefers-color-scheme:dark" in bars(ROWS)


@pytest.mark.parametrize("value", [0, 1e9])
def test_even_nothing_can_be_drawn(value: float) -> None:
    assert ET.fromstring(bars([Bar(label="all", value=value, said="x")])) is not None  # noqa: S314
    assert b"nothing yet" in bars([])


def test_drawing_leaves_imports_alone() -> None:
    assert not [each for each in sys.meta_path if type(each).__module__.startswith("pygal")]
