"""Break a shop at random while clients ask, and count what went wrong.

Exits with 1 when anything was lost, doubled, stuck or contradictory.
"""

import argparse
import asyncio
import sys
from pathlib import Path

from tests.faults.checking import check
from tests.faults.plan import make
from tests.faults.report import report
from tests.faults.run import ground, print_line, run

# A message that was twice left in doubt is sent again 60 and then 300 s later.
_PATIENCE_S = 420.0


def main() -> int:
    """Read the command line, run, tell."""
    parser = argparse.ArgumentParser(prog="deploy/faults", description=__doc__)
    parser.add_argument("--faults", type=int, default=1000)
    parser.add_argument("--chats", type=int, default=1000, help="conversations, half on Telegram")
    parser.add_argument("--forms", type=int, default=1000, help="a fourth of them by the API")
    parser.add_argument("--database", choices=("sqlite", "postgres"), default="sqlite")
    parser.add_argument("--telegram", choices=("polling", "webhook"), default="polling")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--every", type=float, default=1.0, help="seconds between two faults")
    parser.add_argument("--patience", type=float, default=_PATIENCE_S, help="seconds, at the end")
    parser.add_argument("--plan", action="store_true", help="print every fault first")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="where logs are to be kept")
    options = parser.parse_args()
    webhook = options.telegram == "webhook"
    with ground(postgres=options.database == "postgres", webhook=webhook) as here:
        plan = make(
            options.seed,
            faults=options.faults,
            chats=options.chats,
            forms=options.forms,
            every_s=options.every,
            allowed=here.allows,
        )
        if options.plan:
            for fault in plan.faults:
                print_line(str(fault))
        work = run(plan, here, patience_s=options.patience, tell=print_line, keep=options.keep)
        evidence = asyncio.run(work)
    verdict = check(evidence)
    report(plan, evidence, verdict, allowed=here.allows, tell=print_line)
    return 0 if verdict.clean else 1


if __name__ == "__main__":
    sys.exit(main())
