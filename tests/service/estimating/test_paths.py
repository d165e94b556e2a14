import math
from decimal import Decimal, localcontext

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import integrate, special

from service.estimating.paths import MEASURES, Path, Point, Shape, Support, kind_of
from service.estimating.paths.arcs import HalfEllipse, ellipse_perimeter, incomplete_e
from service.estimating.paths.catenary import Catenary, parameter
from service.estimating.paths.supports import staircase

lengths = st.floats(min_value=0.1, max_value=30)
sags = st.floats(min_value=0.001, max_value=30)
shapes = st.sampled_from(Shape)


def path_of(support: Support, shape: Shape = Shape.CATENARY, **measures: float) -> Path:
    return kind_of(support).path(measures, shape)


def arch(width: float, height: float, shape: Shape) -> Path:
    return path_of(Support.FREESTANDING_ARCH, shape, width_m=width, height_m=height)


@st.composite
def measured(draw: st.DrawFn) -> tuple[Support, dict[str, float]]:
    """A support with sound measures for one of its forms."""
    support = draw(st.sampled_from(Support))
    kind = kind_of(support)
    form = draw(st.sampled_from(kind.forms))
    limits = {"sag_m": (0.001, 30.0), "drop_m": (0.1, 0.76)}
    given: dict[str, float] = {}
    for name in form.measures:
        low, high = limits.get(name, (0.1, 30.0))
        given[name] = draw(st.floats(low, high)) if name != "steps" else draw(st.integers(1, 90))
    if support is Support.ROUND_TOP_FRAME:
        given["height_m"] = max(given["height_m"], given["width_m"] / 2)
    return support, given


@st.composite
def paths(draw: st.DrawFn) -> Path:
    support, measures = draw(measured())
    return path_of(support, draw(shapes), **measures)


def gap(a: Point, b: Point) -> float:
    return math.dist((a.x, a.y, a.z), (b.x, b.y, b.z))


@given(width=lengths, height=lengths, shape=shapes)
def test_an_arch_is_longer_than_two_straight_lines_and_shorter_than_its_box(
    width: float, height: float, shape: Shape
) -> None:
    length = arch(width, height, shape).length_m
    assert 2 * math.hypot(width / 2, height) <= length * (1 + 1e-12)
    assert length <= (2 * height + width) * (1 + 1e-12)


@given(piece=measured(), shape=shapes, times=st.floats(0.5, 2))
def test_scaling_every_measure_scales_the_length(
    piece: tuple[Support, dict[str, float]], shape: Shape, times: float
) -> None:
    support, measures = piece
    # Steps and the rows of a ceiling are whole numbers.
    assume("steps" not in measures and not {"length_m", "width_m"} <= measures.keys())
    larger = {name: times * value for name, value in measures.items()}
    once, scaled = (path_of(support, shape, **m).length_m for m in (measures, larger))
    assert scaled == pytest.approx(times * once, rel=1e-12)


@given(path=paths())
def test_a_path_begins_and_ends_where_it_says(path: Path) -> None:
    slack = 1e-9 * path.length_m
    assert gap(path.at(0), path.start) <= slack
    assert gap(path.at(path.length_m), path.end) <= slack
    assert path.closed == (gap(path.start, path.end) <= slack)
    assert gap(path.at(-1), path.start) <= slack
    assert gap(path.at(path.length_m + 1), path.end) <= slack


@given(path=paths(), share=st.floats(0, 1))
def test_a_metre_walked_is_a_metre_of_path(path: Path, share: float) -> None:
    walked, step = share * path.length_m, 1e-6 * path.length_m
    seams = [0.0]
    for curve in path.curves:
        seams.append(seams[-1] + curve.length_m)
    assume(min(abs(walked - seam) for seam in seams) > 2 * step)
    pace = gap(path.at(walked + step), path.at(walked - step)) / (2 * step)
    assert pace == pytest.approx(1, abs=1e-5)


def exact_chain(span: float, rise: float) -> float:
    """Length of the chain to 35 digits, its parameter by bisection."""
    with localcontext() as context:
        context.prec = 40
        w, h = Decimal(span), Decimal(rise)
        low, high = Decimal("1e-9"), Decimal(40)
        for _ in range(120):
            u = (low + high) / 2
            cosh = (u.exp() + (-u).exp()) / 2
            low, high = (u, high) if (cosh - 1) / u < 2 * h / w else (low, u)
        return float(w * (low.exp() - (-low).exp()) / 2 / low)


