"""Each caution is said when it is due and only then, the gravest first."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Brief, Event, Piece, Setting, Site, Support
from service.estimating.cautions import CHOKING, LADDER_ABOVE_M, cautions_for
from service.estimating.extras import Floating, FloatKind

HALL = Site(setting=Setting.INDOOR)
LAWN = Site(setting=Setting.OUTDOOR)
TABLE = Piece(support=Support.TABLE, length_m=2)
HOOP = Piece(support=Support.HOOP, width_m=1.8)
LATEX = (Floating(kind=FloatKind.LATEX, size_class=11, count=10),)
FOIL = (Floating(kind=FloatKind.FOIL_ROUND, size_class=18, count=3),)

ALWAYS = {"choking_hazard", "latex_allergy", "hot_cars"}
GRAVEST_FIRST = (
    "choking_hazard",
    "small_children",
    "helium",
    "latex_in_hospitals",
    "latex_allergy",
    "clear_way_out",
    "exits_and_fire_rules",
    "strong_wind",
    "floating_foils_and_power_lines",
    "foils_and_power_lines",
    "ladders",
    "weights_and_walkways",
    "sun_and_heat",
    "cold",
    "no_release",
    "hot_cars",
)


def brief_of(*pieces: Piece, **facts: Any) -> Brief:
    return Brief(pieces=pieces or (TABLE,), **{"site": HALL, **facts})


def told(brief: Brief) -> dict[str, str]:
    highest = max(piece.path.top_m for piece in brief.pieces)
    return {caution.code: caution.text for caution in cautions_for(brief, top_m=highest)}


def test_a_table_in_a_hall_has_the_usual_cautions_and_no_more() -> None:
    assert set(told(brief_of())) == ALWAYS | {"exits_and_fire_rules"}


def test_the_choking_hazard_is_the_law_s_own_label() -> None:
    # 16 CFR 1500.19(b)(2), the statement for latex balloons
    assert CHOKING == (
        "WARNING: CHOKING HAZARD—Children under 8 yrs. can choke or suffocate on uninflated or"
        " broken balloons. Adult supervision required. Keep uninflated balloons from children."
        " Discard broken balloons at once."
    )
    assert next(iter(told(brief_of()).items())) == ("choking_hazard", CHOKING)


@pytest.mark.parametrize(
    ("facts", "due"),
    [
        ({"event": Event(occasion="birthday")}, True),
        ({"event": Event(occasion="baby_shower")}, True),
        ({"event": Event(occasion="gender_reveal")}, True),
        ({"event": Event(occasion="retirement")}, False),
        ({"site": Site(place="Alder Mills Elementary School")}, True),
        ({"notes": "about twenty kids will be there"}, True),
        ({"notes": "fifty years of the rowing club"}, False),
        ({"notes": "kidney-shaped pool"}, False),
    ],
)
def test_small_children(facts: dict[str, Any], due: bool) -> None:
    assert ("small_children" in told(brief_of(**facts))) == due


@pytest.mark.parametrize(
    ("facts", "due"),
    [
        ({"site": Site(place="Riverside Hospital, lobby")}, True),
        ({"site": Site(place="the harbor clinics")}, True),
        ({"site": Site(place="Clínica del Puerto")}, True),
        ({"notes": "columns for the nursing home"}, True),
        ({"notes": "in the rehab wing"}, True),
        ({"site": Site(place="the rehabbed boathouse")}, False),
        ({"site": Site(place="Hospitality Hall")}, False),
        ({}, False),
    ],
)
def test_latex_in_hospitals(facts: dict[str, Any], due: bool) -> None:
    texts = told(brief_of(**facts))
    assert ("latex_in_hospitals" in texts) == due
    # That foil takes latex's place is said in either case.
    assert "foil" in texts["latex_allergy"]


def test_helium_is_never_breathed_and_cylinders_stand_upright_chained_and_aired() -> None:
    assert "helium" not in told(brief_of(foils=("5",)))
    text = told(brief_of(floating=LATEX))["helium"]
    for words in ("never breathe", "upright", "chained", "ventilated", "weight"):
        assert words in text


def test_ways_out_stay_free_round_doors_and_along_stairs() -> None:
    door = Piece(support=Support.DOORWAY, width_m=1, height_m=2)
    stairs = Piece(support=Support.STAIRCASE, rise_m=2.5, run_m=3)
    for piece in (door, stairs):
        assert "clear_way_out" in told(brief_of(TABLE, piece))
    assert "clear_way_out" not in told(brief_of(TABLE, HOOP))


def test_exits_and_the_venue_s_fire_rules_wherever_there_may_be_a_roof() -> None:
    for site in (HALL, Site()):
        text = told(brief_of(site=site))["exits_and_fire_rules"]
        assert "Ask the venue" in text
        assert "local code decides" in text
    assert "exits_and_fire_rules" not in told(brief_of(site=LAWN))


def test_wind_sun_and_heat_outdoors_whatever_stands_there() -> None:
    for piece in (TABLE, HOOP):
        outdoors = told(brief_of(piece, site=LAWN))
        assert {"strong_wind", "sun_and_heat"} <= set(outdoors)
        assert not {"strong_wind", "sun_and_heat"} & set(told(brief_of(piece)))


def test_ladders_only_for_what_is_out_of_reach() -> None:
    def arch(height_m: float) -> Brief:
        return brief_of(
            TABLE, Piece(support=Support.FREESTANDING_ARCH, width_m=3, height_m=height_m)
        )

    assert "ladders" not in told(arch(LADDER_ABOVE_M))
    text = told(arch(LADDER_ABOVE_M + 0.01))["ladders"]
    # 29 CFR 1926.1053(b)(5)(i): a quarter of the working length
    assert "a quarter of its working length" in text


@pytest.mark.parametrize(
    ("piece", "facts", "due"),
    [
        (HOOP, {"site": LAWN}, True),
        (TABLE, {"site": LAWN}, False),
        (HOOP, {}, False),
        (TABLE, {"floating": LATEX}, True),
    ],
)
def test_weights_are_kept_out_of_walkways_where_there_are_any(
    piece: Piece, facts: dict[str, Any], due: bool
) -> None:
    assert ("weights_and_walkways" in told(brief_of(piece, **facts))) == due


@pytest.mark.parametrize(
    ("facts", "due"),
    [({"site": LAWN}, True), ({"floating": LATEX}, True), ({}, False), ({"foils": ("5",)}, False)],
)
def test_no_release_where_a_balloon_could_get_away(facts: dict[str, Any], due: bool) -> None:
    assert ("no_release" in told(brief_of(**facts))) == due


def test_what_stays_with_the_client_is_not_said_to_be_taken_down() -> None:
    taken = told(brief_of(floating=LATEX))["no_release"]
    kept = told(brief_of(floating=LATEX, client_keeps=True))["no_release"]
    assert "never released" in taken
    assert "never released" in kept
    assert "taken down" in taken
    assert "taken down" not in kept


def test_foils_and_power_lines_for_foils_and_the_law_for_foils_that_float() -> None:
    fixed, floating = (told(brief_of(**f)) for f in ({"foils": ("5", "0")}, {"floating": FOIL}))
    assert "foils_and_power_lines" in fixed
    assert "floating_foils_and_power_lines" not in fixed
    assert "foils_and_power_lines" not in floating
    law = floating["floating_foils_and_power_lines"]
    # California Penal Code 653.1 (a) a weight, (b) no conductive string, (c) none tied to another
    for words in ("weight", "does not conduct", "none are tied to one another", "653.1"):
        assert words in law
    assert "floating_foils_and_power_lines" not in told(brief_of(floating=LATEX))


briefs = st.builds(
    brief_of,
    st.sampled_from(
        [TABLE, HOOP, Piece(support=Support.DOORWAY, width_m=1, height_m=3)],
    ),
    site=st.sampled_from([HALL, LAWN, Site(), Site(place="a hospital")]),
    event=st.builds(Event, occasion=st.sampled_from([None, "birthday", "prom"])),
    foils=st.sampled_from([(), ("5",)]),
    floating=st.sampled_from([(), LATEX, FOIL, LATEX + FOIL]),
    client_keeps=st.sampled_from([None, True, False]),
)


@given(brief=briefs)
def test_the_gravest_come_first_and_none_twice(brief: Brief) -> None:
    highest = max(piece.path.top_m for piece in brief.pieces)
    codes = [caution.code for caution in cautions_for(brief, top_m=highest)]
    assert codes == [code for code in GRAVEST_FIRST if code in codes]
    assert set(codes) >= ALWAYS
    texts = [caution.text for caution in cautions_for(brief, top_m=highest)]
    assert len(set(texts)) == len(texts)
    assert not any("colour" in text for text in texts)


def test_below_five_degrees_cold_is_spoken_of_and_not_heat() -> None:
    cold = told(brief_of(site=Site(setting=Setting.OUTDOOR, temperature_c=-5.0)))
    assert "sun_and_heat" not in cold
    assert "shrink" in cold["cold"]
    mild = told(brief_of(site=Site(setting=Setting.OUTDOOR, temperature_c=5.0)))
    assert "cold" not in mild
    assert "sun_and_heat" in mild
