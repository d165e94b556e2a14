"""Child processes that are kept alive, logged to files, and never outlive this process.

A log has one line for each line that the child wrote: JSON where the child was asked for it by
`GARLANDRY_LOG`, with what else it wrote (an interpreter's last words, Redis') wrapped in it.
"""

import asyncio
import contextlib
import ctypes
import json
import logging
import logging.handlers
import os
import re
import signal
import sys
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

# A child that dies is started again at once; one that keeps dying waits longer each time.
_PAUSES_S = (0.0, 0.5, 1.0, 2.0, 5.0, 10.0)
# One that lived this long had started well: its next death counts as the first.
_STEADY_S = 10.0

# What a child says last is read before it is started again.
_LAST_WORDS, _LAST_WORDS_S = 20, 0.2

_LOG_BYTES = 5_000_000
_LINE_BYTES = 1 << 20
# Lines of one of our processes that a person should see.
_IMPORTANT = re.compile(r"\b(WARNING|ERROR|CRITICAL)\b|^\w+(\.\w+)*(Error|Exception)\b")
_IMPORTANT_LEVELS = ("WARNING", "ERROR", "CRITICAL")
_DATED = re.compile(r"\d{4}-\d\d-\d\d[ T]")

_PR_SET_PDEATHSIG = 1
# Loaded here, because a forked child must not load anything.
_libc = ctypes.CDLL(None) if sys.platform == "linux" else None


class Child:
    """One process, started again whenever it ends by itself.

    `tell` gets its deaths and, with `tell_warnings`, the lines that a person should see.
    """

    def __init__(
        self,
        name: str,
        command: Sequence[str],
        *,
        env: Mapping[str, str],
        folder: Path,
        log: Path,
        tell: Callable[[str], None],
        tell_warnings: bool = True,
    ) -> None:
        self.name = name
        self.log = log
        self.deaths = 0
        #: How it ended the last time; None as long as it never did.
        self.ended_with: int | None = None
        self.troubled = False
        self._said: deque[str] = deque(maxlen=_LAST_WORDS)
        self._command = command
        self._env = env
        self._folder = folder
        self._console = tell
        self._tell_warnings = tell_warnings
        self._process: asyncio.subprocess.Process | None = None
        self._pump: asyncio.Task[None] | None = None
        self._keeper: asyncio.Task[None] | None = None

    def start(self) -> None:
        """Start it and keep it running until `stop`."""
        self._keeper = asyncio.create_task(self._keep())

    async def stop(self, patience_s: float) -> None:
        """Ask it to end, wait, then end it and whatever it started."""
        if self._keeper is not None:
            self._keeper.cancel()
            await asyncio.wait([self._keeper])
        if self._process is not None and self._process.returncode is None:
            self._signal(self._process, signal.SIGTERM)
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(patience_s):
                    await self._process.wait()
            self._signal(self._process, signal.SIGKILL)
            await self._process.wait()
        if self._pump is not None:
            await self._pump

    @property
    def pid(self) -> int | None:
        """The process that runs now; None between two lives."""
        process = self._process
        return None if process is None or process.returncode is not None else process.pid

    def tail(self, lines: int = 20) -> str:
        """The end of its log, in plain words."""
        text = self.log.read_text(errors="replace") if self.log.exists() else ""
        return "\n".join(_in_words(line) for line in text.splitlines()[-lines:])

    def last_words(self) -> str:
        """The last that it said since it was last started, in plain words."""
        return "\n".join(_in_words(line) for line in self._said)

    def _tell(self, line: str) -> None:
        self.troubled = True
        self._console(line)

    async def _keep(self) -> None:
        loop = asyncio.get_running_loop()
        in_a_row = 0
        while True:
            began = loop.time()
            code = await self._run()
            if self._pump is not None:
                # What it started may hold its output open for longer.
                await asyncio.wait([self._pump], timeout=_LAST_WORDS_S)
            self.deaths += 1
            self.ended_with = code
            in_a_row = 1 if loop.time() - began > _STEADY_S else in_a_row + 1
            pause = _PAUSES_S[min(in_a_row, len(_PAUSES_S)) - 1]
            again = f"in {pause:g} s" if pause else "at once"
            self._tell(f"{self.name} ended by itself ({_how(code)}); started again {again}")
            await asyncio.sleep(pause)

    async def _run(self) -> int:
        self._process = await asyncio.create_subprocess_exec(
            *self._command,
            env=self._env,
            cwd=self._folder,
            stdin=asyncio.subprocess.DEVNULL,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.STDOUT,
            limit=_LINE_BYTES,
            # A group of its own: Ctrl-C reaches only the launcher, which stops all in order.
            process_group=0,
            preexec_fn=die_with(os.getpid()),
        )
        self._said.clear()
        # A task of its own: the log is still written while the child is being stopped.
        self._pump = asyncio.create_task(self._write_log(self._process.stdout))
        return await self._process.wait()

    async def _write_log(self, output: asyncio.StreamReader | None) -> None:
        if output is None:
            return
        as_json = self._env.get("GARLANDRY_LOG") == "json"
        with contextlib.closing(_LogFile(self.log, self._tell)) as file:
            while line := await _line(output):
                text = line.decode(errors="replace").rstrip()
                said = _object_in(text)
                important = _important_in(text, said)
                self._said.append(text)
                if as_json and said is None:
                    text = _wrapped(self.name, text, important)
                file.handle(logging.makeLogRecord({"msg": text}))
                if self._tell_warnings and important:
                    self._tell(f"{self.name}: {important[:300]}")

    @staticmethod
    def _signal(process: asyncio.subprocess.Process, number: signal.Signals) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, number)


