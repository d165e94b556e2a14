"""`python -m service prepare | run | welcome | owner-link | estimate | explain | options`.

Commands import what they need themselves: a batch of estimates does not load the web server.
"""

import argparse
import sys
from datetime import date
from pathlib import Path

from service.api.lines import answer_lines, estimate_line, explanation_text, options_line
from service.clock import shop_clock
from service.config import Settings
from service.estimating import BookError
from service.leads.shop_time import zone_of
from service.storage.places import Places
from service.storage.price_book import PriceBookFile

_BY_THE_BOOK = (
    "Goes by the price book alone: what the shop has learnt from its finished jobs is in its data, "
    "which this command does not open. The running service answers with it."
)


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit code says how it went."""
    options = _parser().parse_args(arguments)
    settings = Settings()
    try:
        return int(options.command(settings, options))
    except BookError as error:
        faults = "\n".join(f"{p.field}: {p.detail}" for p in error.problems)
        print(f"The price book cannot be used:\n{faults}", file=sys.stderr)
        return 2


def _prepare(settings: Settings, _options: argparse.Namespace) -> int:
    from service.assembly import prepare

    prepare(settings)
    return 0


def _run(settings: Settings, _options: argparse.Namespace) -> int:
    import uvicorn

    from service import app
    from service.logs import log_to_stderr

    log_to_stderr()
    uvicorn.run(
        app.create_app(settings),
        host=settings.service_host,
        port=settings.service_port,
        # Paths of pages hold signed links: they do not belong in a log.
        access_log=False,
        log_config=None,
        timeout_graceful_shutdown=5,
        # Anybody can write such headers; only a proxy that is named here is believed.
        proxy_headers=bool(settings.trusted_proxies),
        forwarded_allow_ips=settings.trusted_proxies,
    )
    return 0


def _welcome(settings: Settings, _options: argparse.Namespace) -> int:
    from service.assembly import welcome_link

    link = welcome_link(settings)
    if link is not None:
        print(link)
    return 0


def _owner_link(settings: Settings, _options: argparse.Namespace) -> int:
    from service.assembly import owner_link

    print(owner_link(settings))
    return 0


def _answer(settings: Settings, options: argparse.Namespace) -> int:
    book = PriceBookFile(options.price_book or settings.price_book).current()
    reference = options.reference_date or settings.reference_date
    zone = zone_of(book)
    today = reference or shop_clock(None, zone)().astimezone(zone).date()
    for line in answer_lines(sys.stdin.buffer, book, Places(), today, options.answer):
        print(line, flush=True)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m service", description=__doc__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    prepare = commands.add_parser("prepare", help="make data folder, keys and tables")
    prepare.set_defaults(command=_prepare)
    run = commands.add_parser("run", help="serve the API and the pages")
    run.set_defaults(command=_run)
    welcome = commands.add_parser("welcome", help="print the owner's one-time sign-up link")
    welcome.set_defaults(command=_welcome)
    anew = commands.add_parser("owner-link", help="print a one-time link to a new password")
    anew.set_defaults(command=_owner_link)
    for name, answer, out in (
        ("estimate", estimate_line, "estimates out"),
        ("explain", explanation_text, "out comes, as text, where every figure comes from"),
        ("options", options_line, "what else could be had out"),
    ):
        batch = commands.add_parser(
            name, help=f"briefs as JSON lines in, {out}", description=_BY_THE_BOOK
        )
        batch.add_argument("--price-book", type=Path, help="a price book other than the shop's")
        batch.add_argument(
            "--reference-date", type=date.fromisoformat, metavar="YYYY-MM-DD", help="today's date"
        )
        batch.set_defaults(command=_answer, answer=answer)
    return parser


if __name__ == "__main__":
    sys.exit(main())
