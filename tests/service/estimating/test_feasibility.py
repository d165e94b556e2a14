import datetime as dt

from service.estimating import (
    Brief,
    BriefError,
    ColourShare,
    Event,
    Fullness,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)

TODAY = dt.date(2027, 1, 10)
HALL = Site(setting=Setting.INDOOR, latitude=42.3637, longitude=-71.1034)
WALL = Piece(support=Support.WALL, length_m=3)


def said(
    book: PriceBook, *pieces: Piece, days: int = 60, palette: str = "white", site: Site = HALL
) -> str:
    brief = Brief(
        pieces=pieces,
        palette=tuple(ColourShare(colour=name) for name in palette.split(",")),
        event=Event(date=TODAY + dt.timedelta(days=days), start_time=dt.time(15)),
        site=site,
    )
    return " ".join(each.text for each in estimate(brief, book, today=TODAY).assumptions)


def test_goods_that_come_too_late_are_said_so(book: PriceBook) -> None:
    # Nobody stocks periwinkle: it is ordered from a supplier who takes four working days, and today
    # is a Sunday.
    assert "take 4 working days: too late" in said(book, WALL, days=5, palette="periwinkle")
    assert "too late" not in said(book, WALL, days=6, palette="periwinkle")


def test_work_too_long_for_fresh_balloons_is_said_so(book: PriceBook) -> None:
    long = Piece(support=Support.WALL, length_m=30, count=3, fullness=Fullness.LUSH)
    outdoors = Site(setting=Setting.OUTDOOR, latitude=42.36, longitude=-71.1)
    assert "it wants more hands" in said(book, long, site=outdoors)
    assert "it wants more hands" not in said(book, WALL)


def test_colors_that_got_no_balloon_are_named(book: PriceBook) -> None:
    stub = Piece(support=Support.COLUMN, height_m=0.3)
    many = "white,sand,blush,pink,red,burgundy,coral,peach,orange,mustard,yellow,navy"
    assert "Too few balloons for every color" in said(book, stub, palette=many)
    assert "Too few" not in said(book, WALL, palette="white,navy")


def test_shares_that_leave_something_over_are_scaled_in_the_open(book: PriceBook) -> None:
    palette = (ColourShare(colour="sage", share=0.2), ColourShare(colour="cream", share=0.2))
    answer = estimate(Brief(pieces=(WALL,), palette=palette), book, today=TODAY)
    assert any("add up to 40%" in each.text for each in answer.assumptions)


def test_a_balloon_is_not_sized_beyond_the_class_that_is_used(book: PriceBook) -> None:
    column = Piece(support=Support.COLUMN, height_m=2, sized_m=0.9)
    try:
        estimate(Brief(pieces=(column,)), book, today=TODAY)
    except BriefError as refused:
        (problem,) = refused.problems
        assert problem.field == "pieces[0].sized_m"
        assert "11 in" in problem.detail
    else:
        raise AssertionError("a balloon of 0.9 m was taken for an 11 in one")
