"""Safety texts, chosen by the brief."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from service.estimating.answer import Caution
from service.estimating.brief import Brief, Setting
from service.estimating.paths import kind_of

LADDER_ABOVE_M = 2.4
"""Common practice, no source: what a person on the floor cannot reach with both hands."""

CHOKING = (
    "WARNING: CHOKING HAZARD—Children under 8 yrs. can choke or suffocate on uninflated or"
    " broken balloons. Adult supervision required. Keep uninflated balloons from children."
    " Discard broken balloons at once."
)
"""16 CFR 1500.19(b)(2), word for word: it is the law's own label for latex balloons."""

_SMALL_CHILDREN = (
    "Where small children come: keep the garland out of their reach, sweep up every broken"
    " balloon at once, and leave no loose ones behind."
)
_HELIUM = (
    "Helium displaces air: never breathe it, not from a balloon either. Cylinders stand upright"
    " and chained, away from heat, in a ventilated room, and are handled by somebody who was shown"
    " how. Every balloon that floats has a weight."
)
_CARE = "Hospitals and clinics mostly do not allow latex at all: ask first, and offer foil instead."
_LATEX = (
    "Latex can set off a serious allergic reaction. Ask whether a guest or the venue has a latex"
    " allergy; foil balloons can take its place."
)
_WAY_OUT = (
    "The garland goes round a way that people leave by: its full clear width and its handrail"
    " must stay free. Ask the venue before it is put up."
)
_FIRE = (
    "Keep exits, exit signs, sprinklers, alarm pulls, heaters and flames clear of the garland. Ask"
    " the venue about its fire rules for decorations; local code decides."
)
_WIND = (
    "Outdoors somebody watches the wind all the time: a garland catches it like a sail. It comes"
    " down before the wind is strong, and in a storm it is not put up."
)
_FLOATING_FOILS = (
    "A foil balloon with helium that gets away can short a power line: each one has its own"
    " weight and a string that does not conduct, none are tied to one another, and none goes"
    " outdoors untied. Several states make this law (California Penal Code 653.1)."
)
_FOILS = (
    "Foil balloons conduct electricity: keep them tied down and away from power lines. Those in"
    " the garland are filled with air and fixed to it."
)
_LADDER = (
    "Part of this is put up from a ladder: keep guests away meanwhile. Those who"
    " put it up set a leaning ladder's foot out by a quarter of its"
    " working length, on firm ground; a platform is better where there is one."
)
"""A quarter of the working length: 29 CFR 1926.1053(b)(5)(i)."""

_WALKWAYS = (
    "Weights, lines and feet are kept out of walkways and marked, so that nobody trips over them."
)
_SUN = (
    "Outdoors latex dulls within hours, and heat and sun burst balloons, dark ones first. They"
    " are sized smaller for it; shade and a late set-up help. Nothing is guaranteed outdoors."
)
_COLD = (
    "In the cold balloons shrink: they are sized larger for it, as far as the rubber allows. Bring"
    " them in late and let them warm up by themselves, never at a heater. Nothing is guaranteed"
    " outdoors."
)
_COLD_BELOW_C = 5.0
"""Common practice, no source: below it heat is no worry."""

_RELEASE = "Balloons are never released: it is unlawful in many places and harms animals."
_TAKEN_AWAY = f"{_RELEASE} Everything is taken down and thrown away."
_KEPT = f"{_RELEASE} Those that stay with you are cut open and thrown away when they are done with."
_HOT_CARS = "Do not leave balloons in a hot car; keep them out of direct sun until they are put up."

_FOR_CHILDREN = frozenset({"baby_shower", "gender_reveal", "birthday"})
_CHILDREN_THERE = re.compile(
    r"\b(kids?|children|toddlers?|pre-?school|kindergarten|day ?care|playgrounds?"
    r"|(elementary|primary) school|niñ[oa]s?|guardería)\b",
    re.IGNORECASE,
)
_PLACE_OF_CARE = re.compile(
    r"\b(hospitals?|clinics?|clínica|hospice|infirmary|nicu|icu|dialysis|rehab(ilitation)?"
    r"|(nursing|care) home|assisted living|health cent(er|re))\b",
    re.IGNORECASE,
)


