"""The bot process: the one place where its parts are put together."""

import asyncio
import logging
import signal
import socket
import sys
import traceback
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import date, datetime
from types import TracebackType
from zoneinfo import ZoneInfo

import httpx
from telegram import Bot

from bot.config import Settings
from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrasebook
from bot.gateway import Channel, Gateway, ServiceClient, ServiceRefused, ServiceUnavailable
from bot.telegram import (
    Polling,
    TelegramPhotos,
    Webhook,
    introduce,
    open_bot,
    secrets_in,
)
from bot.turns import PhotoSource, Turns
from bot.webchat import Chat, ChatServer
from bot.wording import load

_log = logging.getLogger(__name__)

# A turn takes milliseconds; what is still open after this was left behind.
_LEFT_BEHIND_S = 5.0
_REPLAY_EVERY_S = 3.0
_SERVICE_PAUSE_S = 0.5


class CannotStart(Exception):
    """Something outside has to be put right first; the text says what."""


def run(settings: Settings) -> None:
    """Run the web chat, and Telegram where a token is set, until SIGTERM or SIGINT."""
    _log_to_stderr()
    with suppress(asyncio.CancelledError):
        asyncio.run(_until_signalled(settings))


async def _until_signalled(settings: Settings) -> None:
    serving = asyncio.create_task(_serve(settings))
    for number in (signal.SIGTERM, signal.SIGINT):
        asyncio.get_running_loop().add_signal_handler(number, serving.cancel)
    await serving


async def _serve(settings: Settings) -> None:
    client = ServiceClient(
        settings.service_url,
        settings.api_key.get_secret_value(),
        # Every open page holds a request at the service: with the usual limit of 100 connections
        # the hundredth page would keep every message out, Telegram's too.
        transport=httpx.AsyncHTTPTransport(limits=httpx.Limits(max_connections=None)),
    )
    secrets = _webhook_secrets(settings)
    # Bound before anything is waited for: a port that is taken should be known at once.
    with ExitStack() as ports:
        chat = ports.enter_context(_listen(settings.chat_host, settings.chat_port, "CHAT"))
        hook = None
        if secrets:
            host, port = settings.telegram_webhook_host, settings.telegram_webhook_port
            hook = ports.enter_context(_listen(host, port, "TELEGRAM_WEBHOOK"))
        try:
            await _assemble(settings, Gateway(client), chat, _Hook(hook, secrets) if hook else None)
        finally:
            await client.aclose()


@dataclass(frozen=True)
class _Hook:
    """Where Telegram posts updates, and the secrets that it proves itself with."""

    listening: socket.socket
    secrets: tuple[str, ...]


def _webhook_secrets(settings: Settings) -> tuple[str, ...]:
    """The webhook's secrets; none where updates are fetched."""
    if settings.telegram_token is None or settings.telegram_webhook_url is None:
        return ()
    given = settings.telegram_webhook_secrets
    try:
        return tuple(secrets_in(given.get_secret_value() if given else ""))
    except ValueError as error:
        raise CannotStart(f"GARLANDRY_TELEGRAM_WEBHOOK_SECRETS: {error}") from None


def _listen(host: str, port: int, names: str) -> socket.socket:
    try:
        return socket.create_server((host, port))
    except OSError as error:
        what = "web chat" if names == "CHAT" else "webhook of Telegram"
        raise CannotStart(
            f"The {what} cannot listen on {host}:{port} ({error.strerror}). "
            f"Set GARLANDRY_{names}_HOST and GARLANDRY_{names}_PORT to a free address."
        ) from error


