"""The maker's sheet: its clusters are the estimate's, to the balloon."""

import datetime as dt
from collections import Counter
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings

from service.estimating import (
    Brief,
    Estimate,
    Event,
    Fullness,
    Piece,
    Placement,
    Setting,
    Support,
    laid,
)
from service.leads import words
from service.workshop.bench_time import kept_for
from service.workshop.build_sheet import BuildSheet, Sign, Total, bags_of, build_sheet, saying
from tests.service.building import a_brief
from tests.service.workshop.any_brief import BRIEFS
from tests.service.workshop.build_sheet.sheets import (
    BOOK,
    COLUMNS,
    FOOT,
    LAWN,
    ROWS,
    counted,
    estimated,
    in_it,
    of,
    sheet_for,
)


@settings(max_examples=25, deadline=None)
@given(brief=BRIEFS)
def test_clusters_totals_and_bags_are_the_estimates_to_the_balloon(brief: Brief) -> None:
    answer, sheet = estimated(brief), sheet_for(brief)
    for piece, made in zip(answer.pieces, sheet.pieces, strict=True):
        wanted = {(each.size_class, each.colour): each.count for each in piece.balloons}
        assert counted(in_it(made), made.count) == wanted
        assert {(t.size_class, t.colour): (t.count, t.spares) for t in made.balloons} == {
            (each.size_class, each.colour): (each.count, each.spares) for each in piece.balloons
        }
        kinds = Counter[str]()
        for letter in made.letters:
            kinds[letter.name] += letter.all
            assert letter.all == letter.each * made.count
        assert kinds == {
            {"mini_quad": "mini quad", "cluster_of_six": "cluster of six"}.get(kind, kind): n
            for kind, n in piece.clusters.items()
        }
    assert pooled(sheet) == {(s.size_class, s.colour): (s.placed, s.taken) for s in answer.spares}
    assert [bag.number for bag in sheet.bags] == [*range(1, answer.load.bags + 1)]
    assert sum((counted(bag.contents) for bag in sheet.bags), Counter()) == {
        key: placed for key, (placed, _) in pooled(sheet).items()
    }


@settings(max_examples=15, deadline=None)
@given(brief=BRIEFS)
def test_line_knots_and_places_are_the_estimates_and_the_diagram_shows_them_there(
    brief: Brief,
) -> None:
    outdoors = brief.site.setting is Setting.OUTDOOR
    for piece, counted_, made in zip(
        brief.pieces, estimated(brief).pieces, sheet_for(brief).pieces, strict=True
    ):
        assert (made.line_m, made.line_joins) == (counted_.line_length_m, counted_.line_joins)
        # One for each cluster that is tied on, each join, and each end of every run.
        tied = sum(letter.each for letter in made.letters if not letter.filler)
        assert made.knots == tied + made.line_joins + 2 * len(piece.runs)
        held = [
            run.start_m - stretch.start_m + at
            for run, stretch in zip(piece.runs, made.stretches, strict=True)
            for at in stretch.held_at_m
        ]
        assert held == pytest.approx(counted_.attachments_m, abs=0.002)
        at_m = {
            str(cluster.number): cluster.at_m
            for stretch in laid(piece, counted_, BOOK, outdoors=outdoors)
            for cluster in stretch.clusters
        }
        for spot in made.diagram.spots:
            if spot.sign is Sign.NUMBER:
                point = piece.path.at(at_m[spot.text])
                seen = (point.x, -point.z) if made.diagram.from_above else (point.x, point.y)
                assert (spot.x, spot.y) == pytest.approx(seen, abs=1e-6)


@pytest.mark.parametrize(
    ("piece", "knots"),
    [
        # Eight quads, and the two ends of the line.
        (COLUMNS, 8 + 2),
        # 20 clusters of six and 59 quads on four rows; what is pushed in between has no knot.
        (ROWS, 20 + 59 + 4 * 2),
    ],
)
def test_every_cluster_that_is_tied_on_takes_a_knot(piece: Piece, knots: int) -> None:
    assert sheet_for(a_brief(pieces=(piece,))).pieces[0].knots == knots


def pooled(sheet: BuildSheet) -> dict[tuple[int, str], tuple[int, int]]:
    placed, taken = Counter[tuple[int, str]](), Counter[tuple[int, str]]()
    for each in sheet.totals:
        placed[each.size_class, each.colour] += each.count
        taken[each.size_class, each.colour] += each.count + each.spares
    return {key: (placed[key], taken[key]) for key in placed}


