"""Cautions: what law and rules ask for, and whether the estimate says it when it is due.

The label of the law is compared word for word. What else has to be said is said in the shop's own
words: the phrase is the answer where it is there, and the whole text where it is not.
"""

import math
from functools import partial

from service.estimating import Brief, Piece, Setting, Site, Support, estimate
from service.estimating.book.work_kit import USUAL_WORK_KIT
from service.estimating.buoyancy import FoilShape, foil, latex, weight_needed
from service.estimating.cautions import CHOKING
from service.estimating.errors import BriefError
from service.estimating.extras import Floating, FloatKind
from service.workshop.load_list import load_list
from tests.published.demo import FRAME, TODAY, book
from tests.published.row import FOOT, Disagreement, Row, published

_HIGH = Piece(support=Support.FREESTANDING_ARCH, width_m=3, height_m=3)
_FOIL = Floating(kind=FloatKind.FOIL_ROUND, size_class=18, count=1)
_DOORWAY = Piece(support=Support.DOORWAY, width_m=1, height_m=2.1)

_SHARES = {"a third": 1 / 3, "a quarter": 1 / 4, "a fifth": 1 / 5}


def text_of(code: str, brief: Brief) -> str:
    """The caution of that code, nothing where the brief calls for none."""
    cautions = estimate(brief, book(), today=TODAY).cautions
    return next((caution.text for caution in cautions if caution.code == code), "")


def says_of(phrase: str, text: str) -> str:
    """The phrase where the text has it."""
    return phrase if phrase in text else text


def says(phrase: str, code: str, brief: Brief) -> str:
    """The phrase where the caution has it."""
    return says_of(phrase, text_of(code, brief))


def ladder_degrees() -> float:
    """How steep a ladder leans that stands as the caution has it."""
    text = text_of("ladders", Brief(pieces=(_HIGH,)))
    (share,) = (share for words, share in _SHARES.items() if f"by {words} of its" in text)
    return math.degrees(math.acos(share))


def reach_ft(size_ft: int) -> float:
    """How high somebody works from a stepladder of that size."""
    label = f"stepladder {size_ft} ft"
    (ladder,) = (each for each in USUAL_WORK_KIT.ladders if each.label == label)
    return ladder.reaches_m / FOOT


def told_of_the_ladder() -> str:
    """What the load list says of the ladder that comes along, to eight feet and a half."""
    brief = Brief(pieces=(_HIGH,))
    found = load_list(brief, estimate(brief, book(), today=TODAY), book(), kit=book().kit)
    (group,) = (each for each in found.things if each.title == "Ladder")
    return group.items[0].where


def refusal_of_latex(size_in: float) -> str:
    """Why a latex balloon is not filled with helium."""
    try:
        latex(size_in)
    except BriefError as error:
        return error.problems[0].detail
    return "it floats"


def weight_in_estimate() -> float:
    """Weight of an 18 in foil over what it lifts, in an estimate."""
    brief = Brief(pieces=(FRAME,), floating=(_FOIL,), site=Site(setting=Setting.INDOOR))
    (line,) = estimate(brief, book(), today=TODAY).helium.balloons
    return line.weight_kg / line.net_lift_kg


_FOIL_LAW = "California Penal Code 653.1, Legislative Counsel's digest to AB 2709 (2016)"
_FOILED = Brief(pieces=(FRAME,), floating=(_FOIL,))

LAW = (
    published(
        id="label for latex balloons",
        source="16 CFR 1500.19(b)(2); Federal Register, 1 July 1994",
        expected="WARNING: CHOKING HAZARD—Children under 8 yrs. can choke or suffocate on"
        " uninflated or broken balloons. Adult supervision required. Keep uninflated balloons from"
        " children. Discard broken balloons at once.",
        answer=lambda: CHOKING,
    ),
    published(
        id="label on any estimate with latex",
        source="16 CFR 1500.19(a)(3): a decorative item of latex is a latex balloon too",
        expected="Children under 8 yrs.",
        answer=partial(says, "Children under 8 yrs.", "choking_hazard", Brief(pieces=(FRAME,))),
    ),
    published(
        id="weight of an 18 in round foil, at least",
        source=f"{_FOIL_LAW}: enough to counter its lift, by a helium chart 4.2 g",
        expected=4.2,
        tolerance=0.01,
        unit="g",
        answer=lambda: 1000 * weight_needed(foil(FoilShape.ROUND, 18).room_lift_kg, safety=1),
    ),
    published(
        id="weight of a foil over its lift, in an estimate",
        source=f"{_FOIL_LAW}: enough to counter its lift",
        expected=1,
        at_least=True,
        answer=weight_in_estimate,
    ),
    *(
        published(
            id=what,
            source=f"{_FOIL_LAW}: {said}",
            expected=phrase,
            answer=partial(says, phrase, "floating_foils_and_power_lines", _FOILED),
        )
        for what, said, phrase in (
            ("foils near power lines", "a warning about power lines", "power line"),
            ("foils tied together", "no two or more attached", "none are tied to one another"),
            ("foils outdoors", "none released outdoors", "none goes outdoors untied"),
        )
    ),
    published(
        id="releasing balloons",
        source="Florida Statutes 379.233 (from 1 July 2024): unlawful whatever their number",
        expected="never released",
        answer=partial(
            says,
            "never released",
            "no_release",
            Brief(pieces=(FRAME,), site=Site(setting=Setting.OUTDOOR)),
        ),
    ),
)