def is_place_of_care(brief: Brief) -> bool:
    """Whether the client's words for the place, or notes, name one that often bans latex."""
    return bool(_PLACE_OF_CARE.search(_words(brief)))


def cautions_for(brief: Brief, *, top_m: float) -> tuple[Caution, ...]:
    """The texts that this brief calls for, the gravest first.

    `top_m` is the greatest height above the floor that hands must reach [m].
    """
    facts = _Facts.of(brief, top_m)
    return tuple([caution for caution, due in _RULES if due(facts)])


@dataclass(frozen=True, kw_only=True, slots=True)
class _Facts:
    """What the choice goes by."""

    outdoors: bool
    stands: bool
    across_way_out: bool
    high: bool
    children: bool
    care: bool
    foils: bool
    floats: bool
    foil_floats: bool
    kept: bool
    cold: bool

    @classmethod
    def of(cls, brief: Brief, top_m: float) -> "_Facts":
        kinds = [kind_of(piece.support) for piece in brief.pieces]
        for_children = brief.event.occasion in _FOR_CHILDREN
        return cls(
            outdoors=brief.site.setting is Setting.OUTDOOR,
            stands=any(kind.stands for kind in kinds),
            across_way_out=any(kind.across_way_out for kind in kinds),
            high=top_m > LADDER_ABOVE_M,
            children=for_children or bool(_CHILDREN_THERE.search(_words(brief))),
            care=is_place_of_care(brief),
            foils=bool(brief.foils),
            floats=bool(brief.floating),
            foil_floats=any(each.kind.foil for each in brief.floating),
            kept=bool(brief.client_keeps),
            cold=(there := brief.site.temperature_c) is not None and there < _COLD_BELOW_C,
        )

    @property
    def may_get_away(self) -> bool:
        """Whether a balloon could fly off."""
        return self.outdoors or self.floats


def _words(brief: Brief) -> str:
    return f"{brief.site.place or ''} {brief.notes or ''}"


_RULES: tuple[tuple[Caution, Callable[[_Facts], bool]], ...] = (
    (Caution(code="choking_hazard", text=CHOKING), lambda _: True),
    (Caution(code="small_children", text=_SMALL_CHILDREN), lambda facts: facts.children),
    (Caution(code="helium", text=_HELIUM), lambda facts: facts.floats),
    (Caution(code="latex_in_hospitals", text=_CARE), lambda facts: facts.care),
    (Caution(code="latex_allergy", text=_LATEX), lambda _: True),
    (Caution(code="clear_way_out", text=_WAY_OUT), lambda facts: facts.across_way_out),
    (Caution(code="exits_and_fire_rules", text=_FIRE), lambda facts: not facts.outdoors),
    (Caution(code="strong_wind", text=_WIND), lambda facts: facts.outdoors),
    (
        Caution(code="floating_foils_and_power_lines", text=_FLOATING_FOILS),
        lambda facts: facts.foil_floats,
    ),
    (Caution(code="foils_and_power_lines", text=_FOILS), lambda facts: facts.foils),
    (Caution(code="ladders", text=_LADDER), lambda facts: facts.high),
    (
        Caution(code="weights_and_walkways", text=_WALKWAYS),
        lambda facts: facts.floats or (facts.outdoors and facts.stands),
    ),
    (Caution(code="sun_and_heat", text=_SUN), lambda facts: facts.outdoors and not facts.cold),
    (Caution(code="cold", text=_COLD), lambda facts: facts.outdoors and facts.cold),
    (
        Caution(code="no_release", text=_TAKEN_AWAY),
        lambda facts: facts.may_get_away and not facts.kept,
    ),
    (Caution(code="no_release", text=_KEPT), lambda facts: facts.may_get_away and facts.kept),
    (Caution(code="hot_cars", text=_HOT_CARS), lambda _: True),
)
"""What is said and when it is due, the gravest first: what can kill, what can hurt, the rest."""

TEXTS = tuple(caution.text for caution, _ in _RULES)
"""Every text that can be chosen, for those who say them in another language."""
