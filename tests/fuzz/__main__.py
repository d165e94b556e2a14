"""`python -m tests.fuzz --minutes 10`: tries that long and says what was tried and what failed."""

import argparse
import logging
import random
import sys
import time

from tests.fuzz.api import ROLES
from tests.fuzz.parts import PARTS, rounds
from tests.fuzz.tally import Tally


def main() -> int:
    """0 where nothing failed."""
    asked = _asked()
    # Services whose Redis is away on purpose say so again and again.
    logging.disable(logging.CRITICAL)
    parts = (asked.part,) if asked.part else () if asked.role else tuple(PARTS)
    roles = (asked.role,) if asked.role else () if asked.part else ROLES
    print(f"seed {asked.seed}", flush=True)
    ends, totals = time.monotonic() + 60 * asked.minutes, dict[str, Tally]()
    for attempt in rounds(asked.seed, roles, parts):
        tally = attempt()
        totals.setdefault(tally.part, Tally(tally.part)).add(tally)
        print(tally, flush=True)
        if time.monotonic() > ends:
            break
    print("\nAltogether:", *totals.values(), sep="\n")
    for total in totals.values():
        if total.taken:
            print(f"\n{total.part}: so often each route did what it was asked for (2xx)")
            print(
                *(f"{count:>9,}  {route}" for route, count in sorted(total.taken.items())), sep="\n"
            )
    tried = sum(each.tried for each in totals.values())
    failures = sum(len(each.failures) for each in totals.values())
    print(f"{'all':<24}{tried:>9,} tried, {failures} failures")
    return 1 if failures else 0


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("--minutes", type=float, default=5)
    parser.add_argument("--seed", type=int, default=random.randrange(10**6))
    parser.add_argument("--role", choices=ROLES, help="the API as this role alone")
    parser.add_argument("--part", choices=sorted(PARTS), help="this part alone")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
