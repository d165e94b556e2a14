import datetime as dt
from collections.abc import Sequence
from dataclasses import fields, replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import (
    Brief,
    BriefError,
    Budget,
    Build,
    ColourShare,
    Event,
    Fullness,
    Piece,
    Price,
    PriceBook,
    Support,
    estimate,
)
from service.estimating.extras import Accent, AccentKind
from service.estimating.options import MOST_OPTIONS, Option, _ways, options, to_pay
from service.estimating.paths import MEASURES, Placement

TODAY = dt.date(2027, 6, 1)
FOOT = 0.3048
FLOWERS = Accent(kind=AccentKind.FLOWERS, count=10)
SIGN = Accent(kind=AccentKind.SIGN, words="Rowing Club 1927")
FRAME = Piece(
    support=Support.ROUND_TOP_FRAME,
    width_m=4 * FOOT,
    height_m=7 * FOOT,
    accents=(FLOWERS, SIGN),
)
WALL = Piece(support=Support.WALL, length_m=3, fullness=Fullness.LUSH)
COLUMNS = Piece(support=Support.COLUMN, height_m=6 * FOOT, count=2)
NAVY_AND_WHITE = tuple(ColourShare(colour=name) for name in ("navy", "white"))


def brief_of(*pieces: Piece, most: Decimal | int | None = None, **other: object) -> Brief:
    budget = None if most is None else Budget(max=Decimal(most))
    given = {"palette": NAVY_AND_WHITE, "budget": budget, **other}
    return Brief(pieces=pieces, **given)  # type: ignore[arg-type]  # facts by name


def asked(brief: Brief, book: PriceBook) -> Decimal:
    """What the wish itself comes to."""
    return to_pay(estimate(brief, book, today=TODAY).price)


def found(book: PriceBook, *pieces: Piece, share: str = "1") -> tuple[Option, ...]:
    """Options for a budget of so much of what the wish comes to."""
    wish = brief_of(*pieces)
    most = asked(wish, book) * Decimal(share)
    return options(replace(wish, budget=Budget(max=most)), book, today=TODAY)


def looks(option: Option) -> list[Fullness]:
    return [piece.fullness for piece in option.brief.pieces]


def pay(option: Option) -> Decimal:
    return to_pay(option.estimate.price)


# -- without a budget ----------------------------------------------------------------------------


def test_without_a_budget_airy_full_and_lush_stand_side_by_side(book: PriceBook) -> None:
    airy, full, lush = options(brief_of(FRAME), book, today=TODAY)
    assert [looks(each) for each in (airy, full, lush)] == [[each] for each in Fullness]
    assert [each.changes for each in (airy, full, lush)] == [
        ("airy throughout",),
        (),
        ("lush throughout",),
    ]
    assert pay(airy) < pay(full) < pay(lush)
    assert {each.fits for each in (airy, full, lush)} == {None}


def test_a_budget_without_an_upper_end_is_none(book: PriceBook) -> None:
    at_least = replace(brief_of(FRAME), budget=Budget(min=Decimal(100)))
    assert [each.fits for each in options(at_least, book, today=TODAY)] == [None] * 3


def test_what_is_built_of_one_size_has_no_fullness_to_choose(book: PriceBook) -> None:
    (alone,) = options(brief_of(COLUMNS), book, today=TODAY)
    assert (alone.changes, alone.brief.pieces) == ((), (COLUMNS,))
    for option in options(brief_of(FRAME, COLUMNS), book, today=TODAY):
        assert option.brief.pieces[1] == COLUMNS


def test_pieces_of_different_fullness_stay_among_the_options_as_asked(book: PriceBook) -> None:
    airy, wish, lush = options(brief_of(FRAME, WALL), book, today=TODAY)
    assert (looks(airy), airy.changes) == ([Fullness.AIRY] * 2, ("airy throughout",))
    assert (wish.brief, wish.changes) == (brief_of(FRAME, WALL), ())
    assert (looks(lush), lush.changes) == ([Fullness.LUSH] * 2, ("lush throughout",))


# -- the wish within the budget ------------------------------------------------------------------


def test_a_wish_that_just_fits_comes_first_and_alone(book: PriceBook) -> None:
    (only,) = found(book, FRAME)
    assert (only.changes, only.fits, only.loss) == ((), True, 0)
    assert only.brief.pieces == (FRAME,)


