"""The catalogues say everything that the code says, and nothing else."""

from collections import Counter
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

from service.storage.price_book import PriceBookFile
from service.wording.placeholders import fits
from tests.service.building import PRICE_BOOK
from tests.service.wording.extracting import SERVICE, Text, said


def catalogue(language: str) -> Catalog:
    with (SERVICE / f"wording/{language}.po").open("rb") as file:
        return read_po(file)


def texts_of(language: str) -> dict[Text, tuple[str, ...]]:
    """Every entry by its English."""
    return {
        message.id if isinstance(message.id, str) else tuple(message.id): (
            (message.string,) if isinstance(message.string, str) else tuple(message.string or ())
        )
        for message in catalogue(language)
        if message.id
    }


def wanted() -> set[Text]:
    book = PriceBookFile(PRICE_BOOK).current()
    colours = (colour.name for colour in book.colours)
    return {*said(), *colours, *book.fittings.foils.shape_names}


def test_spanish_has_every_text_and_no_other() -> None:
    spanish = texts_of("es")
    assert wanted() - spanish.keys() == set(), "missing"
    assert spanish.keys() - wanted() == set(), "said nowhere"
    assert [text for text, forms in spanish.items() if not all(forms)] == []


def test_english_changes_only_what_is_said() -> None:
    assert texts_of("en").keys() - wanted() == set()


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_entry_can_be_filled_in(language: str) -> None:
    for text, forms in texts_of(language).items():
        assert fits((text,) if isinstance(text, str) else text, forms), text


@pytest.mark.parametrize("language", ["en", "es"])
def test_no_text_stands_twice(language: str) -> None:
    lines = Path(SERVICE / f"wording/{language}.po").read_text().splitlines()
    ids = Counter(line for line in lines if line.startswith("msgid "))
    assert [line for line, times in ids.items() if times > 1] == []


def test_spanish_times_stand_without_an_article_since_one_o_clock_has_another() -> None:
    """ "a la 1:00", but "a las 2:00"."""
    times = ("time", "arrive", "ready")
    wrong = [f"las %({name})s" for name in times]
    said = [form for forms in texts_of("es").values() for form in forms]
    assert [form for form in said for each in wrong if each in form] == []
