import math

import pytest

from service.estimating import Piece, Placement, Support
from service.workshop.build_sheet import Diagram, Sign, Spot
from tests.service.building import a_brief
from tests.service.workshop.build_sheet.sheets import ARCH, LAWN, ROWS, sheet_for


def diagram_of(piece: Piece) -> Diagram:
    return sheet_for(a_brief(pieces=(piece,))).pieces[0].diagram


def signs(diagram: Diagram, sign: Sign) -> list[Spot]:
    return [spot for spot in diagram.spots if spot.sign is sign]


def test_an_arch_is_seen_from_the_front_with_its_numbers_outside() -> None:
    diagram = diagram_of(ARCH)
    assert not diagram.from_above
    numbers = signs(diagram, Sign.NUMBER)
    assert numbers[0].text == "1"
    middle = ARCH.path.at(ARCH.path.length_m / 2).x
    for spot in numbers:
        assert math.hypot(spot.out_x, spot.out_y) == pytest.approx(1)
        assert spot.out_x * (spot.x - middle) >= -1e-6
        assert spot.out_y > 0


def test_rows_under_a_ceiling_are_seen_from_above_and_none_runs_into_the_next() -> None:
    diagram = diagram_of(ROWS)
    assert diagram.from_above
    assert len(diagram.garland) == len(diagram.support) == 4
    for line in (*diagram.garland, *diagram.support):
        assert len({round(y, 6) for _, y in line}) == 1
        assert line[0][0] == pytest.approx(0)
        assert line[-1][0] == pytest.approx(4)
    heights = sorted({round(spot.y, 6) for spot in signs(diagram, Sign.HELD)})
    assert len(heights) == 4
    assert {(spot.out_x, spot.out_y) for spot in diagram.spots} == {(0, 1)}


def test_every_place_that_holds_the_garland_is_on_it() -> None:
    hoop = Piece(support=Support.HOOP, width_m=1.5, placement=Placement.ASYMMETRIC)
    for spot in diagram_of(hoop).spots:
        assert math.hypot(spot.x - 0.75, spot.y - 0.75) == pytest.approx(0.75)


def test_numbers_are_few_however_long_the_garland_is() -> None:
    wall = Piece(support=Support.WALL, length_m=25)
    numbers = [int(spot.text) for spot in signs(diagram_of(wall), Sign.NUMBER)]
    assert numbers[:3] == [1, 20, 40]
    assert len(numbers) <= 26


def test_what_is_attached_stands_at_its_place() -> None:
    marks = signs(sheet_for(LAWN).pieces[0].diagram, Sign.MARK)
    assert [spot.text for spot in marks] == [*"abbbbbbbbbcccccc"]
    crown = marks[0]
    assert crown.x == pytest.approx(ARCH.path.at(ARCH.path.length_m / 2).x, abs=0.01)
    assert crown.y == pytest.approx(ARCH.path.top_m, abs=0.01)