def test_where_the_budget_allows_a_fuller_one_is_offered_behind_the_wish(book: PriceBook) -> None:
    airy = replace(FRAME, fullness=Fullness.AIRY)
    wish, full, lush = found(book, airy, share="2")
    assert [each.changes for each in (wish, full, lush)] == [
        (),
        ("fuller: full",),
        ("fuller: lush",),
    ]
    assert pay(wish) < pay(full) < pay(lush)
    assert all(each.fits and each.loss == 0 for each in (wish, full, lush))


def test_a_fuller_one_beyond_the_budget_is_not_offered(book: PriceBook) -> None:
    airy, full, lush = (asked(brief_of(replace(FRAME, fullness=look)), book) for look in Fullness)
    wish = brief_of(replace(FRAME, fullness=Fullness.AIRY), most=full)
    assert [pay(each) for each in options(wish, book, today=TODAY)] == [airy, full]
    assert lush > full


def test_what_cannot_be_fuller_is_offered_as_it_is(book: PriceBook) -> None:
    for piece in (WALL, COLUMNS):
        (only,) = found(book, piece, share="3")
        assert only.changes == ()


# -- what is given up ----------------------------------------------------------------------------


def test_what_does_not_fit_is_cut_in_different_ways_the_least_loss_first(book: PriceBook) -> None:
    three = found(book, replace(FRAME, fullness=Fullness.LUSH), WALL, share="0.94")
    assert len(three) == MOST_OPTIONS
    assert all(each.fits and each.changes for each in three)
    assert [each.loss for each in three] == sorted(each.loss for each in three)
    kinds = [
        frozenset(word for word in ("lighter", "shorter", "half", "without") if word in text)
        for text in ("; ".join(each.changes) for each in three)
    ]
    assert len(set(kinds)) == MOST_OPTIONS


def test_of_several_pieces_those_that_change_are_named_and_those_that_do_not(
    book: PriceBook,
) -> None:
    arches = Piece(support=Support.FREESTANDING_ARCH, width_m=2, height_m=2.2, count=2)
    said = {text for way in _ways(brief_of(arches, HOOP), book) for text in way.gives_up.values()}
    assert "freestanding arches and hoop lighter: airy" in said
    assert "freestanding arches and hoop half as long, asymmetric" in said
    lush = replace(HOOP, fullness=Fullness.LUSH)
    mixed = [*_ways(brief_of(replace(arches, fullness=Fullness.AIRY), lush), book)]
    lighter = [way.gives_up for way in mixed if set(way.gives_up) == {"fullness"}]
    assert lighter == [
        {"fullness": "hoop lighter: full; freestanding arches as asked"},
        {"fullness": "hoop lighter: airy; freestanding arches as asked"},
    ]
    # What is of one size is neither lighter nor shorter, and two alike are told apart.
    two = [*_ways(brief_of(HOOP, replace(HOOP, width_m=1.2), COLUMNS), book)]
    assert {"fullness": "hoop no. 1 and hoop no. 2 lighter: airy; columns as asked"} in [
        way.gives_up for way in two
    ]


def test_extras_left_out_name_their_pieces(book: PriceBook) -> None:
    ways = [*_ways(brief_of(FRAME, COLUMNS), book)]
    plainer = [way.gives_up for way in ways if set(way.gives_up) == {"accents"}]
    assert plainer == [
        {"accents": "round top frame with half the flowers; columns as asked"},
        {"accents": "round top frame without flowers; columns as asked"},
    ]


def test_a_fuller_one_names_the_piece_that_is_fuller(book: PriceBook) -> None:
    wish, fuller = found(book, FRAME, WALL, share="2")
    assert wish.changes == ()
    assert fuller.changes == ("round top frame fuller: lush; wall as asked",)


def test_less_garland_is_laid_so_that_it_looks_meant(book: PriceBook) -> None:
    bare = replace(FRAME, accents=(), fullness=Fullness.AIRY)
    (shorter,) = found(book, bare, share="0.95")
    (piece,) = shorter.brief.pieces
    # Round a frame two unequal runs; a garland that just stops halfway would look like a mistake.
    assert piece.placement is Placement.ASYMMETRIC
    assert piece.coverage in (0.85, 0.7, 0.5)
    assert shorter.changes[0].endswith(", asymmetric")


