"""How the colors of what floats are said."""

from service.estimating import FloatLine, Helium

AS_AGREED = "colors as agreed"


def in_colours(line: FloatLine) -> str:
    """ "4 navy, 4 white, 4 gold"; of foils, and in older estimates, nobody has named a color."""
    return ", ".join(f"{each.placed} {each.colour}" for each in line.colours) or AS_AGREED


def to_spare(line: FloatLine) -> str:
    """ ", one of each to spare": how many more than float come along, by color."""
    spares = {each.colour: each.taken - each.placed for each in line.colours}
    if not spares:
        return ""
    if set(spares.values()) == {1}:
        return ", one of each to spare"
    return f", to spare {', '.join(f'{count} {colour}' for colour, count in spares.items())}"


def by_label(helium: Helium) -> dict[str, str]:
    """The colors of all that fittings call the same."""
    found: dict[str, list[str]] = {}
    for line in helium.balloons:
        found.setdefault(line.label, []).append(in_colours(line))
    return {label: ", ".join(dict.fromkeys(said)) for label, said in found.items()}
