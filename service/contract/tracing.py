"""On whose way a piece of work is: ids that travel with it from process to process.

They travel by W3C Trace Context (the header `traceparent`) and stand in every log line, so that
a search for one trace finds all that a message set off. They say nothing of anybody.
"""

import re
import secrets
from contextvars import ContextVar, Token

HEADER = "traceparent"

# Version, trace, the caller's own id, flags. A later version may add fields behind these.
_FORM = re.compile(r"(?!ff)[0-9a-f]{2}-([0-9a-f]{32})-([0-9a-f]{16})-[0-9a-f]{2}(?:-.*)?")
_NO_TRACE, _NO_CALLER = "0" * 32, "0" * 16


class Way:
    """One piece of work of a process: a request, an update, a job.

    Ids are drawn when first asked for: most requests are never spoken of.
    """

    __slots__ = ("_request_id", "_trace_id", "ids", "is_continued")

    def __init__(self, header: str | None = None) -> None:
        """Goes on where `header` comes from; begins a trace where that is missing or malformed."""
        found = _FORM.fullmatch(header) if header else None
        known = found is not None and found[1] != _NO_TRACE and found[2] != _NO_CALLER
        self.is_continued = known
        self._trace_id = found[1] if found and known else None
        self._request_id: str | None = None
        self.ids: dict[str, str] = {}

    @property
    def trace_id(self) -> str:
        """Shared by all that one message set off, 32 hexadecimal digits."""
        if self._trace_id is None:
            self._trace_id = secrets.token_hex(16)
        return self._trace_id

    @property
    def request_id(self) -> str:
        """This piece of work's own, 16 hexadecimal digits."""
        if self._request_id is None:
            self._request_id = secrets.token_hex(8)
        return self._request_id

    @property
    def header(self) -> str:
        """What whoever is asked next should be told."""
        return f"00-{self.trace_id}-{self.request_id}-01"


_current: ContextVar[Way | None] = ContextVar("way", default=None)


def current() -> Way | None:
    """The way that this context is on."""
    return _current.get()


def enter(header: str | None = None) -> Token[Way | None]:
    """From here on this context is on that way, or on one of its own; `leave` takes the token."""
    return _current.set(Way(header))


def leave(token: Token[Way | None]) -> None:
    """Be on the way from before `enter` again."""
    _current.reset(token)


def header() -> str | None:
    """The `traceparent` to send along; None where there is nothing to follow."""
    way = _current.get()
    return way.header if way else None


def note(**ids: str) -> None:
    """Have these ids, by name, in the log lines of this piece of work."""
    way = _current.get()
    if way is not None:
        way.ids.update(ids)
