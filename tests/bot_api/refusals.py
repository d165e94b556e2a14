"""How the Bot API says no."""


class Refusal(Exception):
    """An answer with `ok` false."""

    def __init__(self, status: int, description: str, *, retry_after: int | None = None) -> None:
        super().__init__(description)
        self.status = status
        self.description = description
        self.retry_after = retry_after


def bad(why: str) -> Refusal:
    """A request that is wrong in itself."""
    return Refusal(400, f"Bad Request: {why}")


def flooded(retry_after: int) -> Refusal:
    """A request too many."""
    return Refusal(429, f"Too Many Requests: retry after {retry_after}", retry_after=retry_after)
