"""The log tells where something went wrong and on whose way, and nothing that a client wrote."""

import json
import os
import pty
import subprocess
import sys
from typing import Any

SCRIPT = """
import logging
from service.contract import tracing
from service.contract.log_lines import log_to_stderr, tally

log_to_stderr("upkeep", {style!r}, "DEBUG")
tracing.enter()
tracing.note(step_id="s-1", lead_id="l-1")
try:
    raise ValueError('Nora, 555-0100')
except ValueError:
    logging.getLogger('room').exception('step %d failed', 7, extra={{'client': 'Nora'}})
for name in ('httpx', 'httpcore', 'telegram.ext', 'sqlalchemy.engine', 'rq.worker',
             'python_multipart.multipart', 'uvicorn.access', 'PIL.Image'):
    logging.getLogger(name).info('Nora at %s', name)
logging.getLogger('telegram.Bot').critical('Nora')
assert dict(tally.counts) == {{'ERROR': 1}}, tally.counts
"""


def _logged(style: str | None) -> str:
    command = [sys.executable, "-c", SCRIPT.format(style=style)]
    return subprocess.run(command, capture_output=True, text=True, check=True).stderr


def _line(style: str | None) -> dict[str, Any]:
    (line,) = _logged(style).splitlines()
    found: dict[str, Any] = json.loads(line)
    return found


def test_a_line_for_programs_says_when_who_where_and_on_whose_way() -> None:
    line = _line("json")
    assert line.pop("time").endswith("Z")
    assert len(line.pop("trace_id")) == 32
    assert len(line.pop("request_id")) == 16
    assert line.pop("pid") > 0
    error = line.pop("error")
    assert 'File "<string>", line' in error
    assert error.endswith("\nValueError")
    assert line == {
        "level": "ERROR",
        "process": "upkeep",
        "logger": "room",
        "message": "step 7 failed",
        "step_id": "s-1",
        "lead_id": "l-1",
    }


def test_text_for_people_says_the_same_in_words_and_no_more() -> None:
    first, *rest = _logged("text").splitlines()
    assert first.endswith("ERROR room: step 7 failed")
    assert rest[-1] == "ValueError"
    assert "Nora" not in "".join(rest)


def test_without_a_choice_programs_get_json() -> None:
    assert _line(None)["message"] == "step 7 failed"


def test_without_a_choice_a_person_at_a_terminal_gets_text() -> None:
    ours, its = pty.openpty()
    subprocess.run([sys.executable, "-c", SCRIPT.format(style=None)], stderr=its, check=True)
    os.close(its)
    said = os.read(ours, 65_536).decode()
    os.close(ours)
    assert "ERROR room: step 7 failed" in said.splitlines()[0]
