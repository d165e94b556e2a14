from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating.colouring import (
    Arrangement,
    ArrangementError,
    ClusterType,
    Pattern,
    Run,
    arrange,
)

CONTENTS = {"duplet": {10: 2}, "mini_quad": {5: 4}, "quad": {10: 4}, "six": {10: 5, 18: 1}}
COLOURS = ["white", "blush", "sand", "sage", "gold", "plum", "navy", "teal", "coral", "lilac"]
COLOURS += ["grey", "cream"]


@dataclass(frozen=True, kw_only=True)
class Job:
    """What `arrange` is given but for the pattern."""

    base: Mapping[str, int]
    fill: Mapping[str, int]
    counts: Mapping[tuple[int, str], int]
    palette: Sequence[str]
    pieces: int = 1

    def arranged(self, pattern: Pattern) -> Arrangement:
        return arrange(
            base=self.base,
            fill=self.fill,
            contents=CONTENTS,
            counts=self.counts,
            palette=self.palette,
            pattern=pattern,
            pieces=self.pieces,
        )


@st.composite
def split(draw: st.DrawFn, total: int, parts: int) -> list[int]:
    """Any whole numbers that add up to `total`, zeros and lopsided ones among them."""
    cuts = draw(st.lists(st.integers(0, total), min_size=parts - 1, max_size=parts - 1))
    return [after - before for before, after in pairwise([0, *sorted(cuts), total])]


@st.composite
def jobs(draw: st.DrawFn, most_pieces: int = 1) -> Job:
    """Organic garlands with any fillers, any palette and any totals that fill the clusters."""
    base = {"quad": draw(st.integers(1, 25)), "six": draw(st.integers(0, 8))}
    fill = {kind: draw(st.integers(0, 25)) for kind in ("duplet", "mini_quad", "quad")}
    palette = draw(st.permutations(COLOURS))[: draw(st.integers(1, 12))]
    pieces = draw(st.integers(1, most_pieces))
    totals: Counter[int] = Counter()
    for kind, number in [*base.items(), *fill.items()]:
        for size, each in CONTENTS[kind].items():
            totals[size] += pieces * number * each
    counts = {
        (size, colour): number
        for size, total in totals.items()
        for colour, number in zip(palette, draw(split(total, len(palette))), strict=True)
    }
    return Job(base=base, fill=fill, counts=counts, palette=palette, pieces=pieces)


@st.composite
def columns(draw: st.DrawFn) -> Job:
    """Nested quads of one size class."""
    quads = draw(st.integers(1, 40))
    palette = draw(st.permutations(COLOURS))[: draw(st.integers(1, 12))]
    numbers = draw(split(4 * quads, len(palette)))
    return column(quads, dict(zip(palette, numbers, strict=True)))


def column(quads: int, numbers: Mapping[str, int], pieces: int = 1) -> Job:
    counts = {(10, colour): number for colour, number in numbers.items()}
    return Job(base={"quad": quads}, fill={}, counts=counts, palette=tuple(numbers), pieces=pieces)


patterns = st.sampled_from(Pattern)


def along(arranged: Arrangement, run: Run) -> list[ClusterType]:
    return [arranged.types[i] for i in run.order]


def held(clusters: Sequence[ClusterType]) -> Counter[tuple[int, str]]:
    """Balloons in clusters that are listed one by one, whatever their types' own count."""
    balloons: Counter[tuple[int, str]] = Counter()
    for cluster in clusters:
        for size, colour, number in cluster.balloons:
            balloons[size, colour] += number
    return balloons


def prefixes(clusters: Sequence[ClusterType], size: int) -> list[Counter[str]]:
    """Balloons of a size class by colour up to the end of each cluster that has any."""
    parts = [
        Counter({colour: n for other, colour, n in cluster.balloons if other == size})
        for cluster in clusters
    ]
    return list(accumulate(part for part in parts if part))


def colours_of(cluster: ClusterType) -> set[str]:
    return {colour for _, colour, _ in cluster.balloons}


