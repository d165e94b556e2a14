"""The log tells where something went wrong, and nothing that a client wrote."""

import subprocess
import sys


def test_an_error_is_logged_by_place_and_kind_only() -> None:
    script = (
        "import logging\n"
        "from service.logs import log_to_stderr\n"
        "log_to_stderr()\n"
        "try:\n"
        "    raise ValueError('Nora, 555-0100')\n"
        "except ValueError:\n"
        "    logging.getLogger('room').exception('a step failed')\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert "ERROR room: a step failed" in run.stderr
    assert "ValueError" in run.stderr
    assert "Nora" not in run.stderr
