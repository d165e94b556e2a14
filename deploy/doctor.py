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
from deploy.examining.finding import Finding, Level, wrong
from deploy.shop_settings import shop_settings
from deploy.stack import ROOT
from service.config import Settings
from service.contract.settings import told

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
    own = embedded_redis.socket_in(settings.data.resolve())
    redis_url = environment.get("REDIS_URL") or (f"unix://{own}" if own else None)
    looks: Sequence[Look] = (
        machine.python_version,
        partial(machine.packages, ROOT / "deploy" / "constraints.txt"),
        partial(machine.folder, settings),
        partial(machine.keys, settings),
        partial(machine.price_book, settings),
        partial(machine.backups, settings),
        partial(database.database, settings),
        partial(processes.answering, settings, environment),
        partial(queue.queue, redis_url, telegram=bot.telegram_token is not None),
        partial(outside.telegram, bot),
        partial(outside.public_address, settings),
    )
    for look in looks:
        yield from _safely(look)


def _safely(look: Look) -> Iterator[Finding]:
    try:
        yield from look()
    except Exception as error:
        name = getattr(look, "func", look).__name__.replace("_", " ")
        yield wrong(
            f"This could not be looked at: {name} ({type(error).__name__}).",
            means="It may be well or not.",
            do="Look at what else is wrong first.",
        )


if __name__ == "__main__":
    sys.exit(main())
