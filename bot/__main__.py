"""`python -m bot run` serves the channels; `python -m bot understand` reads JSON lines."""

import argparse
import sys
from collections.abc import Sequence

from pydantic import ValidationError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the process's exit status, 2 where the settings are wrong."""
    parser = argparse.ArgumentParser(prog="python -m bot", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("run", help="serve the web chat, and Telegram where a token is set")
    commands.add_parser("understand", help="read messages as JSON lines, answer what they say")
    command = parser.parse_args(arguments).command
    return _run() if command == "run" else _understand()


def _run() -> int:
    # Imported here: reading lines needs neither a web server nor Telegram.
    from bot.app import CannotStart, run
    from bot.config import Settings
    from service.contract.settings import told

    try:
        run(Settings())
    except ValidationError as error:
        print(told(error), file=sys.stderr)
        return 2
    except CannotStart as error:
        print(error, file=sys.stderr)
        return 2
    return 0


def _understand() -> int:
    from bot.understanding.lines import answer_line

    for line in sys.stdin:
        if line.strip():
            print(answer_line(line), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
