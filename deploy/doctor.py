"""Look at everything that a shop needs and say what is wrong, what it means and what to do.

Works whether the shop runs or not, and changes nothing. Call it with the settings that the shop
runs with.
Exit codes: 0 nothing is wrong, 1 something is, 2 settings are wrong.
"""

import argparse
import logging
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

from pydantic import SecretStr, ValidationError

from bot.config import Settings as BotSettings
from deploy import embedded_redis
from deploy.examining import database, machine, outside, processes, queue
from deploy.examining.finding import Finding, Level, note, wrong
from deploy.examining.names import unknown_settings
from deploy.shop_settings import shop_settings
from deploy.stack import ROOT
from service.config import Settings
from service.contract.settings import told

# On a busy machine; it takes a few seconds elsewhere.
_STARTING_S = 60.0

Look = Callable[[], Iterable[Finding]]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(
        prog="deploy/doctor",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--only-trouble", action="store_true", help="leave out what is well")
    options = parser.parse_args(arguments)
    # Addresses that are asked hold a token.
    logging.disable(logging.CRITICAL)
    try:
        # The bot's own key is no setting of the shop's.
        bot = BotSettings(api_key=SecretStr(""))
        findings = list(examine(shop_settings(), bot, os.environ))
    except ValidationError as error:
        print(told(error))
        return 2
    for finding in findings:
        if finding.level is not Level.WELL or not options.only_trouble:
            print(finding)
    wrong_ones = sum(finding.level is Level.WRONG for finding in findings)
    print(f"\n{wrong_ones} wrong." if wrong_ones else "\nNothing is wrong.")
    return 1 if wrong_ones else 0


def examine(
    settings: Settings, bot: BotSettings, environment: Mapping[str, str]
) -> Iterator[Finding]:
    """Everything, one after the other; what cannot be looked at stops nothing else."""
    looks: Sequence[Look] = (
        machine.python_version,
        partial(unknown_settings, environment),
        partial(machine.packages, ROOT / "deploy" / "constraints.txt"),
        partial(machine.folder, settings),
        partial(machine.keys, settings),
        partial(machine.price_book, settings),
        partial(machine.backups, settings),
        partial(database.database, settings),
        partial(_running, settings, environment, telegram=bot.telegram_token is not None),
        partial(outside.telegram, bot),
        partial(outside.public_address, settings),
    )
    for look in looks:
        yield from _safely(look)


def _running(
    settings: Settings, environment: Mapping[str, str], *, telegram: bool
) -> Iterator[Finding]:
    """Processes, queue and workers. What a start takes is no fault, nor is all that a stop ends."""
    launcher = processes.launcher_of(settings)
    found = [*_safely(partial(processes.answering, environment, launcher))]
    redis_url = environment.get("REDIS_URL")
    own = embedded_redis.socket_in(settings.data.resolve())
    if redis_url or launcher is not None:
        url = redis_url or (f"unix://{own}" if own else None)
        found += _safely(partial(queue.queue, url, telegram=telegram))
    if launcher is not None and launcher.age_s < _STARTING_S:
        trouble = sum(finding.level is Level.WRONG for finding in found)
        found = [finding for finding in found if finding.level is not Level.WRONG]
        if trouble:
            yield note("The shop is just starting.", do="Call deploy/doctor again in a minute.")
    yield from found


def _safely(look: Look) -> Iterator[Finding]:
    try:
        yield from look()
    except Exception as error:
        name = getattr(look, "func", look).__name__.replace("_", " ")
        yield wrong(
            f"This could not be looked at: {name} ({type(error).__name__}).",
            means="It may be fine; nobody can tell yet.",
            do="Look at what else is wrong first.",
        )


if __name__ == "__main__":
    sys.exit(main())
