"""What the brief left open is told, with what was taken instead; nothing else is."""

import dataclasses
import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from service.estimating import (
    Assumption,
    Brief,
    ColourShare,
    Event,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.estimating.book import Figure
from service.estimating.brief import Ground
from service.estimating.extras import Accent, AccentKind, Floating, FloatKind
from service.estimating.paths import Placement
from service.leads.review import reasons

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
LAWN = dataclasses.replace(
    HALL,
    setting=Setting.OUTDOOR,
    temperature_c=24.0,
    gust_m_s=6.0,
    ground=Ground.PAVING,
)
TUESDAY = Event(date=dt.date(2027, 6, 8), start_time=dt.time(15))
FRAME = Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336)
TABLE = Piece(support=Support.TABLE, length_m=2)
FLOATING = (Floating(kind=FloatKind.LATEX, size_class=11, count=10),)


def brief_of(*pieces: Piece, **facts: Any) -> Brief:
    colours = tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold"))
    given = {"palette": colours, "event": TUESDAY, "site": HALL, **facts}
    return Brief(pieces=pieces or (FRAME,), **given)


def told(brief: Brief, book: PriceBook) -> dict[str, str]:
    found = estimate(brief, book, today=TODAY).assumptions
    texts = {assumption.field: assumption.text for assumption in found}
    assert len(texts) == len(found)
    return texts


@pytest.mark.parametrize("keeps", [None, True, False])
def test_a_plain_complete_brief_leaves_nothing_open_and_goes_out_unseen(
    book: PriceBook, keeps: bool | None
) -> None:
    brief = brief_of(client_keeps=keeps)
    answer = estimate(brief, book, today=TODAY)
    assert answer.assumptions == ()
    assert reasons(brief, answer, book, today=TODAY) == ()


def test_a_brief_with_four_usual_gaps_still_goes_out_unseen(book: PriceBook) -> None:
    brief = Brief(pieces=(FRAME,), site=Site(setting=Setting.INDOOR))
    answer = estimate(brief, book, today=TODAY)
    fields = [assumption.field for assumption in answer.assumptions]
    assert fields == ["palette", "event.date", "event.start_time", "site.postal_code"]
    (limit,) = (r.when.threshold for r in book.review if r.when.figure is Figure.ASSUMPTIONS)
    assert isinstance(limit, Decimal)
    assert len(fields) <= limit
    assert reasons(brief, answer, book, today=TODAY) == ()


def test_a_complete_brief_outdoors_leaves_nothing_open_either(book: PriceBook) -> None:
    assert told(brief_of(site=LAWN), book) == {}
    assert told(brief_of(TABLE, site=LAWN), book) == {}


def test_an_accent_without_a_number_gets_the_usual_one(book: PriceBook) -> None:
    accents = (
        Accent(kind=AccentKind.SIGN),
        Accent(kind=AccentKind.FLOWERS),
        Accent(kind=AccentKind.GREENERY, count=3),
    )
    piece = dataclasses.replace(FRAME, accents=accents)
    # A sign is one sign, and the greenery has its number.
    assert told(brief_of(piece), book) == {
        "pieces[0].accents[1]": "no number given for the flowers: 9 on each piece"
    }


@pytest.mark.parametrize(
    ("placement", "share"),
    [(Placement.ONE_SIDE, "50%"), (Placement.CENTRED, "50%"), (Placement.ASYMMETRIC, "70%")],
)
def test_a_placement_that_does_not_say_how_far_gets_the_usual_share(
    book: PriceBook, placement: Placement, share: str
) -> None:
    piece = dataclasses.replace(FRAME, placement=placement)
    texts = told(brief_of(piece), book)
    assert set(texts) == {"pieces[0].coverage"}
    assert f"{share} of it, as is usual for {placement.words}" in texts["pieces[0].coverage"]
    assert told(brief_of(dataclasses.replace(piece, coverage=0.6)), book) == {}


@pytest.mark.parametrize("placement", [Placement.WHOLE, Placement.CORNER_TO_CORNER])
def test_a_placement_that_says_how_far_leaves_nothing_open(
    book: PriceBook, placement: Placement
) -> None:
    assert told(brief_of(dataclasses.replace(FRAME, placement=placement)), book) == {}


