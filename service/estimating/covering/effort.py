"""How much a search may look at: so that no question takes long, whatever is on sale."""


class CutShort(Exception):
    """There is more to look at than was allowed."""


class Tangled(Exception):
    """Stand-ins hang together in more than pairs: a question for the general solver."""


class Effort:
    """What is left of the choices that one question may look at, over all of its searches."""

    __slots__ = ("_left",)

    def __init__(self, most: int) -> None:
        self._left = most

    @property
    def over(self) -> bool:
        """Whether no more should be looked at."""
        return self._left < 0

    def spend(self, choices: int) -> None:
        """Count so many choices."""
        self._left -= choices
