"""Start one worker, `python -m workers run QUEUE [--with-scheduler [NAME]]`, or several,
`python -m workers pool replies=2 deliveries=1 chores=1 upkeep=1`."""

import argparse
import socket
import sys

from pydantic import ValidationError

from service.contract.settings import told
from workers import app, queues
from workers.config import Settings
from workers.pool import Pool, sizes_in


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
        " same NAME takes over from a killed one at once, another one after some seconds",
    )
    pool = commands.add_parser("pool", help="keep several workers running, and drain on SIGTERM")
    pool.add_argument("sizes", nargs="+", metavar="QUEUE=NUMBER", help=", ".join(queues.NAMES))
    options = parser.parse_args()
    try:
        settings = Settings()
    except ValidationError as error:
        print(told(error), file=sys.stderr)
        return 2
    if "sizes" in options:
        return _pool(settings, options.sizes)
    scheduler = options.with_scheduler
    app.run(
        settings,
        options.queue,
        with_scheduler=scheduler is not None,
        scheduler_name=scheduler or None,
    )
    return 0


def _pool(settings: Settings, words: list[str]) -> int:
    try:
        sizes = sizes_in(words)
    except ValueError as error:
        print(f"workers: {error}", file=sys.stderr)
        return 2

    def work(queue: str, number: int) -> None:
        app.run(
            settings,
            queue,
            with_scheduler=queue == queues.UPKEEP,
            scheduler_name=f"{socket.gethostname()}-{number}",
        )

    app.load(settings)
    Pool(sizes, work).run()
    return 0


if __name__ == "__main__":
    sys.exit(main())
