"""How the colors of what floats are said."""

from service.estimating import FloatLine, Helium

AS_AGREED = "colors as agreed"


def in_colours(line: FloatLine) -> str:
    """ "4 navy, 4 white, 4 gold"; of foils, and in older estimates, nobody has named a color."""
    return ", ".join(f"{each.placed} {each.colour}" for each in line.colours) or AS_AGREED


def with_spares(line: FloatLine) -> str:
    """ "4 + 1 navy, 4 + 1 white": to go in, and to spare."""
    found = (f"{each.placed} + {each.taken - each.placed} {each.colour}" for each in line.colours)
    return ", ".join(found) or AS_AGREED


def by_label(helium: Helium) -> dict[str, str]:
    """The colors of all that fittings call the same."""
    found: dict[str, list[str]] = {}
    for line in helium.balloons:
        found.setdefault(line.label, []).append(in_colours(line))
    return {label: ", ".join(dict.fromkeys(said)) for label, said in found.items()}
