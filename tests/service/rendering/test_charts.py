"""Charts: SVG that stands on its own and says what its table says."""

import sys
from xml.etree import ElementTree as ET

import pytest

from service.rendering.charts import Bar, bars, pairs

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


def test_two_bars_share_a_label_the_first_one_above_and_paler() -> None:
    months = [
        (Bar(label=month, value=90, said="told $90"), Bar(label="", value=95, said="real $95"))
        for month in ("May", "Jun")
    ]
    drawing = ET.fromstring(pairs(months))  # noqa: S314 - our own
    texts = [element.text for element in drawing.iter("{http://www.w3.org/2000/svg}text")]
    assert [texts.count(said) for said in ("May", "Jun", "told $90", "real $95")] == [1, 1, 2, 2]
    height = {
        text.text: float(text.attrib["y"])
        for text in drawing.iter("{http://www.w3.org/2000/svg}text")
        if text.text in ("told $90", "real $95")
    }
    assert height["told $90"] < height["real $95"]
    assert b"#b9cfc4" in pairs(months)
    assert b"#b9cfc4" not in bars(ROWS)


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
