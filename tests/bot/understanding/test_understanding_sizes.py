"""Measures, and which piece they belong to."""

from datetime import date

import pytest

from bot.understanding import Structure, read

REFERENCE = date(2027, 1, 10)
FOOT = 0.3048  # m, exact by definition
Row = tuple[str, int, float | None, float | None, float | None]  # kind, count, sides in feet


def pieces_of(text: str, locale: str | None = "en-US") -> tuple[Structure, ...]:
    return read(text, reference_date=REFERENCE, locale=locale).structures


def in_feet(piece: Structure) -> Row:
    sides = (piece.width_m, piece.height_m, piece.length_m)
    width, height, length = (side and round(side / FOOT, 2) for side in sides)
    return piece.kind, piece.count, width, height, length


@pytest.mark.parametrize(
    "text",
    [
        "garland on a 4 ft wide 7 ft tall arch frame",
        "arch frame 4x7",
        "4' x 7' arch frame",
        "arch frame, 7 foot tall by 4 wide",
        "a frame four feet wide and seven feet tall",
        "frame is 48 inches wide and 84 inches tall",
        "frame: width 4ft height 7ft",
        "frame 4 by 7 ft (w x h)",
        "frame 7ft H x 4ft W",
        "arco de marco de 4 x 7 pies",
    ],
)
def test_one_frame_said_in_many_ways_is_one_frame(text: str) -> None:
    assert [in_feet(piece) for piece in pieces_of(text)] == [("arch_frame", 1, 4, 7, None)]


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("a 7'6\" tall column", 7.5),
        ("column 7 ft 6 in tall", 7.5),
        ("a 7½ ft column", 7.5),
        ("seven and a half foot column", 7.5),
        ("column 7 and a half feet tall", 7.5),
        ("column of 84 inches", 7),
        ("six foot column", 6),
        ("a five foot ten inches column", 5 + 10 / 12),
        ("six foot six column, gold", 6),
        ("column six foot six tall", 6.5),
        ("column 5ft10in", 5 + 10 / 12),
        ("column of a foot and a half", 1.5),
    ],
)
def test_feet_and_inches_are_exact(text: str, feet: float) -> None:
    (piece,) = pieces_of(text)
    assert piece.height_m == pytest.approx(feet * FOOT, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        *(("hoop 2.1 m", 2.1), ("210cm hoop", 2.1), ("1.5 meter hoop", 1.5)),
        *(("un aro de 1,8 m", 1.8), ("aro de 2 metros y medio", 2.5), ("aro de 1.80", 1.8)),
        *(("aro de metro y medio", 1.5), ("aro de un metro ochenta", 1.8)),
        *(("aro de 2 metros 10", 2.1), ("hoop of half a meter", 0.5)),
    ],
)
def test_metres_are_kept_as_said(text: str, metres: float) -> None:
    (piece,) = pieces_of(text)
    assert piece.kind == "hoop"
    assert piece.width_m == pytest.approx(metres, abs=1e-9)