@given(span=lengths, rise=sags)
def test_a_chain_is_as_long_as_forty_digits_say(span: float, rise: float) -> None:
    chain = Catenary(span_m=span, rise_m=rise, upward=True)
    assert chain.length_m == pytest.approx(exact_chain(span, rise), rel=1e-13)


@given(span=lengths, rise=sags)
def test_a_chain_is_as_long_as_quadrature_says(span: float, rise: float) -> None:
    a = parameter(span, rise)
    half, _ = integrate.quad(lambda x: math.hypot(1, math.sinh(x / a)), 0, span / 2, epsrel=1e-12)
    chain = Catenary(span_m=span, rise_m=rise, upward=False)
    assert chain.length_m == pytest.approx(2 * half, rel=1e-10)


@given(span=lengths, sag=st.floats(0.001, 3), more=st.floats(0.001, 1))
def test_a_deeper_swag_is_longer(span: float, sag: float, more: float) -> None:
    shallow = path_of(Support.SWAG, width_m=span, sag_m=sag).length_m
    deep = path_of(Support.SWAG, width_m=span, sag_m=sag + more).length_m
    assert span < shallow < deep


def test_a_taut_swag_is_as_long_as_its_span() -> None:
    # 4 (1 + 8/3 (0.001/4)^2) = 4.0000007
    taut = path_of(Support.SWAG, width_m=4, sag_m=0.001).length_m
    assert taut == pytest.approx(4.00000067, abs=1e-8)


@given(angle=st.floats(0, math.pi / 2), m=st.floats(0, 0.999999))
def test_the_incomplete_integral_agrees_with_scipy(angle: float, m: float) -> None:
    expected = float(special.ellipeinc(angle, m))
    assert incomplete_e(angle, m) == pytest.approx(expected, rel=1e-13, abs=1e-300)


@given(a=lengths, b=lengths)
def test_the_perimeter_of_an_ellipse_agrees_with_scipy(a: float, b: float) -> None:
    big, small = max(a, b), min(a, b)
    expected = 4 * big * float(special.ellipe(1 - (small / big) ** 2))
    assert ellipse_perimeter(a, b) == pytest.approx(expected, rel=1e-14)


@given(width=lengths, height=lengths, share=st.floats(0, 1))
def test_a_point_of_a_half_ellipse_is_as_far_along_as_was_asked(
    width: float, height: float, share: float
) -> None:
    curve, half = HalfEllipse(width_m=width, height_m=height), width / 2
    point = curve.at(share * curve.length_m)
    across, up = (half - point.x) / half, point.y / height
    assert math.hypot(across, up) == pytest.approx(1, abs=1e-12)
    # From the left foot x = w/2 (1 - cos t), y = h sin t: ds = h sqrt(1 - (1 - (w/2h)^2) sin^2 t).
    along = height * float(special.ellipeinc(math.atan2(up, across), 1 - (half / height) ** 2))
    assert along == pytest.approx(share * curve.length_m, abs=1e-12 * curve.length_m)


def test_an_arch_stands_on_both_feet_and_reaches_its_height() -> None:
    for shape in Shape:
        path = arch(2.0, 2.4, shape)
        start, top, end = (path.at(share * path.length_m) for share in (0, 0.5, 1))
        assert (start.x, start.y) == pytest.approx((0, 0), abs=1e-12)
        assert (top.x, top.y) == pytest.approx((1.0, 2.4), abs=1e-12)
        assert (end.x, end.y) == pytest.approx((2.0, 0), abs=1e-12)


def test_a_hoop_begins_at_its_lowest_point_and_goes_up_on_the_left() -> None:
    path = path_of(Support.HOOP, width_m=2)
    low, left, top, right = (path.at(share * path.length_m) for share in (0, 0.25, 0.5, 0.75))
    assert (low.x, low.y) == pytest.approx((1, 0))
    assert (left.x, left.y) == pytest.approx((0, 1))
    assert (top.x, top.y) == pytest.approx((1, 2))
    assert (right.x, right.y) == pytest.approx((2, 1))


