"""Quotes on paper, in both languages, on both sizes of paper."""

import io
from dataclasses import replace
from decimal import Decimal

import pytest
from PIL import Image

from service.estimating import ColourShare, Piece, Setting, Site, Support
from service.leads.agreements import Clauses
from service.leads.lead import LeadState, QuoteKind
from service.rendering.paper import PaperSize
from service.rendering.quote_document import Impression, pdf
from service.workshop.quote_document import QuoteDocument, Standing
from tests.service.building import a_brief
from tests.service.rendering.reading import clipped, fonts_of, pages_of, qr_codes_of, text_of
from tests.service.workshop.quotes_told import BOOK, LINK, NOON, QUOTED, a_hold, a_quote, told

NAME = "The Alder Mills Rowing and Sculling Association, Founded in 1977, and " * 3
CLAUSES = Clauses(terms="Lost frames are paid for.\n\nBe kind.", weather="Storms have a say.")
LANDING = Site(setting=Setting.OUTDOOR, place=NAME[:200], latitude=42.37, longitude=-71.18)
SIX = tuple(
    ColourShare(colour=name) for name in ("sage", "cream", "gold", "navy", "white", "light blue")
)
MANY = a_brief(
    pieces=tuple(Piece(support=Support.COLUMN, height_m=1 + i / 10) for i in range(20)),
    palette=SIX,
    site=LANDING,
    foils=("REGATTA", "50"),
)


def printed(
    said: QuoteDocument, size: PaperSize = PaperSize.LETTER, picture: Impression | None = None
) -> bytes:
    return pdf(said, size=size, made_at=NOON, picture=picture)


def an_impression() -> Impression:
    out = io.BytesIO()
    Image.new("RGB", (1200, 900), "#88aa99").save(out, "jpeg")
    return Impression(data=out.getvalue(), alt="a round-top frame", caption="An impression.")


@pytest.mark.parametrize("size", PaperSize)
@pytest.mark.parametrize("language", ["en", "es"])
def test_everything_stands_there_and_nothing_is_clipped(size: PaperSize, language: str) -> None:
    price = Decimal("3640.50")
    quote = a_quote(MANY, kind=QuoteKind.FIRM, low=price, likely=price, high=price, note=NAME)
    standing = replace(
        QUOTED, state=LeadState.HELD, hold=a_hold(), addressee=NAME[:200], clauses=CLAUSES
    )
    said = told(quote, standing, language)
    made = printed(said, size, an_impression())
    assert clipped(made) == []
    assert all(fonts_of(made).values())
    assert qr_codes_of(made) == [LINK]
    # The address is broken into lines; so may any word be.
    text = "".join(text_of(made).split()).casefold()
    assert said.costs is not None
    for part in (
        *(said.heading, said.titles.quote, said.price, said.addressee, NAME, LINK, said.kept),
        *(value for fact in said.facts for value in fact),
        *(piece.text for piece in said.pieces),
        *(row.colour for row in said.totals.rows),
        *(said.thanks, said.closing, said.owner, *said.totals.sizes),
        *(value for line in said.costs.lines for value in line),
        *(
            said.costs.tax,
            *said.others,
            said.included,
            *said.booking,
            said.paying,
        ),
        *(*said.cautions, *said.terms, "Lost frames are paid for.", "Storms have a say."),
        *(said.good_until, *said.contact, "An impression."),
    ):
        assert part is not None
        assert "".join(part.split()).casefold() in text, part


def test_without_a_picture_it_goes_out_as_well() -> None:
    with_one = printed(told(a_quote()), picture=an_impression())
    without = printed(told(a_quote()))
    assert b"/DCTDecode" in with_one
    assert b"/DCTDecode" not in without
    assert "What you get" in text_of(without)


def test_nothing_known_of_the_day_or_of_whom_it_is_for_leaves_no_gap() -> None:
    bare = a_brief(event=replace(a_brief().event, date=None, start_time=None), site=Site())
    text = text_of(printed(told(a_quote(bare), Standing(state=LeadState.QUOTED))))
    assert "No day chosen yet" in text
    assert "Not said yet" in text
    assert "None" not in text


def test_a_price_that_stands_no_more_says_so_at_the_top_and_has_no_code() -> None:
    gone = printed(told(a_quote(), Standing(state=LeadState.DECLINED, canceled=True, link=LINK)))
    assert "This booking was canceled." in pages_of(gone)[0]
    assert qr_codes_of(gone) == []


@pytest.mark.parametrize("size", PaperSize)
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_usual_quote_is_a_signed_letter_and_a_page_that_belongs_to_it(
    size: PaperSize, language: str
) -> None:
    usual = replace(QUOTED, clauses=_agreed_by_the_shop(language))
    foils = replace(a_brief(), foils=("5", "0"), client_keeps=True)
    first, _ = pages_of(printed(told(a_quote(foils), usual, language), size, an_impression()))
    assert "Ida Marsh" in first.splitlines()


def test_many_pieces_alike_are_told_at_once() -> None:
    alike = replace(MANY, pieces=MANY.pieces[:1] * 7)
    assert "7 × column" in text_of(printed(told(a_quote(alike))))


def _agreed_by_the_shop(language: str) -> Clauses:
    return Clauses(
        terms=BOOK.booking.terms[language] + "\n\n" + NAME[:60] * 6,
        weather=BOOK.booking.weather[language],
    )
