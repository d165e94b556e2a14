"""What the picture shows, said to those who do not see it."""

import datetime as dt

import pytest

from service.estimating import (
    Brief,
    ColourShare,
    Estimate,
    Floating,
    FloatKind,
    Piece,
    Support,
    estimate,
)
from service.leads.picture_words import alt_text
from service.storage.price_book import read_price_book
from service.wording import load
from tests.service.building import PRICE_BOOK

WORDING = load(None)
FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
BRIEF = Brief(
    pieces=(FRAME, Piece(support=Support.COLUMN, height_m=1.8288, count=2)),
    palette=tuple(ColourShare(colour=name) for name in ("sage", "cream")),
    foils=("5", "0", "star"),
    floating=(Floating(kind=FloatKind.LATEX, size_class=11, count=7),),
)


@pytest.fixture(scope="module")
def counted() -> Estimate:
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    return estimate(BRIEF, book, today=dt.date(2027, 1, 10))


def test_in_english(counted: Estimate) -> None:
    said = alt_text(BRIEF, counted, WORDING.in_language("en"))
    assert said == (
        "A drawing of your balloons, to scale: round-top frame, 4 ft wide and 7 ft tall, full;"
        f" 2 columns, 6 ft tall; about {counted.balloons_total} balloons in cream and sage;"
        " foil balloons: 50 and star. Beside it: 7 helium balloons, 11 in latex."
        " A figure next to it shows how tall a grown-up is."
    )


def test_in_spanish(counted: Estimate) -> None:
    said = alt_text(BRIEF, counted, WORDING.in_language("es"))
    assert said.startswith("Un dibujo a escala de tus globos: marco de arco, 4 pies de ancho")
    assert f"unos {counted.balloons_total} globos en crema y verde salvia" in said
    assert "globos metalizados: 50 y estrella" in said
    assert "Al lado: 7 globos con helio" in said