@pytest.mark.parametrize(
    ("support", "measures", "corners"),
    [
        (Support.SQUARE_FRAME, {"width_m": 2, "height_m": 3}, [(0, 3), (2, 3)]),
        (Support.DOORWAY, {"width_m": 1, "height_m": 2}, [(0, 2), (1, 2)]),
        (Support.ROUND_TOP_FRAME, {"width_m": 2, "height_m": 3}, [(0, 2), (2, 2)]),
        (Support.WALL, {"width_m": 4, "height_m": 2}, [(0, 2), (4, 2)]),
        (Support.MANTEL, {"length_m": 3, "drop_m": 0.5}, [(0, 1.4), (3, 1.4)]),
        (Support.HOOP, {"width_m": 2}, []),
        (Support.ROUND_TOP_FRAME, {"width_m": 2, "height_m": 1}, []),
        (Support.SWAG, {"width_m": 2, "sag_m": 1}, []),
        (Support.TABLE, {"length_m": 3}, []),
    ],
)
def test_corners_are_where_the_support_bends(
    support: Support, measures: dict[str, float], corners: list[tuple[float, float]]
) -> None:
    path = path_of(support, Shape.CATENARY, **measures)
    found = [(p.x, p.y) for p in map(path.at, path.corners_m)]
    assert [c for point in found for c in point] == pytest.approx([c for p in corners for c in p])


@pytest.mark.parametrize("support", Support)
def test_every_support_is_registered_with_measures_that_can_be_given(support: Support) -> None:
    kind = kind_of(support)
    assert {name for form in kind.forms for name in form.measures} <= set(MEASURES)
    assert all(form.formula for form in kind.forms)
    assert kind.missing({})
    assert all(not kind.missing(dict.fromkeys(form.measures, 1.0)) for form in kind.forms)


def test_the_measures_of_the_supports_are_all_the_measures_there_are() -> None:
    forms = [form for support in Support for form in kind_of(support).forms]
    assert {name for form in forms for name in form.measures} == set(MEASURES)


def test_a_wall_without_a_run_goes_up_one_side_and_across() -> None:
    assert path_of(Support.WALL, width_m=3, height_m=2).length_m == 5


def test_drops_hang_down_at_both_ends_of_a_table() -> None:
    path = path_of(Support.TABLE, length_m=3, drop_m=0.5)
    assert path.length_m == pytest.approx(3 + 2 * 0.5)
    # A table is 0.76 m high.
    assert (path.start.y, path.end.y) == pytest.approx((0.26, 0.26))


def test_a_drop_cannot_be_longer_than_its_table_is_high() -> None:
    kind = kind_of(Support.TABLE)
    assert list(kind.misfits({"length_m": 2, "drop_m": 0.76})) == []
    ((field, detail),) = kind.misfits({"length_m": 2, "drop_m": 0.8})
    assert field == "drop_m"
    assert "0.76 m" in detail


def test_a_ceiling_with_a_width_is_covered_in_rows_that_are_not_joined() -> None:
    # 2.4 m at about 0.6 m a row: 4 rows of 5 m.
    path = path_of(Support.CEILING, length_m=5, width_m=2.4)
    assert path.length_m == 20
    assert path.breaks_m == (5, 10, 15)
    assert [(p.x, p.z) for p in (path.at(4.999), path.at(5.001))] == [
        pytest.approx((4.999, 0.3)),
        pytest.approx((0.001, 0.9)),
    ]


def test_steps_stand_for_the_steepest_stairs_that_a_dwelling_may_have() -> None:
    path = path_of(Support.STAIRCASE, steps=13)
    # 13 risers of 7 3/4 in, 13 treads of 10 in.
    assert path.length_m == pytest.approx(13 * math.hypot(7.75, 10) * 0.0254)
    assert path.end.y - path.start.y == pytest.approx(13 * 7.75 * 0.0254)


def test_rise_and_run_are_taken_before_steps_and_asked_for_instead_of_them() -> None:
    kind = kind_of(Support.STAIRCASE)
    assert kind.path({"rise_m": 3, "run_m": 4, "steps": 13}, Shape.CATENARY).length_m == 5
    assert kind.missing({}) == ("rise_m", "run_m")
    assert kind.missing({"rise_m": 3}) == ("run_m",)
    assert kind.missing({"steps": 13}) == ()


@pytest.mark.parametrize("steps", [0, -3, 2.5, 91, math.nan, math.inf])
def test_steps_are_a_whole_number_within_reason(steps: float) -> None:
    ((field, _),) = kind_of(Support.STAIRCASE).misfits({"steps": steps})
    assert field == "steps"
    assert not list(kind_of(Support.STAIRCASE).misfits({"steps": staircase.MOST_STEPS}))
