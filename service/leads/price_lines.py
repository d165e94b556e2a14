"""The lines of a price: what a client pays for, as the estimate has it or as the owner set it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

from service.estimating import Estimate
from service.leads.lead import PriceLine, Quote
from service.leads.speech import msg
from service.leads.words import ENGLISH, Words

MOST_LINES = 20
LONGEST_LABEL = 80
LARGEST_PRICE = Decimal(1_000_000)

_AT_THE_VENUE = frozenset({"load", "drive", "install", "finish", "strike"})
_GOODS = frozenset(
    {
        *("balloons", "leftovers", "line", "fixings", "foils", "covers", "accents"),
        *("consumables", "helium", "wear", "hire", "weights"),
    }
)
_ON_THE_ROAD = frozenset({"vehicle", "delivery"})
_WHOLE = Decimal(1)
_ADDED = msg("Added after %(owner)s's closer look")
_TAKEN_OFF = msg("Taken off by %(owner)s")


def lines_of(quote: Quote, owner: str) -> tuple[PriceLine, ...]:
    """What the price pays for, its parts named in English; they add up to it exactly.

    Overhead, margin and surcharges lie on every part in proportion to its cost. What the owner set
    differently without saying on which line is a part of its own: nobody knows what it pays for.
    """
    if quote.lines is not None:
        return quote.lines
    likely = quote.estimate.price.likely
    parts = _split(quote.estimate, likely)
    if not parts or quote.likely == likely:
        return parts
    amount = quote.likely - likely
    said = _ADDED if amount > 0 else _TAKEN_OFF
    return *parts, PriceLine(label=ENGLISH.say(said, owner=owner), amount=amount)


def told(quote: Quote, owner: str, words: Words) -> tuple[PriceLine, ...]:
    """The lines as the client reads them: what is not the owner's own words in their language."""
    return tuple(
        replace(line, label=_label(line.label, owner, words)) for line in lines_of(quote, owner)
    )


def compared(lines: Sequence[PriceLine], basis: Sequence[PriceLine]) -> tuple[PriceLine, ...]:
    """The lines, each with what the estimate made of the line of that name."""
    before = {line.label: line.was for line in basis}
    return tuple(replace(line, was=before.get(line.label)) for line in lines)


def line_changes(
    before: Sequence[PriceLine], after: Sequence[PriceLine], currency: str
) -> tuple[str, ...]:
    """ "Early access on Sunday: added, $40": what differs, for the record."""
    amounts = {line.label: line.amount for line in before}
    kept = {line.label for line in after}
    said = []
    for line in after:
        now = ENGLISH.money(line.amount, currency)
        if line.label not in amounts:
            said.append(f"{line.label}: added, {now}")
        elif amounts[line.label] != line.amount:
            said.append(f"{line.label}: {ENGLISH.money(amounts[line.label], currency)} → {now}")
    said += [f"{label}: taken out" for label in amounts if label not in kept]
    return tuple(said)


def total_of(lines: Sequence[PriceLine]) -> Decimal:
    """What the lines come to."""
    return sum((line.amount for line in lines), Decimal(0))


def _label(label: str, owner: str, words: Words) -> str:
    for said in (_ADDED, _TAKEN_OFF):
        if label == ENGLISH.say(said, owner=owner):
            return words.say(said, owner=owner)
    return words.text(label)


def _split(estimate: Estimate, likely: Decimal) -> tuple[PriceLine, ...]:
    costs = _costs(estimate)
    whole = sum(costs.values(), Decimal(0))
    if not whole:
        return ()
    exact = {label: likely * cost / whole for label, cost in costs.items() if cost}
    rounded = {label: part.quantize(_WHOLE, ROUND_HALF_UP) for label, part in exact.items()}
    # What rounding leaves over goes where it shows least.
    largest = max(rounded, key=lambda label: rounded[label])
    rounded[largest] += likely - sum(rounded.values())
    return tuple(
        PriceLine(label=label, amount=amount, was=amount) for label, amount in rounded.items()
    )


def _costs(estimate: Estimate) -> Mapping[str, Decimal]:
    def cost_of(codes: frozenset[str]) -> Decimal:
        found = (line.amount for line in estimate.cost_lines if line.code in codes)
        return sum(found, Decimal(0))

    hours = sum(estimate.hours.values())
    away = sum(spent for task, spent in estimate.hours.items() if task in _AT_THE_VENUE)
    labour = cost_of(frozenset({"labour"}))
    at_the_venue = labour * Decimal(away / hours if hours else 0.0)
    return {
        msg("Balloons, frames and all that goes with them"): cost_of(_GOODS),
        msg("Building it beforehand"): labour - at_the_venue,
        msg("Bringing it, setting it up and clearing away"): at_the_venue + cost_of(_ON_THE_ROAD),
    }
