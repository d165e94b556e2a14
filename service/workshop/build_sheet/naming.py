"""What pieces are called, and where a maker begins."""

from service.estimating import Brief, Path
from service.leads import words

_LEVEL_M = 0.05


def names_of(brief: Brief) -> tuple[str, ...]:
    """ "hoop", "column"; where two pieces would be called the same, which of the job's it is."""
    names = [words.ENGLISH.support(piece.support) for piece in brief.pieces]
    return tuple(
        f"{name} (piece {number})" if names.count(name) > 1 else name
        for number, name in enumerate(names, start=1)
    )


def start_of(path: Path) -> str:
    """Where the path begins, as a maker in front of it sees it."""
    start, end = path.start, path.end
    if path.closed:
        return "its lowest point, and up the left side"
    if end.y - start.y > _LEVEL_M:
        across = end.x - start.x > _LEVEL_M
        return "its lower end" if across else "its foot"
    if path.breaks_m:
        return "the left end of the first row, and on from row to row"
    on_floor = start.y < _LEVEL_M and path.top_m > 2 * _LEVEL_M
    return "its left foot" if on_floor else "its left end"


def short_place(place: str | None) -> str:
    """What stands before the first comma of a place: an address is nobody's business on a bag."""
    return (place or "").partition(",")[0].strip()