def mixed_bound(colours: int) -> Fraction:
    """Half the sum of 1/F(k) for k below `colours`, with Fibonacci's F = 1, 1, 2, 3, 5 ..."""
    this, then, total = 1, 1, Fraction(0)
    for _ in range(colours - 1):
        total += Fraction(1, this)
        this, then = then, this + then
    return total / 2


@given(job=jobs(most_pieces=5), pattern=patterns)
def test_no_balloon_of_a_size_and_colour_is_lost_or_added(job: Job, pattern: Pattern) -> None:
    arranged = job.arranged(pattern)
    total: Counter[tuple[int, str]] = Counter()
    for cluster in arranged.types:
        for size, colour, number in cluster.balloons:
            total[size, colour] += cluster.count * number
    assert total == Counter(job.counts)


@given(job=jobs(most_pieces=5), pattern=patterns)
def test_every_cluster_of_every_piece_can_be_tied(job: Job, pattern: Pattern) -> None:
    arranged = job.arranged(pattern)
    for cluster in arranged.types:
        inside: Counter[int] = Counter()
        for size, _, number in cluster.balloons:
            assert number > 0
            inside[size] += number
        assert inside == CONTENTS[cluster.kind]
    for run in arranged.runs:
        roles = Counter((cluster.filler, cluster.kind) for cluster in along(arranged, run))
        assert roles == Counter(
            {(False, kind): n for kind, n in job.base.items()}
            | {(True, kind): n for kind, n in job.fill.items()}
        )


@given(job=jobs(most_pieces=5), pattern=patterns)
def test_types_are_distinct_and_counted_over_all_pieces(job: Job, pattern: Pattern) -> None:
    arranged = job.arranged(pattern)
    used: Counter[int] = Counter()
    for run in arranged.runs:
        for i in run.order:
            used[i] += run.pieces
    assert [cluster.count for cluster in arranged.types] == [
        used[i] for i in range(len(arranged.types))
    ]
    assert len({(t.kind, t.filler, t.balloons) for t in arranged.types}) == len(arranged.types)
    # Types are listed as they first appear, along the first run and on.
    assert list(dict.fromkeys(i for run in arranged.runs for i in run.order)) == list(
        range(len(arranged.types))
    )


