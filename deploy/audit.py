"""Ask whether any pinned package has a known advisory.

Exit codes: 0 all were looked up and none has one, 1 at least one has, 2 the command line is wrong,
3 none is known of, but some or all could not be looked up: that is no answer.
"""

import argparse
import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from typing import Any

from deploy.stack import ROOT

PINS = (ROOT / "deploy" / "constraints.txt", ROOT / "deploy" / "constraints-test.txt")

_LONGEST_S = 600


class Outcome(IntEnum):
    """What came of it; the exit code."""

    FINE = 0
    ADVISORY = 1
    UNKNOWN = 3


@dataclass(frozen=True, kw_only=True)
class Audited:
    """A pinned package, its advisories with the versions that mend them, or why it is unknown."""

    pin: str
    advisories: tuple[str, ...] = ()
    unknown: str | None = None


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command."""
    options = _parser().parse_args(arguments)
    asked = ["--vulnerability-service", "osv", "--osv-url", options.osv_url]
    return report(audit(options.pins or PINS, asked if options.osv_url else []))


def audit(pins: Sequence[Path], service: Sequence[str]) -> list[Audited] | str:
    """Every pinned package as the auditor sees it; or its last words when it gave no answer."""
    found: dict[str, Audited] = {}
    for path in pins:
        answer = _asked_about(path, service)
        if isinstance(answer, str):
            return answer
        found |= {each.pin: each for each in answer}
    return list(found.values())


def _asked_about(pins: Path, service: Sequence[str]) -> list[Audited] | str:
    command = [sys.executable, "-m", "pip_audit", "--requirement", str(pins), *service]
    # The pins are complete: nothing is to be resolved or installed for this.
    command += ["--no-deps", "--disable-pip", "--format", "json", "--progress-spinner", "off"]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=_LONGEST_S)
        return [_audited(each) for each in json.loads(done.stdout)["dependencies"]]
    except subprocess.TimeoutExpired:
        return "no answer in ten minutes"
    except ValueError:
        return (done.stderr.strip().splitlines() or ["no answer"])[-1]


def report(audited: list[Audited] | str) -> Outcome:
    """Say what was found."""
    if isinstance(audited, str):
        print(f"Nothing could be looked up: {audited}")
        return _no_answer()
    known = [each for each in audited if each.unknown is None]
    for each in audited:
        for advisory in each.advisories:
            print(f"{each.pin}: {advisory}")
    unknown = [each for each in audited if each.unknown is not None]
    if unknown:
        print(f"{len(unknown)} of {len(audited)} packages could not be looked up, such as")
        print("\n".join(f"  {each.pin}: {each.unknown}" for each in unknown[:3]))
    if any(each.advisories for each in known):
        print("Update these pins: DEVELOPERS.md, “change a pin”.")
        return Outcome.ADVISORY
    if unknown or not known:
        return _no_answer()
    print(f"{len(known)} packages were looked up; none has a known advisory.")
    return Outcome.FINE


def _no_answer() -> Outcome:
    print("That is no answer, and not “all is well”: ask again where advisories can be reached.")
    return Outcome.UNKNOWN


def _pin(about: dict[str, Any]) -> str:
    version = about.get("version")
    return f"{about['name']} {version}" if version else str(about["name"])


def _audited(about: dict[str, Any]) -> Audited:
    if "skip_reason" in about:
        return Audited(pin=_pin(about), unknown=about["skip_reason"])
    return Audited(pin=_pin(about), advisories=tuple(map(_advisory, about["vulns"])))


def _advisory(about: dict[str, Any]) -> str:
    mended = ", ".join(about["fix_versions"]) or "no version yet"
    return f"{about['id']}, mended in {mended}"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="deploy/audit",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("pins", type=Path, nargs="*", help="files of pins; the checkout's two")
    parser.add_argument("--osv-url", metavar="URL", help="a server of the OSV format to ask")
    return parser


if __name__ == "__main__":
    sys.exit(main())
