"""Where the garland lies, what dresses it, what floats, what is unwanted and what is likened."""

from datetime import date

import pytest

from bot.understanding import Extra, Slots, Structure, read

REFERENCE = date(2027, 1, 10)


def slots_of(text: str, known: Slots | None = None) -> Slots:
    return read(text, reference_date=REFERENCE, known=known)


@pytest.mark.parametrize(
    ("text", "placement"),
    [
        ("hoop 6ft, just one side", "one_side"),
        ("hoop with the garland on the left side only", "one_side"),
        ("solo un lado del arco", "one_side"),
        ("garland from corner to corner on a square frame", "corner_to_corner"),
        ("aro con guirnalda en diagonal", "corner_to_corner"),
        ("just the top of the arch frame", "centred"),
        ("arch stand, only across the top please", "centred"),
        ("un arco asimétrico de 8 pies", "asymmetric"),
        ("arch frame, heavier on one side", "asymmetric"),
        ("a 6 ft hoop at one side of the door", None),
        ("two columns, one on each side", None),
    ],
)
def test_the_garland_lies_where_the_client_says(text: str, placement: str | None) -> None:
    assert slots_of(text).structures[0].placement == placement


@pytest.mark.parametrize(
    ("text", "coverage"),
    [
        ("garland on half of the frame", 0.5),
        ("hoop 75% covered", 0.75),
        ("cover about 60% of the ring", 0.6),
        ("aro cubierto a la mitad", 0.5),
        ("solo la mitad del aro", 0.5),
        ("three quarters of the hoop", 0.75),
        ("staircase covered all the way", 1.0),
        ("need an arch 8 ft wide, 50% deposit ok", None),
        ("arch, half of the balloons pink", None),
        ("arch in half an hour", None),
    ],
)
def test_coverage_is_a_share_of_the_piece_and_of_nothing_else(
    text: str, coverage: float | None
) -> None:
    assert slots_of(text).structures[0].coverage == coverage


@pytest.mark.parametrize(
    ("text", "pattern"),
    [
        ("ombre blue garland 10 ft", "ombre"),
        ("arco con degradado de rosa a blanco", "ombre"),
        ("garland fading from dark to light pink", "ombre"),
        ("color blocked garland", "blocks"),
        ("columns in stripes of red and white", "stripe"),
        ("columnas a rayas", "stripe"),
        ("spiral staircase garland 12 ft", None),
    ],
)
def test_colours_follow_one_another_as_said(text: str, pattern: str | None) -> None:
    assert slots_of(text).structures[0].pattern == pattern


def test_each_piece_has_its_own_looks() -> None:
    hoop, columns = slots_of("hoop with the garland on one side, and 2 striped columns").structures
    assert (hoop.placement, hoop.pattern) == ("one_side", None)
    assert (columns.placement, columns.pattern) == (None, "stripe")


def test_looks_without_a_piece_are_of_the_piece_known() -> None:
    known = Slots(structures=(Structure(kind="hoop", width_m=2.0),))
    (piece,) = slots_of("just one side please", known).structures
    assert (piece.kind, piece.placement, piece.measured) == ("hoop", "one_side", False)
    assert slots_of("just one side please").structures == ()


