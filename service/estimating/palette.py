"""The client's colours as colours that can be bought, with their shares."""

from collections.abc import Mapping

from service.estimating.book import PriceBook
from service.estimating.brief import Brief


def shares(brief: Brief, book: PriceBook) -> Mapping[str, float]:
    """Share of the balloons by colour, adding up to one.

    Colours without a share divide what the others leave; an empty palette is the book's own. Two
    names of one colour become one. A colour that nobody stocks keeps the client's word.
    """
    if not brief.palette:
        names = book.default_palette
        return {name: 1 / len(names) for name in sorted(names)}
    said = sum(c.share for c in brief.palette if c.share is not None)
    unsaid = sum(c.share is None for c in brief.palette)
    rest = (1 - said) / unsaid if unsaid else 0.0
    weights: dict[str, float] = {}
    for wanted in brief.palette:
        name = bought_as(wanted.colour, book)
        weights[name] = weights.get(name, 0.0) + (rest if wanted.share is None else wanted.share)
    whole = sum(weights.values())
    # Largest first, then by name: the order in which a client lists colours must not decide who
    # gets the odd balloon, or the same wish would cost one thing in the chat and another on a form.
    ranked = sorted(weights.items(), key=lambda item: (-item[1], item[0]))
    return {name: weight / whole for name, weight in ranked}


def order(brief: Brief, book: PriceBook) -> tuple[str, ...]:
    """The colours in the client's own order, which a pattern along the line follows."""
    said = tuple(wanted.colour for wanted in brief.palette) or book.default_palette
    return tuple(dict.fromkeys(bought_as(name, book) for name in said))


def bought_as(name: str, book: PriceBook) -> str:
    """The price book's name of a colour, or the client's own word for one not in it."""
    known = book.colour(name)
    return known.name if known else " ".join(name.lower().split())
