"""May this ballpark go out unseen, or does the owner look first?"""

import re
from collections.abc import Iterator
from datetime import date

from service.estimating import Brief, Estimate, PriceBook, Setting
from service.leads import words

_SOON = {0: "It is today.", 1: "It is tomorrow."}

# Latex balloons set off allergies, and hospitals ask for foil in their place.
_LATEX_RISK = re.compile(
    r"\b(latex|allerg\w*|alérgic\w*|alergia\w*|hospitals?|clinics?|clínica|wards?|hospice|nicu|icu"
    r"|nursing home|care home|rehab\w*|infirmary|dialysis|surgery)\b",
    re.IGNORECASE,
)


def reasons(brief: Brief, estimate: Estimate, book: PriceBook, *, today: date) -> tuple[str, ...]:
    """Why the owner should look first, as sentences for the owner; none means: send it."""
    rules = book.review
    found: list[str] = []
    if rules.outdoors and brief.site.setting is Setting.OUTDOOR:
        found.append("It is outdoors: wind, sun and footing want a look.")
        found.extend(_blown_over(brief, estimate))
    if estimate.price.likely > rules.likely_above:
        limit = words.money(rules.likely_above, book.shop.currency)
        found.append(f"The likely price is over {limit}.")
    if not estimate.travel.in_area:
        found.append("It is outside the usual area.")
    elif (estimate.travel.distance_m or 0.0) > rules.distance_above_m:
        found.append("It is a long drive.")
    if brief.event.date is not None:
        days = (brief.event.date - today).days
        if days < 0:
            found.append("The date is in the past.")
        elif days < rules.notice_below_days:
            found.append(_SOON.get(days, f"It is only {days} days away."))
    if rules.helium and brief.floating:
        count = sum(each.count for each in brief.floating)
        found.append(f"{_some(count)} on helium: gas to get, and each one tied to a weight.")
    if names_latex_risk(brief):
        found.append("A latex allergy, or a place of care where latex may not be allowed.")
    if any(piece.measures_assumed for piece in brief.pieces):
        found.append("The client is not sure of the size; a usual one was taken.")
    if len(estimate.assumptions) > rules.assumptions_above:
        found.append(f"{len(estimate.assumptions)} things had to be assumed.")
    return tuple(found)


def _blown_over(brief: Brief, estimate: Estimate) -> Iterator[str]:
    """What does not stand in the wind that the client gave; silent where none was given."""
    wind = estimate.wind
    if wind is None or (brief.site.gust_m_s is None and brief.site.beaufort is None):
        return
    for each in wind.pieces:
        if wind.gust_m_s <= each.comes_down_at_m_s:
            continue
        piece = brief.pieces[each.piece]
        lacking_kg = max(each.against_tipping_kg, each.against_sliding_kg) - each.ballast_kg
        on_each = " on each" if piece.count > 1 else ""
        short = f": about {words.pounds(lacking_kg)} of weight short{on_each}"
        verb = "do" if piece.count > 1 else "does"
        yield (
            f"In the wind given ({words.mph(wind.gust_m_s)} gusts) the {words.piece_name(piece)}"
            f" {verb} not stand{short if lacking_kg > 0 else ''}."
        )


def _some(count: int) -> str:
    return "A balloon floats" if count == 1 else f"{count} balloons float"


def names_latex_risk(brief: Brief) -> bool:
    """Whether the client's words speak of an allergy or of a place that often bans latex."""
    return bool(_LATEX_RISK.search(f"{brief.site.place or ''} {brief.notes or ''}"))