@settings(max_examples=10, deadline=None)
@given(brief=BRIEFS)
def test_numbers_run_on_along_the_line_and_each_bag_goes_on_where_the_last_one_ends(
    brief: Brief,
) -> None:
    sheet = sheet_for(brief)
    for piece in sheet.pieces:
        steps = [step for stretch in piece.stretches for step in stretch.steps]
        ends = [0, *(step.last for step in steps)]
        assert [step.first for step in steps] == [end + 1 for end in ends[:-1]]
    packed = [
        (part.piece, part.copy, number)
        for bag in sheet.bags
        for part in bag.parts
        for number in range(part.first, part.last + 1)
    ]
    assert packed == [
        (index, copy, number)
        for index, piece in enumerate(sheet.pieces)
        for copy in range(1, piece.count + 1)
        for number in range(1, sum(letter.each for letter in piece.letters) + 1)
    ]


@pytest.fixture(scope="module")
def lawn() -> BuildSheet:
    return sheet_for(LAWN)


def test_what_is_tied_on_and_what_is_pushed_in_have_letters_of_their_own(lawn: BuildSheet) -> None:
    lush = sheet_for(a_brief(pieces=(replace(ROWS, fullness=Fullness.LUSH),), palette=of("navy")))
    # In a lush garland quads are both: along the line, and pushed in between.
    roles = {(each.letter, each.name, each.filler) for each in lush.pieces[0].letters}
    assert roles == {
        ("A", "cluster of six", False),
        ("B", "quad", False),
        ("C", "mini quad", True),
        ("D", "quad", True),
    }
    row = lush.pieces[0].stretches[0]
    first = next(letter for _, letter in saying.one_by_one(lush.pieces[0], row))
    assert not first.filler
    fills = [each.filler for each in lawn.pieces[0].letters]
    assert fills == sorted(fills)


def test_an_older_estimate_that_does_not_say_what_is_pushed_in_gives_the_same_sheet() -> None:
    answer = estimated(LAWN)
    older = replace(
        answer,
        pieces=tuple(
            replace(
                piece,
                cluster_types=tuple(replace(kind, filler=None) for kind in piece.cluster_types),
            )
            for piece in answer.pieces
        ),
    )
    assert build_sheet(LAWN, older, BOOK, number="G1042") == sheet_for(LAWN)


def test_an_estimate_from_before_there_was_an_order_says_so_in_place_of_a_recipe() -> None:
    answer = estimated(LAWN)
    oldest = replace(
        answer,
        pieces=tuple(replace(piece, cluster_types=(), order=()) for piece in answer.pieces),
    )
    sheet = build_sheet(LAWN, oldest, BOOK, number="G1042")
    assert [piece.letters for piece in sheet.pieces] == [(), ()]
    assert all(not stretch.steps for piece in sheet.pieces for stretch in piece.stretches)
    assert [bag.parts for bag in sheet.bags] == [()] * oldest.load.bags


def test_balloons_for_a_hot_lawn_are_blown_smaller_so_that_they_arrive_as_wanted(
    lawn: BuildSheet,
) -> None:
    arch, columns = lawn.pieces
    for sizing in (*arch.sizing, *columns.sizing):
        assert sizing.box_m < sizing.at_site_m
    answer = estimated(LAWN)
    assert answer.expansion is not None
    assert {(s.size_class, s.in_workshop_m) for s in answer.expansion.sized} == {
        (s.size_class, s.box_m) for s in (*arch.sizing, *columns.sizing)
    }


def test_what_is_sized_differently_stays_apart_in_the_totals() -> None:
    column = replace(COLUMNS, size_class=10, sized_m=0.2)
    sheet = sheet_for(a_brief(pieces=(ROWS, column), palette=of("navy")))
    assert {(t.size_class, round(t.box_m, 4)) for t in sheet.totals if t.size_class == 10} == {
        (10, 0.2),
        (10, 0.2413),
    }