@pytest.mark.parametrize(
    ("text", "extras"),
    [
        ("add flowers and greenery", [("flowers", None, None), ("greenery", None, None)]),
        ("arch with 20 roses", [("flowers", 20, "roses")]),
        ("white roses and eucalyptus leaves on an arch",
         [("flowers", None, "white roses"), ("greenery", None, "eucalyptus leaves")]),
        ("a sign that says “Happy 40th Maya” in front", [("sign", None, "Happy 40th Maya")]),
        (
            "un letrero que diga 'Biblioteca de Alder Mills, reapertura con cuentos, música y "
            "chocolate para todos' y flores",
            [
                (
                    "sign",
                    1,
                    "Biblioteca de Alder Mills, reapertura con cuentos, música y chocolate para "
                    "todos",
                ),
                ("flowers", None, None),
            ],
        ),
        ("a sign that says 'Welcome back", [("sign", None, "Welcome back")]),
        ("neon sign saying better together above the hoop", [("sign", None, "better together")]),
        ("letrero que diga Feliz Cumpleaños Ana y dos columnas",
         [("sign", None, "Feliz Cumpleaños Ana")]),
        ("con listones dorados", [("ribbon", None, None)]),
        ("arch frame with a fabric cover", [("fabric_cover", None, None)]),
        ("un arco, sin flores, con follaje", [("greenery", None, None)]),
        ("no flowers please", []),
        ("the flower girl wears white", []),
        ("ribbon cutting tomorrow", []),
        ("where do i sign the contract", []),
        ("a foil flower", []),
    ],
)  # fmt: skip
def test_extras_are_what_dresses_the_pieces(
    text: str, extras: list[tuple[str, int | None, str | None]]
) -> None:
    expected = tuple(Extra(kind=kind, count=count, words=words) for kind, count, words in extras)
    assert slots_of(text).extras == expected


def test_the_colours_of_extras_and_the_figures_of_signs_are_not_the_balloons() -> None:
    slots = slots_of('yellow silk flowers, a sign, "Class of 2027", and a 6 ft navy hoop')
    assert slots.colours == ("navy",)
    assert slots.foils == ()
    assert slots.structures[0].width_m == pytest.approx(6 * 0.3048)
    assert slots.flags == ()


@pytest.mark.parametrize(
    ("text", "floating"),
    [
        ("20 balloons with helium", 20),
        ("15 globos de helio rosas", 15),
        ("two dozen helium balloons", 24),
        ("helium balloons to float", 0),
        ("globos con helio", 0),
        ("no helium balloons please", None),
        ("arco sin helio", None),
        ("do you have helium balloons?", None),
        ("a garland of 20 ft", None),
    ],
)
def test_floating_balloons_are_counted_where_asked_for(text: str, floating: int | None) -> None:
    assert slots_of(text).floating == floating


@pytest.mark.parametrize(
    ("text", "wanted", "unwanted"),
    [
        ("no pink or red, just black", ["black"], ["pink", "red"]),
        ("sin rosa, mejor lila", ["lilac"], ["pink"]),
        ("anything but red, maybe blues", ["blue"], ["red"]),
        ("she hates orange. teal please", ["teal"], ["orange"]),
        ("aqua not allowed, just nude and white", ["nude", "white"], ["aqua"]),
        ("rosa y celeste no, mejor amarillo y blanco", ["yellow", "white"], ["pink", "sky blue"]),
        ("rainbow is too much so red and blue", ["red", "blue"], ["rainbow"]),
        ("rainbow no wait not rainbow, mint", ["mint"], ["rainbow"]),
        ("instead of pink use coral", ["coral"], ["pink"]),
        ("swap the gold for silver", ["silver"], ["gold"]),
        ("no pink foils, pink balloons", ["pink"], []),
    ],
)
def test_a_refused_colour_is_unwanted(text: str, wanted: list[str], unwanted: list[str]) -> None:
    slots = slots_of(text)
    assert list(slots.colours) == wanted
    assert list(slots.unwanted) == unwanted


@pytest.mark.parametrize(
    ("text", "likened"),
    [
        ("as wide as a garage door, red and green", "garage door"),
        ("hoop about the size of a door", "door"),
        ("garland the length of a school bus please", "school bus"),
        ("tan alto como una puerta", "puerta"),
        ("as big as possible", None),
        ("as soon as possible", None),
    ],
)
def test_a_likened_size_is_kept_in_words_and_measures_nothing(
    text: str, likened: str | None
) -> None:
    slots = slots_of(text)
    assert slots.likened == likened
    assert not any(piece.measured for piece in slots.structures)
