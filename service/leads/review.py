"""May this ballpark go out unseen, or does the owner look first?"""

from datetime import date

from service.estimating import Brief, Estimate, PriceBook, Setting
from service.leads import words


def reasons(brief: Brief, estimate: Estimate, book: PriceBook, *, today: date) -> tuple[str, ...]:
    """Why the owner should look first, as sentences for the owner; none means: send it."""
    rules = book.review
    found: list[str] = []
    if rules.outdoors and brief.site.setting is Setting.OUTDOOR:
        found.append("It is outdoors: wind, sun and footing want a look.")
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
            found.append("It is today." if days == 0 else f"It is only {_days(days)} away.")
    if estimate.helium.needed:
        found.append("It needs helium.")
    if any(piece.measures_assumed for piece in brief.pieces):
        found.append("The client is not sure of the size; a usual one was taken.")
    if len(estimate.assumptions) > rules.assumptions_above:
        found.append(f"{len(estimate.assumptions)} things had to be assumed.")
    return tuple(found)


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