async def _assemble(
    settings: Settings, gateway: Gateway, listening: socket.socket, hook: _Hook | None
) -> None:
    card = await _shop_card(gateway, settings.service_url)
    phrasebook = load(settings.wording)
    token = settings.telegram_token
    bot = open_bot(token.get_secret_value(), settings.telegram_api) if token else None
    clock = a_clock(settings.reference_date, ZoneInfo(card.time_zone))
    photos: dict[Channel, PhotoSource] = {"telegram": TelegramPhotos(bot)} if bot else {}
    turns = Turns(gateway, clock, phrasebook, photos)
    channels: list[Channel] = ["webchat", "telegram"] if bot else ["webchat"]
    # What the last run committed and did not answer comes before anything new.
    for channel in channels:
        await _replay(turns, channel, older_than_s=0)
    url = settings.chat_url or _address(listening)
    chat = Chat(
        gateway,
        turns,
        card,
        phrasebook,
        secure=url.startswith("https://"),
        form_url=f"{settings.public_url.rstrip('/')}/form" if settings.public_url else None,
        website_origins=settings.frame_ancestors,
        pictures_from=settings.public_origin,
    )
    async with asyncio.TaskGroup() as tasks:
        tasks.create_task(_keep_replaying(turns, channels))
        tasks.create_task(ChatServer(chat, listening).run())
        _log.info("web chat: %s", url)
        if bot is None:
            _log.info(
                "Telegram: no token, so the web chat runs alone. "
                "Set GARLANDRY_TELEGRAM_TOKEN to the token of your bot to receive from Telegram"
            )
        else:
            tasks.create_task(_receiver(settings, bot, turns, phrasebook, hook).run())
            tasks.create_task(_introduce(bot, gateway, phrasebook))


def _receiver(
    settings: Settings, bot: Bot, turns: Turns, phrasebook: Phrasebook, hook: _Hook | None
) -> Polling | Webhook:
    if hook is None or settings.telegram_webhook_url is None:
        return Polling(bot, turns, phrasebook)
    return Webhook(
        bot,
        turns,
        phrasebook,
        address=settings.telegram_webhook_url,
        secrets=hook.secrets,
        listening=hook.listening,
    )


async def _introduce(bot: Bot, gateway: Gateway, phrasebook: Phrasebook) -> None:
    """Tell Telegram what the bot can do. Trouble with that keeps nobody waiting."""
    try:
        owners = await gateway.owner_chats("telegram")
        await introduce(bot, phrasebook, await gateway.shop(), owners)
    except (ServiceUnavailable, ServiceRefused) as trouble:
        _log.warning("Telegram: commands are not told (%s)", type(trouble).__name__)


def a_clock(reference_date: date | None, zone: ZoneInfo) -> Callable[[], datetime]:
    """The present in `zone`, moved so that now is on `reference_date`; time of day runs on."""
    if reference_date is None:
        return lambda: datetime.now(zone)
    shift = reference_date - datetime.now(zone).date()
    return lambda: datetime.now(zone) + shift


async def _shop_card(gateway: Gateway, service_url: str) -> ShopCard:
    while True:
        try:
            return await gateway.shop()
        except ServiceUnavailable:
            _log.info("waiting for the service at %s", service_url)
            await asyncio.sleep(_SERVICE_PAUSE_S)
        except ServiceRefused as refused:
            raise CannotStart(
                f"The service at {service_url} refused the bot ({refused}). "
                "Set GARLANDRY_API_KEY to the bot's key of that service."
            ) from refused


async def _keep_replaying(turns: Turns, channels: list[Channel]) -> None:
    while True:
        await asyncio.sleep(_REPLAY_EVERY_S)
        for channel in channels:
            await _replay(turns, channel, older_than_s=_LEFT_BEHIND_S)


async def _replay(turns: Turns, channel: Channel, *, older_than_s: float) -> None:
    try:
        taken = await turns.replay(channel, older_than_s)
    except ServiceUnavailable:
        _log.warning("%s: the service does not answer; open updates wait", channel)
    except Exception:
        # One update that cannot be answered must not stop the others' way in.
        _log.exception("%s: open updates wait", channel)
    else:
        if taken:
            _log.info("%s: answered %d updates that were left open", channel, taken)


def _address(listening: socket.socket) -> str:
    host, port = listening.getsockname()[:2]
    return f"http://{host}:{port}"


def _log_to_stderr() -> None:
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(_DiscreetFormatter("%(asctime)s %(levelname)s %(message)s"))
    logging.basicConfig(level=logging.INFO, handlers=[handler])
    # Request addresses hold chat ids, and a web chat's id is the key to its conversation.
    for name in ("httpx", "httpcore", "uvicorn"):
        logging.getLogger(name).setLevel(logging.WARNING)


_Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class _DiscreetFormatter(logging.Formatter):
    """Tells where an error happened and its kind, not its text: that may quote a client."""

    def formatException(self, ei: _Raised) -> str:  # noqa: N802  the library's name
        kind, _, trace = ei
        return "".join(traceback.format_tb(trace)) + (kind.__name__ if kind else "")
