"""How all processes log: what happened and where, never what somebody wrote.

As JSON, one object a line, for whoever searches; as text for a person at a terminal.
"""

import logging
import sys
import traceback
from collections import Counter
from datetime import UTC, datetime
from types import TracebackType
from typing import Any, Literal

from pythonjsonlogger.json import JsonFormatter

from service.contract import tracing

Format = Literal["text", "json"]

# What these tell at INFO or DEBUG holds addresses with a token or a chat's id in them, headers,
# statements with their values, or the parts of a form; and every job's coming and going.
_INDISCREET = (
    "httpx",
    "httpcore",
    "telegram",
    "sqlalchemy",
    "python_multipart",
    "multipart",
    "rq",
    "rq.worker",
    "rq.job",
    "rq.scheduler",
    "uvicorn",
    "PIL",
    "fontTools",
)
# Tells at ERROR what it could not read, such as a proxy's page with our request's address in it;
# and this one quotes what clients wrote.
_NEVER_HEARD = ("telegram.request", "telegram.Bot")

_Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class Tally(logging.Handler):
    """Counts what was logged, by level: for monitoring."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.counts: Counter[str] = Counter()

    def emit(self, record: logging.LogRecord) -> None:
        """Count one."""
        self.counts[record.levelname] += 1


tally = Tally()


def log_to_stderr(process: str, style: Format | None, level: str) -> None:
    """Log from `level` on; without a `style`, text for a terminal and JSON for anything else."""
    handler = logging.StreamHandler(sys.stderr)
    style = style or ("text" if sys.stderr.isatty() else "json")
    handler.setFormatter(_JsonLine(process) if style == "json" else _TextLine())
    logging.basicConfig(level=level, handlers=[handler, tally])
    quieten()


def quieten() -> None:
    """Keep addresses, headers and clients' words out of the log at any level."""
    for name in _INDISCREET:
        logging.getLogger(name).setLevel(logging.WARNING)
    for name in _NEVER_HEARD:
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)


class _Discreet(logging.Formatter):
    """Tells where an error happened and its kind, not its text: that may quote a client."""

    def formatException(self, ei: _Raised) -> str:  # noqa: N802  the library's name
        kind, _, trace = ei
        return "".join(traceback.format_tb(trace)) + (kind.__name__ if kind else "")


class _TextLine(_Discreet):
    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")


class _JsonLine(_Discreet, JsonFormatter):
    """Has the fields named here and no others: libraries hang all sorts of things on a record."""

    def __init__(self, process: str) -> None:
        super().__init__(json_ensure_ascii=False)
        self._process = process

    def add_fields(
        self, log_data: dict[str, Any], record: logging.LogRecord, message_dict: dict[str, Any]
    ) -> None:
        at = datetime.fromtimestamp(record.created, UTC)
        log_data["time"] = at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        log_data["level"] = record.levelname
        log_data["process"] = self._process
        log_data["pid"] = record.process
        log_data["logger"] = record.name
        log_data["message"] = record.message
        way = tracing.current()
        if way is not None:
            log_data["trace_id"] = way.trace_id
            log_data["request_id"] = way.request_id
            log_data.update(way.ids)
        if "exc_info" in message_dict:
            log_data["error"] = message_dict["exc_info"]