class _LogFile(logging.handlers.RotatingFileHandler):
    """Where the disk is full, that is told once, and the child goes on."""

    def __init__(self, path: Path, tell: Callable[[str], None]) -> None:
        super().__init__(path, maxBytes=_LOG_BYTES, backupCount=2)
        self._say: Callable[[str], None] | None = tell

    def format(self, record: logging.LogRecord) -> str:
        """The line with its time, where it does not have that itself."""
        text = record.getMessage()
        has_time = text.startswith("{") or _DATED.match(text)
        return text if has_time else f"{_now()} {text}"

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: ARG002, N802
        """Tell it, once."""
        if self._say is not None:
            self._say(f"{self.baseFilename} cannot be written; is the disk full?")
            self._say = None

    def close(self) -> None:
        """Let go of the file, also where its last lines find no room."""
        with contextlib.suppress(OSError):
            super().close()


def _object_in(text: str) -> dict[str, Any] | None:
    """What a line says in JSON; None where it does not."""
    if not text.startswith("{"):
        return None
    try:
        said = json.loads(text)
    except ValueError:
        return None
    return said if isinstance(said, dict) and "message" in said else None


def _important_in(text: str, said: Mapping[str, Any] | None) -> str:
    """What a person should see of a line, in plain words; nothing of most."""
    if said is None:
        return text if _IMPORTANT.search(text) else ""
    if said.get("level") not in _IMPORTANT_LEVELS:
        return ""
    kind = str(said.get("error", "")).rpartition("\n")[2]
    return f"{said['message']} ({kind})" if kind else str(said["message"])


def _in_words(line: str) -> str:
    said = _object_in(line)
    if said is None:
        return line
    told = f"{said.get('time')} {said.get('level')} {said['message']}"
    return f"{told}\n{said['error']}" if "error" in said else told


def _wrapped(name: str, text: str, important: str) -> str:
    level = "WARNING" if important else "INFO"
    said = {"time": _now(), "level": level, "process": name, "message": text}
    return json.dumps(said, ensure_ascii=False)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


async def _line(output: asyncio.StreamReader) -> bytes:
    try:
        return await output.readline()
    except ValueError:
        return b"(a line too long for the log)\n"


def die_with(parent: int) -> Callable[[], None]:
    """Have the kernel kill the child when this process dies, even by SIGKILL (Linux only)."""

    def in_child() -> None:
        if _libc is not None:
            _libc.prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
            if os.getppid() != parent:  # it died before the kernel was asked
                os._exit(1)

    return in_child


def _how(code: int) -> str:
    return f"exit code {code}" if code >= 0 else f"signal {-code}"
