"""Start Garlandry on this machine, or take one client's message through the whole of it.

Exit codes of `deploy/run --once "MESSAGE"`:
  0  the ballpark with its booking link was printed
  1  something failed; the message says what
  2  the command line is wrong
  3  the shop asks something first, or answers without a price; its words are printed
  4  the shop's owner will look first; no ballpark yet
Without --once: 0 after Ctrl-C or SIGTERM, 1 when it could not start.
"""

# Only the standard library here: help has to come before anything is installed.
import argparse
import datetime as dt
from enum import IntEnum


class Outcome(IntEnum):
    """How a conversation went; the exit code of `deploy/run --once`."""

    BALLPARK = 0
    FAILED = 1
    ASKED = 3
    REVIEW = 4


def read_options() -> argparse.Namespace:
    """The command line as `once` and `reference_date`. Exits with 2 where it is wrong."""
    parser = argparse.ArgumentParser(
        prog="deploy/run",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog="Settings come from the environment; README.md lists them.",
    )
    parser.add_argument(
        "--once",
        metavar="MESSAGE",
        help="start everything on a data folder of its own, send MESSAGE as a client of the web"
        " chat, print the conversation up to the ballpark, and stop everything",
    )
    parser.add_argument(
        "--reference-date",
        type=dt.date.fromisoformat,
        metavar="YYYY-MM-DD",
        help="the day that counts as today",
    )
    options = parser.parse_args()
    if options.once is not None and not options.once.strip():
        parser.error("--once needs a message that says something")
    return options


if __name__ == "__main__":
    read_options()