HOOP = Piece(support=Support.HOOP, width_m=1.8)
DOORWAY = Piece(support=Support.DOORWAY, width_m=1, height_m=2.1)
STAIRCASE = Piece(support=Support.STAIRCASE, rise_m=2.6, run_m=3)
POLE = Piece(support=Support.COLUMN, height_m=2, build=Build.ORGANIC)


@pytest.mark.parametrize(
    ("piece", "placement", "words"),
    [
        (WALL, Placement.CENTRED, "centered"),
        (HOOP, Placement.ASYMMETRIC, "asymmetric"),
        (DOORWAY, Placement.ASYMMETRIC, "asymmetric"),
        (STAIRCASE, Placement.ONE_SIDE, "from the foot up"),
        (POLE, Placement.ONE_SIDE, "from the foot up"),
    ],
    ids=lambda value: value.support.value if isinstance(value, Piece) else str(value),
)
def test_how_less_garland_lies_goes_by_the_support(
    book: PriceBook, piece: Piece, placement: Placement, words: str
) -> None:
    airy = replace(piece, fullness=Fullness.AIRY)
    (shorter,) = options(brief_of(airy, most=1), book, today=TODAY)
    assert shorter.brief.pieces[0].placement is placement
    assert shorter.changes == (f"garland half as long, {words}",)


def test_a_placement_that_was_wished_stays_and_gets_shorter(book: PriceBook) -> None:
    one_side = replace(FRAME, placement=Placement.ONE_SIDE, accents=(), fullness=Fullness.AIRY)
    given = replace(one_side, coverage=0.6)
    for wished, covered in ((one_side, 0.5), (given, 0.6)):
        (shorter,) = options(brief_of(wished, most=1), book, today=TODAY)
        (piece,) = shorter.brief.pieces
        assert piece.placement is Placement.ONE_SIDE
        assert piece.coverage == pytest.approx(covered / 2)
        assert shorter.changes == ("garland half as long",)