HAZARDS = (
    published(
        id="lean of a ladder",
        source="29 CFR 1926.1053(b)(5)(i), a quarter of the working length; tested at 75.5 degrees",
        expected=75.5,
        tolerance=0.05,
        unit="degrees",
        answer=ladder_degrees,
    ),
    *(
        published(
            id=f"reach from a stepladder of {size_ft} ft",
            source="'How to choose the correct ladder height' (titanladders.co.uk, 2018): about"
            " 4 ft above it, standing no higher than two steps from the top",
            expected=size_ft + 4,
            tolerance=1e-9,
            unit="ft",
            answer=partial(reach_ft, size_ft),
        )
        for size_ft in (4, 6, 8)
    ),
    *(
        published(
            id=f"reach from a stepladder of {size_ft} ft, by a table",
            source="'Portable step ladder correct reach' (ohs.uky.edu): somebody of 5 ft 9 in,"
            f" reaching up by 12 in: {said}",
            expected=expected,
            tolerance=0.05,
            unit="ft",
            answer=partial(reach_ft, size_ft),
            disagrees=Disagreement(
                by=by, because="theirs is as far as fingers reach; ours is work with both hands"
            ),
        )
        for size_ft, said, expected, by in (
            (4, "8 ft 6 in", 8 + 6 / 12, -0.059),
            (6, "10 ft 4 in", 10 + 4 / 12, -0.032),
            (8, "12 ft 3 in", 12 + 3 / 12, -0.020),
        )
    ),
    published(
        id="standing on a stepladder",
        source="'Portable step ladder correct reach' (ohs.uky.edu): no higher than two steps down",
        expected="nobody stands on its two topmost steps",
        answer=lambda: says_of("nobody stands on its two topmost steps", told_of_the_ladder()),
    ),
    published(
        id="breathing helium",
        source="gas supplier's 'Balloon gas fact sheet': an asphyxiant, never to be inhaled",
        expected="never breathe it",
        answer=partial(says, "never breathe it", "helium", _FOILED),
    ),
    published(
        id="cylinders",
        source="exhibit hall's 'Fire regulations': upright and secured",
        expected="Cylinders stand upright and chained",
        answer=partial(says, "Cylinders stand upright and chained", "helium", _FOILED),
    ),
    published(
        id="latex in a hospital",
        source="hospital's 'Latex balloon guidelines': foil in the place of latex",
        expected="offer foil instead",
        answer=partial(
            says,
            "offer foil instead",
            "latex_in_hospitals",
            Brief(pieces=(FRAME,), site=Site(place="the lobby of St. Brigid's Hospital")),
        ),
    ),
    published(
        id="over a doorway",
        source="2018 IFC 806.2: the required width of a means of egress is not obstructed",
        expected="its full clear width",
        answer=partial(says, "its full clear width", "clear_way_out", Brief(pieces=(_DOORWAY,))),
    ),
    *(
        published(
            id=f"decorations and {what}",
            source="university's 'Event decorations': not on exit signs, sprinklers, pulls",
            expected=what,
            answer=partial(says, what, "exits_and_fire_rules", Brief(pieces=(FRAME,))),
        )
        for what in ("exit signs", "sprinklers", "alarm pulls")
    ),
    published(
        id="a 5 in balloon with helium",
        source="'Balloon helium chart', an event decorator's page: 5 in 'do not float'",
        expected="a latex balloon of 5 in does not float; use 9 in or larger, or fill it with air",
        answer=partial(refusal_of_latex, 5),
    ),
)

ROWS: tuple[Row, ...] = (*LAW, *HAZARDS)
