"""How places and fastenings are said to a maker."""

from service.estimating.units import METRES_PER_INCH


def feet(length_m: float) -> str:
    """`length_m` [m] in feet and inches, to the inch: 0.4 is "1 ft 4 in"."""
    whole, rest = divmod(round(length_m / METRES_PER_INCH), 12)
    if not whole:
        return f"{rest} in"
    return f"{whole} ft {rest} in" if rest else f"{whole} ft"


def sentence(words: str) -> str:
    """`words` with a capital and a full stop, whichever of them were left out."""
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."
