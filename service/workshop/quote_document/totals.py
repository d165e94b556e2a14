"""How many balloons of each colour and size there are in all."""

from collections import Counter
from dataclasses import dataclass

from service.leads.asked_for import in_order
from service.leads.speech import msg
from service.workshop.quote_document.case import Case
from service.workshop.quote_document.pieces import ColourRow, shade_of

_COLOUR = msg("Color")


@dataclass(frozen=True, kw_only=True, slots=True)
class Totals:
    """Balloons by colour, a column for each size; `head` stands above the colours."""

    head: str
    sizes: tuple[str, ...]
    rows: tuple[ColourRow, ...]


def totals(case: Case) -> Totals:
    """All balloons of the garlands, the colours in the order in which the client named them."""
    counts: Counter[tuple[str, int]] = Counter()
    for piece in case.quote.estimate.pieces:
        for balloon in piece.balloons:
            counts[balloon.colour, balloon.size_class] += balloon.count
    sizes = sorted({size for _, size in counts}, reverse=True)
    return Totals(
        head=case.words.say(_COLOUR),
        sizes=tuple(map(case.words.balloon_size, sizes)),
        rows=tuple(
            ColourRow(
                colour=case.words.colour(colour),
                hex=shade_of(colour, case.book),
                counts=tuple(counts[colour, size] for size in sizes),
            )
            for colour in in_order(case.quote.brief, (colour for colour, _ in counts))
        ),
    )