def test_stairs_that_were_counted_and_not_measured(book: PriceBook) -> None:
    counted = Piece(support=Support.STAIRCASE, steps=13)
    texts = told(brief_of(counted), book)
    assert set(texts) == {"pieces[0].steps"}
    assert "its 13 steps, as steep as in a house" in texts["pieces[0].steps"]
    assert told(brief_of(Piece(support=Support.STAIRCASE, rise_m=2.5, run_m=3.3)), book) == {}


def test_a_setting_that_was_not_said_is_indoors(book: PriceBook) -> None:
    texts = told(brief_of(site=dataclasses.replace(HALL, setting=None)), book)
    assert texts == {"site.setting": "not said whether indoors or outdoors: taken as indoors"}


@pytest.mark.parametrize(
    ("missing", "text"),
    [
        ("temperature_c", "no temperature given: 68 °F, as in the workshop"),
        ("gust_m_s", "no wind given: weights are for gusts of {gust} mph"),
        ("ground", "not said what it stands on: taken as grass"),
    ],
)
def test_weather_and_ground_matter_outdoors(book: PriceBook, missing: str, text: str) -> None:
    open_site: dict[str, Any] = {missing: None}
    lawn = dataclasses.replace(LAWN, **open_site)
    gust = f"{book.wind.gust_m_s / 0.44704:.0f}"
    assert told(brief_of(site=lawn), book) == {f"site.{missing}": text.format(gust=gust)}
    indoors = dataclasses.replace(lawn, setting=Setting.INDOOR)
    assert told(brief_of(site=indoors), book) == {}


def test_a_wind_by_its_beaufort_number_is_a_wind_given(book: PriceBook) -> None:
    site = dataclasses.replace(LAWN, gust_m_s=None, beaufort=3)
    assert told(brief_of(site=site), book) == {}


def test_wind_and_ground_are_nothing_to_what_does_not_stand(book: PriceBook) -> None:
    site = dataclasses.replace(LAWN, gust_m_s=None, ground=None)
    assert told(brief_of(TABLE, site=site), book) == {}


def test_helium_balloons_stay_or_go_and_float_for_less_outdoors(book: PriceBook) -> None:
    inside = told(brief_of(floating=FLOATING), book)
    assert set(inside) == {"client_keeps"}
    assert "taxed as taken away" in inside["client_keeps"]
    assert told(brief_of(floating=FLOATING, client_keeps=True), book) == {}
    outside = told(brief_of(floating=FLOATING, client_keeps=False, site=LAWN), book)
    assert set(outside) == {"floating"}
    assert "float for less than the hours given" in outside["floating"]


@pytest.mark.parametrize(
    ("facts", "due"),
    [
        ({"site": dataclasses.replace(HALL, place="Riverside Hospital")}, True),
        ({"notes": "for the care home's garden room"}, True),
        ({"site": dataclasses.replace(HALL, place="the boathouse")}, False),
    ],
)
def test_latex_where_it_may_not_be_allowed(
    book: PriceBook, facts: dict[str, Any], due: bool
) -> None:
    assert ("site.place" in told(brief_of(**facts), book)) == due


def test_what_the_owner_allows_instead_is_no_assumption(book: PriceBook) -> None:
    palette = tuple(ColourShare(colour=name) for name in ("navy", "white", "light blue", "teal"))
    wide = Piece(support=Support.WALL, length_m=9)
    answer = estimate(brief_of(wide, palette=palette), book, today=TODAY)
    assert answer.shopping.filled
    assert answer.assumptions == ()


def test_what_has_to_be_hired_comes_last(book: PriceBook) -> None:
    odd = dataclasses.replace(FRAME, width_m=2.0, height_m=2.4, measures_assumed=True)
    found = estimate(Brief(pieces=(odd,)), book, today=TODAY).assumptions
    assert "to hire" in found[-1].text
    assert found[0] == Assumption(
        field="pieces[0]", text="a usual size for a round top frame, not measured"
    )


def test_words_in_foil_are_said_to_be_spelled_with_single_letters(book: PriceBook) -> None:
    found = told(brief_of(foils=("50", "LOVE", "star", "A")), book)
    assert found == {"foils[1]": "“LOVE” is spelled with 4 single letters"}