@given(job=jobs(most_pieces=6), pattern=patterns)
def test_pieces_differ_by_one_balloon_of_a_size_and_colour_at_most(
    job: Job, pattern: Pattern
) -> None:
    arranged = job.arranged(pattern)
    assert sum(run.pieces for run in arranged.runs) == job.pieces
    pieces = [held(along(arranged, run)) for run in arranged.runs]
    for key, number in job.counts.items():
        fair = number // job.pieces
        assert all(fair <= piece[key] <= -(-number // job.pieces) for piece in pieces)
    assert all(pieces.count(piece) == 1 for piece in pieces)


@given(job=jobs(), pattern=patterns, pieces=st.integers(2, 50))
def test_totals_that_divide_make_every_piece_like_a_single_one(
    job: Job, pattern: Pattern, pieces: int
) -> None:
    one = job.arranged(pattern)
    many = Job(
        base=job.base,
        fill=job.fill,
        counts={key: pieces * number for key, number in job.counts.items()},
        palette=job.palette,
        pieces=pieces,
    ).arranged(pattern)
    assert many.runs == (Run(pieces=pieces, order=one.runs[0].order),)
    assert [t.count for t in many.types] == [pieces * t.count for t in one.types]


def test_odd_balloons_of_one_colour_go_to_different_columns() -> None:
    # 3 columns of 2 quads: 24 balloons, 10 white = 3 + 3 + 4, 14 navy = 5 + 5 + 4.
    arranged = column(2, {"white": 10, "navy": 14}, pieces=3).arranged(Pattern.MIXED)
    white = {run.pieces: held(along(arranged, run))[10, "white"] for run in arranged.runs}
    assert white == {1: 4, 2: 3}


@given(job=jobs(most_pieces=4), pattern=patterns)
def test_equal_arguments_give_equal_answers_in_whatever_order_the_mappings_are(
    job: Job, pattern: Pattern
) -> None:
    turned = Job(
        base=dict(list(job.base.items())[::-1]),
        fill=dict(list(job.fill.items())[::-1]),
        counts=dict(list(job.counts.items())[::-1]),
        palette=job.palette,
        pieces=job.pieces,
    )
    assert turned.arranged(pattern) == job.arranged(pattern)


@given(job=jobs(), pattern=patterns)
def test_fillers_are_spread_over_the_gaps_between_base_clusters(job: Job, pattern: Pattern) -> None:
    arranged = job.arranged(pattern)
    line = "".join("f" if t.filler else "b" for t in along(arranged, arranged.runs[0]))
    gaps = [len(fillers) for fillers in line.split("b")]
    if line.count("b") == 1:
        assert gaps[0] == 0
    else:
        assert gaps[0] == gaps[-1] == 0
        assert max(gaps[1:-1]) - min(gaps[1:-1]) <= 1


@given(job=jobs(), pattern=patterns)
def test_clusters_of_six_are_spread_evenly_among_the_base(job: Job, pattern: Pattern) -> None:
    arranged = job.arranged(pattern)
    base = [t.kind for t in along(arranged, arranged.runs[0]) if not t.filler]
    for n in range(1, len(base) + 1):
        due = Fraction(n * job.base["six"], len(base))
        assert abs(base[:n].count("six") - due) <= Fraction(1, 2)


@given(job=jobs(most_pieces=3))
def test_mixed_keeps_each_colour_near_its_share_all_along(job: Job) -> None:
    arranged = job.arranged(Pattern.MIXED)
    for run in arranged.runs:
        clusters = along(arranged, run)
        total = held(clusters)
        for size in {size for size, _ in total}:
            numbers = {colour: n for (other, colour), n in total.items() if other == size}
            bound = mixed_bound(len(numbers))
            for upto in prefixes(clusters, size):
                for colour, number in numbers.items():
                    due = Fraction(upto.total() * number, sum(numbers.values()))
                    assert abs(upto[colour] - due) <= bound


def test_the_bound_of_mixed_is_about_one_balloon() -> None:
    # 1/2 (1/1), 1/2 (1/1 + 1/1), 1/2 (1/1 + 1/1 + 1/2)
    assert [mixed_bound(n) for n in (1, 2, 3, 4)] == [0, Fraction(1, 2), 1, Fraction(5, 4)]
    assert mixed_bound(12) < Fraction(17, 10)


@given(job=columns())
def test_mixed_ties_no_quad_of_one_colour_where_none_has_more_than_half(job: Job) -> None:
    total = sum(job.counts.values())
    arranged = job.arranged(Pattern.MIXED)
    if all(2 * number <= total for number in job.counts.values()):
        assert all(len(colours_of(cluster)) > 1 for cluster in arranged.types)


def test_mixed_gives_every_quad_one_of_each_of_four_equal_colours() -> None:
    arranged = column(30, dict.fromkeys(COLOURS[:4], 30)).arranged(Pattern.MIXED)
    each = tuple((10, colour, 1) for colour in COLOURS[:4])
    assert arranged == Arrangement(
        types=(ClusterType(kind="quad", filler=False, balloons=each, count=30),),
        runs=(Run(pieces=1, order=(0,) * 30),),
    )


def test_mixed_keeps_scarce_colours_apart() -> None:
    # 20 quads, 5 accents of 4 balloons each: one accent a quad, and each accent in 4 of them.
    numbers = {"white": 60} | dict.fromkeys(COLOURS[1:6], 4)
    arranged = column(20, numbers).arranged(Pattern.MIXED)
    assert [t.balloons[0] for t in arranged.types] == [(10, "white", 3)] * 5
    assert [t.count for t in arranged.types] == [4] * 5
    assert all(this != then for this, then in pairwise(arranged.runs[0].order))


@given(job=jobs())
def test_mixed_in_another_order_of_the_palette_holds_the_same_balloons(job: Job) -> None:
    turned = Job(base=job.base, fill=job.fill, counts=job.counts, palette=job.palette[::-1])
    both = (each.arranged(Pattern.MIXED) for each in (job, turned))
    first, second = (held(along(arranged, arranged.runs[0])) for arranged in both)
    assert first == second


@given(job=jobs())
def test_blocks_use_up_one_colour_before_the_next(job: Job) -> None:
    arranged = job.arranged(Pattern.BLOCKS)
    clusters = along(arranged, arranged.runs[0])
    for size in (5, 10, 18):
        for upto in prefixes(clusters, size):
            rest = upto.total()
            for colour in job.palette:
                number = min(rest, job.counts[size, colour])
                assert upto[colour] == number
                rest -= number


def later_ideal(numbers: Sequence[int], border: int, first: int) -> Fraction:
    """Balloons that an ideal ombré has beyond the border after numbers[border - 1], of `first`.

    Over the w balloons on either side, w half of the smaller number, their share grows linearly.
    """
    at = sum(numbers[:border])
    half = min(numbers[border - 1], numbers[border]) // 2
    if first <= at - half:
        return Fraction(0)
    return (
        Fraction(first - at) if first >= at + half else Fraction((first - at + half) ** 2, 4 * half)
    )


@given(job=jobs())
def test_ombre_blends_linearly_within_half_a_balloon(job: Job) -> None:
    arranged = job.arranged(Pattern.OMBRE)
    clusters = along(arranged, arranged.runs[0])
    for size in (5, 10, 18):
        present = [colour for colour in job.palette if job.counts.get((size, colour))]
        numbers = [job.counts[size, colour] for colour in present]
        for upto in prefixes(clusters, size):
            for border in range(1, len(present)):
                later = sum(upto[colour] for colour in present[border:])
                ideal = later_ideal(numbers, border, upto.total())
                assert abs(later - ideal) <= Fraction(1, 2)


@given(job=columns())
def test_ombre_has_colours_in_the_palettes_order_by_where_they_are_on_average(job: Job) -> None:
    arranged = job.arranged(Pattern.OMBRE)
    places: dict[str, list[int]] = {colour: [] for colour in job.palette}
    for place, cluster in enumerate(along(arranged, arranged.runs[0])):
        for _, colour, number in cluster.balloons:
            places[colour] += [place] * number
    means = [Fraction(sum(at), len(at)) for at in places.values() if at]
    assert all(this <= then for this, then in pairwise(means))


@given(job=columns())
def test_ombre_colours_overlap_where_they_meet_and_blocks_do_not(job: Job) -> None:
    present = [colour for colour in job.palette if job.counts[10, colour]]
    for pattern in (Pattern.OMBRE, Pattern.BLOCKS):
        arranged = job.arranged(pattern)
        holding = [colours_of(cluster) for cluster in along(arranged, arranged.runs[0])]
        for this, then in pairwise(present):
            both = sum({this, then} <= colours for colours in holding)
            if pattern is Pattern.BLOCKS:
                assert both <= 1
            elif min(job.counts[10, this], job.counts[10, then]) >= 16:
                # They blend over at least 16 balloons, which are four quads.
                assert both >= 2


def test_two_colours_of_ombre_go_over_step_by_step() -> None:
    arranged = column(9, {"white": 18, "navy": 18}).arranged(Pattern.OMBRE)
    navy = [held([cluster])[10, "navy"] for cluster in along(arranged, arranged.runs[0])]
    # Balloons 10 to 27 blend: t^2/36 of navy after t of them, rounded, read at every quad's end:
    # t = 3 7 11 15 -> 0.25 1.36 3.36 6.25 -> 0 1 3 6, and all 9 after 18.
    assert navy == [0, 0, 0, 1, 2, 3, 4, 4, 4]


@given(job=columns())
def test_a_stripe_has_as_few_quads_of_several_colours_as_can_be(job: Job) -> None:
    arranged = job.arranged(Pattern.STRIPE)
    several = sum(t.count for t in arranged.types if len(colours_of(t)) > 1)
    colours = sum(number > 0 for number in job.counts.values())
    # At most n // 4 quads can be made of n balloons of one colour; at most 3 of each are over.
    assert several == job.base["quad"] - sum(n // 4 for n in job.counts.values())
    assert several <= 3 * colours // 4 <= colours - 1


@given(job=columns())
def test_rings_of_a_stripe_take_turns_by_share(job: Job) -> None:
    arranged = job.arranged(Pattern.STRIPE)
    rings = [
        next(iter(colours)) if len(colours := colours_of(cluster)) == 1 else "several"
        for cluster in along(arranged, arranged.runs[0])
    ]
    bound = mixed_bound(len(set(rings)))
    for n in range(1, len(rings) + 1):
        for label, number in Counter(rings).items():
            assert abs(rings[:n].count(label) - Fraction(n * number, len(rings))) <= bound


def test_a_striped_column_of_three_equal_colours_repeats_every_three_quads() -> None:
    arranged = column(9, dict.fromkeys(("white", "gold", "navy"), 12)).arranged(Pattern.STRIPE)
    assert arranged.runs[0].order == (0, 1, 2) * 3
    assert [t.balloons for t in arranged.types] == [
        ((10, colour, 4),) for colour in ("white", "navy", "gold")
    ]


def test_fillers_of_a_stripe_take_the_colour_of_the_base_cluster_before_them() -> None:
    # Two mini quads in every gap but the last of 7 quads; white, navy and white again.
    job = Job(
        base={"quad": 7},
        fill={"mini_quad": 12},
        counts={(10, "white"): 16, (10, "navy"): 12, (5, "white"): 24, (5, "navy"): 24},
        palette=("white", "navy"),
    )
    arranged = job.arranged(Pattern.STRIPE)
    rings = [(t.filler, *colours_of(t)) for t in along(arranged, arranged.runs[0])]
    white, navy = ([(f, colour) for f in (False, True, True)] for colour in ("white", "navy"))
    assert rings == [*(white + navy) * 3, (False, "white")]


def test_a_cluster_of_six_in_a_stripe_has_its_large_balloon_in_its_own_colour() -> None:
    # The six takes 5 white; 4 white and 8 navy are left for 1 + 2 quads. Were quads made first,
    # two of them in white, the six would have to be of both colours.
    job = Job(
        base={"quad": 3, "six": 1},
        fill={},
        counts={(10, "white"): 9, (10, "navy"): 8, (18, "white"): 1},
        palette=("white", "navy"),
    )
    assert all(len(colours_of(t)) == 1 for t in job.arranged(Pattern.STRIPE).types)


def test_the_words_of_a_pattern_are_the_trades() -> None:
    assert [pattern.words for pattern in Pattern] == ["mixed", "ombré", "blocks", "stripe"]


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(ArrangementError) as caught:
        arrange(
            base={"quad": 0},
            fill={"mini_quad": 2, "swag": -1},
            contents=CONTENTS,
            counts={(5, "white"): 9, (5, "mauve"): -2},
            palette=("white", "white"),
            pattern=Pattern.MIXED,
            pieces=0,
        )
    assert {problem.field for problem in caught.value.problems} == {
        "base",
        "contents.swag",
        "counts",
        "fill",
        "palette",
        "pieces",
    }


@pytest.mark.parametrize(
    ("white", "words"), [(35, "1 too few of size 10"), (38, "2 too many of size 10")]
)
def test_totals_that_do_not_fill_the_clusters_are_refused(white: int, words: str) -> None:
    with pytest.raises(ArrangementError, match=words):
        column(9, {"white": white}).arranged(Pattern.BLOCKS)


@pytest.mark.parametrize(("each", "colours"), [(255, 255), (256, 1), (1, 256)])
def test_a_cluster_and_a_palette_hold_no_more_than_a_byte_does(each: int, colours: int) -> None:
    def heap() -> Arrangement:
        return arrange(
            base={"heap": 255},
            fill={},
            contents={"heap": {10: each}},
            counts={(10, str(i)): 255 * each // colours for i in range(colours)},
            palette=[str(i) for i in range(colours)],
            pattern=Pattern.BLOCKS,
        )

    if max(each, colours) > 255:
        with pytest.raises(ArrangementError, match=r"at most 255|1 to 255"):
            heap()
    else:
        assert [t.balloons for t in heap().types] == [((10, str(i), 255),) for i in range(255)]