def test_it_says_from_when_on_to_inflate_and_by_when_to_be_ready() -> None:
    zone = ZoneInfo("America/New_York")
    leaves = dt.datetime(2027, 6, 6, 15, 10, tzinfo=dt.UTC)
    sheet = sheet_for(LAWN, leaves_at=leaves)
    assert sheet.begins_at == dt.datetime(2027, 6, 6, 15, tzinfo=zone)
    assert sheet.inflate_from == dt.datetime(2027, 6, 6, 3, tzinfo=zone)
    facts = dict(saying.facts(sheet))
    assert facts["Inflate"] == (
        "from Sunday, June 6, 2027, 3:00\u00a0AM on, 12 hours before it begins"
    )
    assert facts["Ready to load by"] == "Sunday, June 6, 2027, 11:10\u00a0AM"
    unknown = sheet_for(LAWN, latest=replace(LAWN, event=Event(date=dt.date(2027, 6, 7))))
    assert unknown.inflate_from is None
    assert dict(saying.facts(unknown))["Day"] == "Monday, June 7, 2027"


def test_hours_of_a_balloons_life_pass_while_the_clocks_are_put_back_too() -> None:
    sunday = Event(date=dt.date(2027, 11, 7), start_time=dt.time(10))
    sheet = sheet_for(LAWN, latest=replace(LAWN, event=sunday))
    assert sheet.inflate_from is not None
    assert sheet.inflate_from.hour == 23


def test_of_the_place_only_its_name_is_told_and_no_caution_of_the_site(lawn: BuildSheet) -> None:
    assert lawn.place == "Alder Mills Rowing Club"
    told = " ".join(lawn.cautions)
    assert "CHOKING HAZARD" in told
    assert "Latex can set off" in told
    assert "Helium displaces air" in told
    assert "ladder" not in told
    assert lawn.floats == (
        "12 × 11 in latex: 4 + 1 navy, 4 + 1 white, 4 + 1 gold; at least 0.5 oz of weight on each",
        "helium: 1 × 55 ft3 cylinder",
    )


def test_several_alike_have_one_recipe_and_all_their_balloons(lawn: BuildSheet) -> None:
    columns = lawn.pieces[1]
    assert saying.copies(columns) == "Make 2 like this."
    assert sum(total.count for total in columns.balloons) == 2 * 4 * 9
    assert [saying.to_tie(each, columns.count) for each in columns.letters][:1] == ["2 × 3 = 6"]


def test_rows_under_a_ceiling_are_measured_each_from_its_own_beginning() -> None:
    piece = sheet_for(a_brief(pieces=(ROWS,))).pieces[0]
    assert [stretch.name for stretch in piece.stretches] == [f"Row {n} of 4" for n in (1, 2, 3, 4)]
    assert {stretch.start_m for stretch in piece.stretches} == {0.0}
    ends = {(stretch.held_at_m[0], stretch.held_at_m[-1]) for stretch in piece.stretches}
    assert ends == {(0.0, 4.0)}
    assert [label for label, _ in saying.facts_of(piece)][-1] == "Held, each row"


def test_a_hoop_covered_twice_has_two_stretches_along_one_path() -> None:
    hoop = Piece(support=Support.HOOP, width_m=5 * FOOT, placement=Placement.ASYMMETRIC)
    piece = sheet_for(a_brief(pieces=(hoop,))).pieces[0]
    long, short = piece.stretches
    assert long.length_m == pytest.approx(2 * short.length_m)
    assert short.start_m > long.start_m + long.length_m
    assert piece.start == "its lowest point, and up the left side"


def test_pieces_of_one_name_are_told_apart_on_their_bags() -> None:
    hoop = Piece(support=Support.HOOP, width_m=5 * FOOT)
    brief = a_brief(pieces=(hoop, replace(hoop, width_m=6 * FOOT)))
    labels = [bag.label for bag in bags_of(brief, estimated(brief), BOOK)]
    assert labels[0].startswith("hoop (piece 1), clusters 1–")
    assert "hoop (piece 2), clusters" in labels[-1]


def test_a_piece_begins_a_bag_of_its_own_where_that_is_a_matter_of_a_few_clusters() -> None:
    frame = Piece(support=Support.ROUND_TOP_FRAME, width_m=4 * FOOT, height_m=7 * FOOT)
    hoop = Piece(support=Support.HOOP, width_m=5 * FOOT, placement=Placement.ASYMMETRIC)
    bags = sheet_for(a_brief(pieces=(frame, hoop))).bags
    assert [len(bag.parts) for bag in bags] == [1] * len(bags)
    sizes = [sum(held.count for held in bag.contents) for bag in bags]
    assert max(sizes) < 1.4 * min(sizes)