def test_half_the_flowers_are_half_also_where_nobody_counted_them(book: PriceBook) -> None:
    usual = book.fittings.accents[AccentKind.FLOWERS].usual
    uncounted = replace(COLUMNS, accents=(Accent(kind=AccentKind.FLOWERS), SIGN))
    dear = replace(COLUMNS, accents=(FLOWERS, SIGN))
    for piece, half in ((uncounted, -(-usual // 2)), (dear, 5)):
        (fewer,) = found(book, piece, share="0.98")
        assert fewer.changes == ("half the flowers",)
        assert fewer.brief.pieces[0].accents == (Accent(kind=AccentKind.FLOWERS, count=half), SIGN)


def test_a_sign_and_foils_say_something_and_stay(book: PriceBook) -> None:
    cover = Accent(kind=AccentKind.FABRIC_COVER)
    wish = brief_of(replace(FRAME, accents=(FLOWERS, SIGN, cover)), most=1, foils=("5", "0"))
    (least,) = options(wish, book, today=TODAY)
    assert least.brief.foils == ("5", "0")
    assert least.brief.pieces[0].accents == (SIGN,)
    assert "without flowers and fabric cover" in least.changes


def test_balloons_of_one_size_keep_their_whole_length(book: PriceBook) -> None:
    (least,) = options(brief_of(replace(COLUMNS, accents=(FLOWERS,)), most=1), book, today=TODAY)
    assert least.brief.pieces == (COLUMNS,)
    assert least.changes == ("without flowers",)


# -- where nothing fits --------------------------------------------------------------------------


@pytest.mark.parametrize("pieces", [(FRAME,), (FRAME, WALL, COLUMNS), (COLUMNS,)])
def test_below_any_price_the_cheapest_is_offered_and_said_not_to_fit(
    book: PriceBook, pieces: Sequence[Piece]
) -> None:
    (cheapest,) = options(brief_of(*pieces, most=10), book, today=TODAY)
    assert cheapest.fits is False
    wish = asked(brief_of(*pieces), book)
    assert pay(cheapest) <= wish
    if pieces != (COLUMNS,):
        assert pay(cheapest) < wish


def test_where_only_the_minimum_counts_nothing_is_given_up_for_nothing(book: PriceBook) -> None:
    tiny = Piece(support=Support.WALL, length_m=0.3)
    least = replace(book, policy=replace(book.policy, minimum=Decimal(1000)))
    (cheapest,) = options(brief_of(tiny, most=10), least, today=TODAY)
    # Every way to cut it costs the same, so that the wish stays as it is.
    assert (cheapest.changes, cheapest.fits, cheapest.loss) == ((), False, 0)


def test_tax_counts_against_the_budget(book: PriceBook) -> None:
    price = Price(
        low=Decimal(90),
        likely=Decimal(100),
        high=Decimal(120),
        currency="USD",
        tax_included=False,
        deposit=Decimal(50),
        tax=Decimal(6),
    )
    assert to_pay(price) == 106
    assert to_pay(replace(price, tax_included=True)) == 100
    kept = brief_of(WALL, client_keeps=True)
    answer = estimate(kept, book, today=TODAY).price
    assert answer.tax > 0
    just_below = replace(kept, budget=Budget(max=answer.likely))
    assert options(just_below, book, today=TODAY)[0].changes


def test_a_brief_that_cannot_be_estimated_has_no_options(book: PriceBook) -> None:
    gone = Event(date=TODAY - dt.timedelta(days=1))
    for most in (None, 500):
        with pytest.raises(BriefError):
            options(brief_of(FRAME, most=most, event=gone), book, today=TODAY)


# -- whatever is asked ---------------------------------------------------------------------------


pieces = st.builds(
    Piece,
    support=st.sampled_from(
        [Support.WALL, Support.ROUND_TOP_FRAME, Support.HOOP, Support.COLUMN, Support.MANTEL]
    ),
    count=st.integers(1, 2),
    fullness=st.sampled_from(Fullness),
    coverage=st.none() | st.floats(0.2, 1),
    placement=st.sampled_from(Placement),
    width_m=st.floats(1, 2.5),
    height_m=st.floats(1.6, 3),
    length_m=st.floats(1, 6),
    accents=st.lists(
        st.builds(Accent, kind=st.sampled_from(AccentKind), count=st.none() | st.integers(1, 9)),
        max_size=3,
    ).map(tuple),
)


@settings(deadline=None, max_examples=40)
@given(
    wished=st.lists(pieces, min_size=1, max_size=3),
    most=st.none() | st.integers(0, 2500),
)
def test_every_option_is_a_whole_estimate_of_the_same_pieces(
    book: PriceBook, wished: list[Piece], most: int | None
) -> None:
    wish = brief_of(*wished, most=most)
    several = options(wish, book, today=TODAY)
    assert 1 <= len(several) <= MOST_OPTIONS
    assert len({each.brief for each in several}) == len(several)
    for each in several:
        assert each.estimate == estimate(each.brief, book, today=TODAY)
        assert replace(each.brief, pieces=wish.pieces) == wish
        assert (each.brief == wish) is (each.changes == ())
        assert each.fits is (None if most is None else pay(each) <= most)
        for before, after in zip(wish.pieces, each.brief.pieces, strict=True):
            assert all(getattr(before, name) == getattr(after, name) for name in MEASURES)
            same = {field.name for field in fields(Piece)} - {
                "fullness",
                "coverage",
                "placement",
                "accents",
            }
            assert all(getattr(before, name) == getattr(after, name) for name in same)
    if most is not None and asked(wish, book) <= most:
        assert several[0].brief == wish
    if len(several) > 1 and most is not None:
        assert all(each.fits for each in several)
    assert [each.loss for each in several] == sorted(each.loss for each in several)


def test_fewer_than_forty_estimates_are_made(book: PriceBook) -> None:
    # Two steps down, four lengths, three kinds of extras: 36 with the wish, and two fuller ones.
    lush = replace(FRAME, fullness=Fullness.LUSH)
    ways = [*_ways(brief_of(lush, WALL, COLUMNS), book)]
    assert len(ways) == 35
    assert len({way.brief for way in ways}) == len(ways)
    # Without flowers to leave out, and without a step down, only the lengths are left.
    airy = replace(WALL, fullness=Fullness.AIRY)
    assert len([*_ways(brief_of(airy), book)]) == 3
    assert [*_ways(brief_of(COLUMNS), book)] == []