def test_a_figure_without_a_unit_is_in_feet_unless_the_client_counts_in_metres() -> None:
    assert pieces_of("pared de 2 por 3", locale="es-MX")[0].width_m == 2
    assert pieces_of("wall 2 by 3")[0].width_m == pytest.approx(2 * FOOT)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("garland for the mantel, it's 6 ft long", [("mantel", 1, None, None, 6)]),
        ("12 ft garland for the entrance table", [("table", 1, None, None, 12)]),
        ("need a 20 ft garland", [("other", 1, None, None, 20)]),
        ("wall 10 ft wide and 8 ft high", [("wall", 1, 10, 8, None)]),
        ("garland for a wall about 12 feet wide", [("wall", 1, None, None, 12)]),
        ("a pair of 6 foot columns", [("column", 2, None, 6, None)]),
        ("columns x 3, 7' each", [("column", 3, None, 7, None)]),
        ("2x 6ft columns", [("column", 2, None, 6, None)]),
        ("columns 6ft x 2", [("column", 2, None, 6, None)]),
        ("twin columns 7ft", [("column", 2, None, 7, None)]),
        ("half a dozen columns", [("column", 6, None, None, None)]),
        ("a column on each side of the door", [("column", 2, None, None, None)]),
        ("una columna a cada lado del escenario", [("column", 2, None, None, None)]),
        ("6-foot-tall columns (two)", [("column", 2, None, 6, None)]),
        ("how much 4 a 6 ft hoop", [("hoop", 1, 6, None, None)]),
        ("de las columnas mejor 4, no 2", [("column", 4, None, None, None)]),
        (
            "three columns: one 6 feet and two 5 feet",
            [("column", 1, None, 6, None), ("column", 2, None, 5, None)],
        ),
        (
            "(1) a hoop 6ft (2) four columns 5 ft (3) a garland of 18 ft along the staircase",
            [
                ("hoop", 1, 6, None, None),
                ("column", 4, None, 5, None),
                ("staircase", 1, None, None, 18),
            ],
        ),
        ("i'd like an arch", [("freestanding_arch", 1, None, None, None)]),
        ("14 ft garland on the stage wall", [("wall", 1, None, None, 14)]),
        ("lluvia de globos del techo", [("ceiling", 1, None, None, None)]),
        ("un barandal decorado, la escalera tiene 12 pies", [("staircase", 1, None, None, 12)]),
        ("8 foot ceilings, need 2 columns 6 ft", [("column", 2, None, 6, None)]),
        ("the room is 20 by 30, arch 8 ft", [("freestanding_arch", 1, 8, None, None)]),
        ("hoop 6 ft with 12 inch balloons", [("hoop", 1, 6, None, None)]),
        (
            "10 ft for the mantel, 6 ft for the cake table",
            [("mantel", 1, None, None, 10), ("table", 1, None, None, 6)],
        ),
        ("30ft swag no wait 20ft", [("swag", 1, None, None, 20)]),
        ("no frame just an 8 ft arch", [("freestanding_arch", 1, 8, None, None)]),
        ("columns? no. a hoop", [("hoop", 1, None, None, None)]),
        (
            "2 small columns 4ft and 2 big ones 7ft",
            [("column", 2, None, 4, None), ("column", 2, None, 7, None)],
        ),
        ("two columns 6ft tall. actually three", [("column", 3, None, 6, None)]),
        ("stairs: 15 steps, 18 ft", [("staircase", 1, None, None, 18)]),
        (
            "dos aros, uno de 6 pies y otro de 4",
            [("hoop", 1, 6, None, None), ("hoop", 1, 4, None, None)],
        ),
        ("un arco con base de 9 pies", [("arch_frame", 1, 9, None, None)]),
        ("2 tall columns", [("column", 2, None, None, None)]),
        ("6 foot columns? 4 of them", [("column", 4, None, 6, None)]),
        ("hoop 6ft across", [("hoop", 1, 6, None, None)]),
        ("columns please, two 6 ft", [("column", 2, None, 6, None)]),
        ("boathouse entrance, doorway about 7ft by 8ft", [("doorway", 1, 7, 8, None)]),
        ("garland for a wall, wall is 12 ft", [("wall", 1, None, None, 12)]),
        ("a hoop and a hoop 6 ft", [("hoop", 1, None, None, None), ("hoop", 1, 6, None, None)]),
        ("a hoop, another hoop 6 ft", [("hoop", 1, None, None, None), ("hoop", 1, 6, None, None)]),
        ("stair rail, 10 ft along and 8 ft high", [("staircase", 1, None, 8, 10)]),
        ("garland 25' along the ceiling", [("ceiling", 1, None, None, 25)]),
        ("balloon drop for prom", [("ceiling", 1, None, None, None)]),
        ("a 12 ft garland over the doorway", [("doorway", 1, None, None, 12)]),
        ("arch over the garage door 16ft wide", [("doorway", 1, 16, None, None)]),
        ("10 bouquets for the tables", [("other", 10, None, None, None)]),
        (
            "two arch frames: one 3ft x 6ft and one 4ft x 7ft",
            [("arch_frame", 1, 3, 6, None), ("arch_frame", 1, 4, 7, None)],
        ),
        (
            "2 hoops, 5ft and 6ft",
            [("hoop", 1, 5, None, None), ("hoop", 1, 6, None, None)],
        ),
        (
            "2 columns by the door, 6 ft, and a garland on the bar 9ft",
            [("column", 2, None, 6, None), ("other", 1, None, None, 9)],
        ),
        (
            "garland for mantle 6', table 8', and doorway 3' x 7'",
            [
                ("mantel", 1, None, None, 6),
                ("table", 1, None, None, 8),
                ("doorway", 1, 3, 7, None),
            ],
        ),
        (
            "pair of columns 6' & garland 10'",
            [("column", 2, None, 6, None), ("other", 1, None, None, 10)],
        ),
    ],
)
def test_sizes_and_counts_go_to_their_own_pieces(text: str, expected: list[Row]) -> None:
    assert [in_feet(piece) for piece in pieces_of(text)] == expected


@pytest.mark.parametrize(
    ("text", "uncounted"),
    [
        ("columns at the entrance", True),
        ("6 ft hoops", True),
        ("two columns", False),
        ("columns on each side of the door", False),
        ("a column pair", False),
        ("a hoop", False),
        ("garland on the stairs", False),
    ],
)
def test_a_plural_without_a_number_leaves_open_how_many(text: str, uncounted: bool) -> None:
    assert [piece.uncounted for piece in pieces_of(text)] == [uncounted]


