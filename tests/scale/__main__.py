"""Two machines in network namespaces, one cut off in the middle; prints what was seen."""

import argparse
import sys

from tests.scale.cutting_off import Times, cut_off, told


def main() -> int:
    """Run it; 1 where anything was lost, doubled, late or never answered."""
    parser = argparse.ArgumentParser(prog="deploy/two_machines", description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0, help="of each of the three parts")
    parser.add_argument("--load", type=float, default=8.0, help="seconds of asking for estimates")
    options = parser.parse_args()
    each = options.seconds
    seen = cut_off(Times(before=each, without=each, after=each, load=options.load))
    if seen is None:
        print("This user may make no network namespaces here: run it as root.")
        return 2
    print(told(seen))
    return 0 if seen.is_well else 1


if __name__ == "__main__":
    sys.exit(main())