def test_six_colors_mixed_are_spelled_out_and_few_kinds_are_tied_in_piles() -> None:
    six = of("navy", "dusty rose", "rose gold", "sage", "light blue", "copper")
    wall = Piece(support=Support.WALL, length_m=22 * FOOT, fullness=Fullness.LUSH)
    assert not sheet_for(a_brief(pieces=(wall,), palette=six)).pieces[0].by_piles
    assert sheet_for(a_brief(pieces=(ROWS,), palette=of("navy", "white"))).pieces[0].by_piles


def test_more_letters_than_there_are_go_on_with_two() -> None:
    six = of("navy", "dusty rose", "rose gold", "sage", "light blue", "copper")
    wall = Piece(support=Support.WALL, length_m=22 * FOOT, fullness=Fullness.LUSH)
    letters = [e.letter for e in sheet_for(a_brief(pieces=(wall,), palette=six)).pieces[0].letters]
    assert letters[:9] == [*"ABCDEFGHJ"]
    assert letters[23:26] == ["Z", "AA", "AB"]
    assert len(set(letters)) == len(letters)


def test_foils_and_accents_are_marked_where_the_diagram_shows_them(lawn: BuildSheet) -> None:
    marked = {each.mark: each.text for each in lawn.pieces[0].attached if each.mark}
    # Foils hang highest, so that they are the first letter in the drawing too.
    assert marked == {"a": "2 × foil digit, air-filled", "b": "9 × flowers", "c": "6 × ribbon"}
    foils = next(each for each in lawn.pieces[0].attached if each.mark == "a")
    assert foils.place.startswith("At the top, in the middle: “5”, “0”, ")
    assert foils.mount == "A band taped to the back, looped round a cluster."


def test_it_says_what_to_cut_for_each_and_not_what_is_bought(lawn: BuildSheet) -> None:
    arch, columns = lawn.pieces
    cords = [e for piece in (arch, columns) for e in piece.attached if e.text.startswith("cord")]
    assert cords[0].text == f"cord, cut {words.feet(arch.line_m)}"
    cord = cords[1]
    assert cord.text == f"cord, cut 2 × {words.feet(columns.line_m)}"
    assert cord.mount == "For each of the 2: one length, no joins."


def test_round_a_wall_no_band_is_stretched() -> None:
    def mounts(piece: Piece) -> str:
        return " ".join(e.mount for e in sheet_for(a_brief(pieces=(piece,))).pieces[0].attached)

    on_a_wall = mounts(Piece(support=Support.WALL, length_m=3))
    assert "as agreed with the place" in on_a_wall
    assert "support" not in on_a_wall
    assert "round the line and the support" in mounts(COLUMNS)


def test_its_minutes_are_those_that_the_calendar_keeps(lawn: BuildSheet) -> None:
    minutes = [round(hours * 60, 6) for _, hours in lawn.making]
    assert all(each % 5 == 0 for each in minutes)
    assert dt.timedelta(minutes=sum(minutes)) == kept_for(estimated(LAWN))


def test_no_price_is_in_it(lawn: BuildSheet) -> None:
    answer: Estimate = estimated(LAWN)
    assert "$" not in repr(lawn)
    assert str(answer.price.likely) not in repr(lawn)


def test_counts_are_said_with_what_is_to_spare() -> None:
    table = saying.counts_of(
        [
            Total(size_class=10, box_m=0.2413, colour="sage", count=40, spares=3),
            Total(size_class=10, box_m=0.2413, colour="gold", count=9, spares=0),
            Total(size_class=18, box_m=0.4064, colour="gold", count=2, spares=1),
        ]
    )
    assert table.heads == ("10 in", "18 in")
    assert table.boxes == ("9.5 in", "16.0 in")
    assert table.rows == (("sage", ("40 + 3", "")), ("gold", ("9", "2 + 1")))
    assert table.sums == ("49 + 3", "2 + 1")


@pytest.mark.parametrize(
    ("hours", "text"), [(0.01, "5 min"), (0.5, "30 min"), (1.0, "1 h"), (2.29, "2 h 15 min")]
)
def test_time_at_the_bench_is_said_to_five_minutes(hours: float, text: str) -> None:
    assert saying.lasting(hours) == text
