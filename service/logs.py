"""What the service logs: what happened and where, never what a client wrote."""

import logging
import sys
import traceback
from types import TracebackType

_Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class _DiscreetFormatter(logging.Formatter):
    """Tells where an error happened and its kind, not its text: that may quote a client."""

    def formatException(self, ei: _Raised) -> str:  # noqa: N802 - the library's name
        kind, _, trace = ei
        return "".join(traceback.format_tb(trace)) + (kind.__name__ if kind else "")


def log_to_stderr() -> None:
    """Log from INFO on, with errors' places and kinds."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(_DiscreetFormatter("%(levelname)s %(name)s: %(message)s"))
    logging.basicConfig(level=logging.INFO, handlers=[handler])
