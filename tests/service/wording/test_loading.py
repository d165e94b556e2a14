"""The owner's own texts go before the shipped ones; what cannot be said is left out and named."""

import logging
from pathlib import Path

import pytest

from service.wording import load
from tests.service.building import PRICE_BOOK

HEADER = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\n"\n\n'


def write(folder: Path, language: str, *entries: str) -> None:
    (folder / f"shop.{language}.po").write_text(HEADER + "\n\n".join(entries), encoding="utf-8")


def test_the_owners_own_text_is_said_and_the_rest_is_as_shipped(tmp_path: Path) -> None:
    write(tmp_path, "es", 'msgid "See the whole quote"\nmsgstr "Mira tu cotización"')
    words = load(tmp_path).in_language("es")
    assert words.say("See the whole quote") == "Mira tu cotización"
    assert words.say("Pick a set-up time") == "Elegir hora del montaje"
    assert load(tmp_path).in_language("en").say("See the whole quote") == "See the whole quote"


def test_a_color_of_the_owners_own_has_a_name_in_each_language(tmp_path: Path) -> None:
    write(tmp_path, "es", 'msgid "river mist"\nmsgstr "bruma de río"')
    assert load(tmp_path).in_language("es").colour("river mist") == "bruma de río"
    assert load(None).in_language("es").colour("river mist") == "river mist"


@pytest.mark.parametrize(
    "broken",
    [
        "Tu precio va de %(low)s a %(hihg)s.",
        "Tu precio va de %(low)s.",
        "Tu precio va de %(low)s a %(high)s, 100%.",
        "Tu precio va de %(low)d a %(high)s.",
    ],
)
def test_a_text_with_other_placeholders_is_left_out_and_named(
    broken: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    english = "Your ballpark is %(low)s to %(high)s."
    write(tmp_path, "es", f'msgid "{english}"\nmsgstr "{broken}"')
    with caplog.at_level(logging.WARNING):
        words = load(tmp_path).in_language("es")
    assert words.say(english, low="$1", high="$2") == "Tu precio aproximado es de $1 a $2."
    assert english in caplog.text
    assert "shop.es.po" in caplog.text


@pytest.mark.parametrize("content", [b"See the whole quote = Ver", b'msgid "Ver\xff\xfe"'])
def test_a_file_that_cannot_be_read_leaves_the_shipped_texts(
    content: bytes, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "shop.es.po").write_bytes(content)
    with caplog.at_level(logging.WARNING):
        words = load(tmp_path).in_language("es")
    assert words.say("Show it") == "Ver"
    assert "shop.es.po cannot be read" in caplog.text


def test_a_folder_without_files_changes_nothing(tmp_path: Path) -> None:
    assert load(tmp_path).in_language("en").say("Show it") == "Show it"


def test_a_language_that_nobody_translated_is_english() -> None:
    assert load(None).in_language("fr").language == "en"
    assert load(None).languages == ("en", "es")


def test_the_owners_folder_is_ready_for_own_texts_and_changes_none(
    caplog: pytest.LogCaptureFixture,
) -> None:
    folder = PRICE_BOOK.parent / "wording"
    assert {path.name for path in folder.glob("shop.*.po")} == {"shop.en.po", "shop.es.po"}
    with caplog.at_level(logging.WARNING):
        words = load(folder).in_language("es")
    assert words.say("Show it") == "Ver"
    assert caplog.records == []
