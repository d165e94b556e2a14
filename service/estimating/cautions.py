"""Safety texts, chosen by the brief."""

from collections.abc import Iterator

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

_LATEX = (
    "Latex can set off a serious allergic reaction. Ask whether a guest or the venue has a latex"
    " allergy; foil balloons can take its place, and many hospitals do not allow latex."
)
_EXITS = (
    "Keep exits, exit signs, sprinklers, alarm pulls and heaters clear of the garland. Ask the"
    " venue about its fire rules for decorations; local code decides."
)
_WAY_THROUGH = (
    "The garland goes round a way that people leave by: its full clear width and its handrail"
    " must stay free. Ask the venue before it is put up."
)
_LADDER = (
    "Part of this is put up from a ladder. Set a leaning ladder's foot out by a quarter of its"
    " working length, on firm ground, with no guests about; use a platform where there is one."
)
_SUN = (
    "Outdoors latex dulls within hours, and heat and sun burst balloons, dark ones first. They"
    " are sized smaller for it; shade and a late set-up help. Nothing is guaranteed outdoors."
)
_RELEASE = (
    "Balloons are never released: it is unlawful in many places and harms animals. Everything is"
    " taken down and thrown away."
)
_FOILS = (
    "Foil balloons conduct electricity: keep them tied down and away from power lines. Here they"
    " are filled with air and fixed to the piece."
)
_HEAT = "Do not leave balloons in a hot car; keep them out of direct sun until they are put up."


def cautions_for(brief: Brief) -> tuple[Caution, ...]:
    """The texts that this brief calls for, the gravest first."""
    return tuple(Caution(code=code, text=text) for code, text in _chosen(brief))


def _chosen(brief: Brief) -> Iterator[tuple[str, str]]:
    outdoors = brief.site.setting is Setting.OUTDOOR
    yield "choking_hazard", CHOKING
    yield "latex_allergy", _LATEX
    if not outdoors:
        yield "exits_and_fire_rules", _EXITS
    if any(kind_of(piece.support).across_way_out for piece in brief.pieces):
        yield "clear_way_out", _WAY_THROUGH
    if any(piece.path.top_m > LADDER_ABOVE_M for piece in brief.pieces):
        yield "ladders", _LADDER
    if outdoors:
        yield "sun_and_heat", _SUN
        yield "no_release", _RELEASE
    if brief.foils:
        yield "foils_and_power_lines", _FOILS
    yield "hot_cars", _HEAT