@pytest.mark.parametrize("text", ["6-7 ft arch", "garland between 8 and 10 feet"])
def test_a_range_of_sizes_is_left_to_be_asked(text: str) -> None:
    slots = read(text, reference_date=REFERENCE)
    assert not slots.structures[0].measured
    assert slots.ambiguous == ("structures",)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("three columns 4, 5 and 6 ft tall", [4, 5, 6]),
        ("a column that's 6 feet tall and another 4 feet tall", [6, 4]),
        ("columns 5 ft and 7 ft, black", [5, 7]),
        ("i need two columns, one 5 ft and one 7 ft", [5, 7]),
    ],
)
def test_each_of_several_sizes_is_a_piece(text: str, expected: list[float]) -> None:
    assert [in_feet(piece) for piece in pieces_of(text)] == [
        ("column", 1, None, feet, None) for feet in expected
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("two pairs of columns no sorry just one pair, 5 ft", [("column", 2, None, 5, None)]),
        ("two pairs of columns 5 ft", [("column", 4, None, 5, None)]),
        ("columns 6 ft tall, need 4", [("column", 4, None, 6, None)]),
        ("columns in black and orange (3), 7 ft", [("column", 3, None, 7, None)]),
        ("4 tables, each needs a centerpiece", [("other", 4, None, None, None)]),
        ("we need 3 hoops not 2", [("hoop", 3, None, None, None)]),
        ("stair rail - 12 stairs, 16 feet", [("staircase", 1, None, None, 16)]),
    ],
)
def test_how_many_is_heard_wherever_it_stands(text: str, expected: list[Row]) -> None:
    assert [in_feet(piece) for piece in pieces_of(text)] == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("the venue has a 9 ft high ceiling. an arch 8 ft wide", ("freestanding_arch", 8)),
        ("the stage is 20 ft wide and we want an arch 8 ft wide", ("freestanding_arch", 8)),
        ("a three-piece set with an arch 8 ft wide", ("freestanding_arch", 8)),
        ("a hoop 6 ft. $500 is our ceiling", ("hoop", 6)),
        ("we said an arch but lets do a hoop instead, 6 ft", ("hoop", 6)),
        ("wait no the doorway is 36 inches wide not 42", ("doorway", 3)),
        ("balloons around the archway to the dining room, 5 ft wide", ("doorway", 5)),
    ],
)
def test_what_else_has_a_size_or_a_name_is_no_piece(text: str, expected: tuple[str, float]) -> None:
    kind, width = expected
    assert [in_feet(piece) for piece in pieces_of(text)] == [(kind, 1, width, None, None)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("on the mantel i'd love a garland, 6 ft", [("mantel", 1, None, None, 6)]),
        (
            "for the entrance we want an arch 8 ft wide, for the buffet a garland 10 ft",
            [("freestanding_arch", 1, 8, None, None), ("table", 1, None, None, 10)],
        ),
        (
            "2 bouquets, also a 10-foot garland for the bar",
            [("other", 2, None, None, None), ("other", 1, None, None, 10)],
        ),
        (
            "a hoop and a column, both 6 ft",
            [("hoop", 1, 6, None, None), ("column", 1, None, 6, None)],
        ),
    ],
)
def test_a_place_named_first_carries_its_garland(text: str, expected: list[Row]) -> None:
    assert [in_feet(piece) for piece in pieces_of(text)] == expected


@pytest.mark.parametrize(
    "text", ["puerta de 90 cm de ancho y 2.10 de alto", "puerta 0.90 por 2.10"]
)
def test_a_decimal_beside_spanish_words_is_in_metres(text: str) -> None:
    (piece,) = pieces_of(text, "es-US")
    assert piece.width_m == pytest.approx(0.9)
    assert piece.height_m == pytest.approx(2.1)


def test_as_wide_as_a_garage_door_is_no_size_and_no_doorway() -> None:
    assert pieces_of("as wide as a garage door, red and green") == ()


@pytest.mark.parametrize(
    "text",
    ["un aro de 40 metros", "900 ft garland", "-5 ft garland", "a 40 ft tall column", "0 ft hoop"],
)
def test_sizes_that_cannot_be_meant_are_flagged(text: str) -> None:
    assert read(text, reference_date=REFERENCE).flags == ("implausible_size",)


def test_a_large_but_possible_size_is_not_flagged() -> None:
    assert read("60 ft garland on the fence", reference_date=REFERENCE).flags == ()


@pytest.mark.parametrize(
    "text",
    [
        "marco redondo de 4 pies de ancho por 7 de alto",
        "round frame 4 ft wide by 7 ft tall",
        "a round arch 4 ft wide and 7 ft tall",
        "a round backdrop 4ft x 7ft",
    ],
)
def test_a_round_thing_taller_than_wide_is_a_frame_that_is_round_at_its_top(text: str) -> None:
    assert [in_feet(piece) for piece in pieces_of(text)] == [("arch_frame", 1, 4, 7, None)]


@pytest.mark.parametrize("text", ["a round frame 6 ft wide 6 ft tall", "aro de 6 pies"])
def test_a_round_thing_as_wide_as_tall_stays_a_hoop(text: str) -> None:
    assert [in_feet(piece)[:3] for piece in pieces_of(text)] == [("hoop", 1, 6)]
