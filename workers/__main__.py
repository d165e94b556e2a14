"""Start a worker: `python -m workers run QUEUE [--with-scheduler [NAME]]`."""

import argparse
import logging
import sys

from pydantic import ValidationError

from workers import app, queues
from workers.config import Settings


def main() -> int:
    """Read the command line and the environment, then work until told to stop."""
    parser = argparse.ArgumentParser(prog="python -m workers", description=__doc__)
    commands = parser.add_subparsers(required=True)
    run = commands.add_parser("run", help="work on one queue until SIGTERM or Ctrl-C")
    run.add_argument("queue", choices=queues.NAMES)
    run.add_argument(
        "--with-scheduler",
        nargs="?",
        const="",
        metavar="NAME",
        help="also run RQ's scheduler for all queues; a worker that is started again under the"
        " same NAME takes over from a killed one at once, otherwise after a minute",
    )
    options = parser.parse_args()
    logging.basicConfig(
        stream=sys.stdout, level=logging.INFO, format="%(levelname)s %(name)s: %(message)s"
    )
    try:
        settings = Settings()
    except ValidationError as error:
        missing = ", ".join(str(e["loc"][-1]) for e in error.errors(include_input=False))
        print(f"workers: set these in the environment: {missing}", file=sys.stderr)
        return 2
    scheduler = options.with_scheduler
    app.run(
        settings,
        options.queue,
        with_scheduler=scheduler is not None,
        scheduler_name=scheduler or None,
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
