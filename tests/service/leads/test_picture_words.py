"""What the picture shows, said to those who do not see it."""

import datetime as dt
from dataclasses import replace

import pytest

from service.estimating import (
    Accent,
    AccentKind,
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
        f" 2 columns, 6 ft tall; about {round(counted.balloons_total, -1)} balloons in sage and"
        " cream;"
        " foil balloons: 50 and star. Beside it: 7 helium balloons, 11 in latex."
        " A figure next to it shows how tall a grown-up is."
    )


def test_in_spanish(counted: Estimate) -> None:
    said = alt_text(BRIEF, counted, WORDING.in_language("es"))
    assert said.startswith("Un dibujo a escala de tus globos: marco de arco, 4 pies de ancho")
    assert f"unos {round(counted.balloons_total, -1)} globos en verde salvia y crema" in said
    assert "globos metalizados: 50 y estrella" in said
    assert "Al lado: 7 globos con helio" in said


def test_pieces_that_are_alike_are_said_once_and_long_signs_in_short() -> None:
    sign = Accent(kind=AccentKind.SIGN, words="Welcome back to the library " * 4)
    pieces = (FRAME, *BRIEF.pieces, replace(FRAME, accents=(sign,)))
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    brief = replace(BRIEF, pieces=pieces)
    said = alt_text(
        brief, estimate(brief, book, today=dt.date(2027, 1, 10)), WORDING.in_language("en")
    )
    assert "2 round-top frames, 4 ft wide and 7 ft tall, full; 2 columns" in said
    assert "(“Welcome back to the library Welcome back to the library…”)" in said
