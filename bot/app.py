"""The bot process: the one place where its parts are put together."""

import asyncio
import hashlib
import logging
import os
import signal
import socket
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from telegram import Bot
from uvicorn.loops.auto import auto_loop_factory

from bot.config import Settings
from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrasebook
from bot.gateway import Channel, Direct, Gateway, ServiceClient, ServiceRefused, ServiceUnavailable
from bot.health import Health
from bot.metrics import Figures
from bot.stopping import pause, unless_asked
from bot.telegram import (
    Polling,
    TelegramPhotos,
    Webhook,
    introduce,
    open_bot,
    secrets_in,
)
from bot.turns import PhotoSource, Turns, WatchedTurns
from bot.webchat import Chat, ChatServer
from bot.wording import load
from service.contract.log_lines import log_to_stderr

_log = logging.getLogger(__name__)

# A turn takes milliseconds; what is still open after this was left behind.
_LEFT_BEHIND_S = 5.0
_REPLAY_EVERY_S, _REPLAY_ON_S = 3.0, 0.1
_SERVICE_PAUSE_S = 0.5
# What is in hand when the process is to stop gets this long.
_FINISHES_WITHIN_S = 10.0


class CannotStart(Exception):
    """Something outside has to be put right first; the text says what."""


def run(settings: Settings) -> None:
    """Run the web chat, and Telegram where a token is set, until SIGTERM or SIGINT.

    Then the turns in hand are finished; a second signal ends the process at once.
    """
    log_to_stderr("bot", settings.log, settings.log_level)
    loops = auto_loop_factory()
    with suppress(asyncio.CancelledError), asyncio.Runner(loop_factory=loops) as runner:
        runner.run(_until_signalled(settings))


async def _until_signalled(settings: Settings) -> None:
    stopping = asyncio.Event()
    serving = asyncio.create_task(_serve(settings, stopping))
    loop = asyncio.get_running_loop()

    def stop(number: signal.Signals) -> None:
        if stopping.is_set():
            # All that was received is committed: the next start answers it.
            os._exit(128 + number)
        stopping.set()
        loop.call_later(_FINISHES_WITHIN_S, serving.cancel)

    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, stop, number)
    await serving


async def _serve(settings: Settings, stopping: asyncio.Event) -> None:
    client = ServiceClient(
        settings.service_url,
        settings.api_key.get_secret_value(),
        # Every open page holds a request at the service: with a limit, such as the usual one of 100
        # connections, the hundredth page would keep every message out, Telegram's too.
        transport=Direct(settings.service_url),
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
            gateway = Gateway(client, _holder(chat))
            await _assemble(
                settings, gateway, chat, _Hook(hook, secrets) if hook else None, stopping
            )
        finally:
            await client.aclose()


@dataclass(frozen=True)
class _Hook:
    """Where Telegram posts updates, and the secrets that it proves itself with."""

    listening: socket.socket
    secrets: tuple[str, ...]


def _holder(chat: socket.socket) -> str:
    """What this process calls itself: the same when it is started again at the same place."""
    host, port = chat.getsockname()[:2]
    place = f"{socket.gethostname()} {host} {port}"
    return hashlib.blake2b(place.encode(), digest_size=16).hexdigest()


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
        listening = socket.create_server((host, port))
    except OSError as error:
        what = "web chat" if names == "CHAT" else "webhook of Telegram"
        raise CannotStart(
            f"The {what} cannot listen on {host}:{port} ({error.strerror}). "
            f"Set GARLANDRY_{names}_HOST and GARLANDRY_{names}_PORT to a free address."
        ) from error
    # Every connection has it from here: otherwise the second part of an answer waits, for 40 ms,
    # until the other side has acknowledged the first.
    listening.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return listening


async def _assemble(
    settings: Settings,
    gateway: Gateway,
    listening: socket.socket,
    hook: _Hook | None,
    stopping: asyncio.Event,
) -> None:
    card = await _shop_card(gateway, settings.service_url, stopping)
    if card is None:
        return
    phrasebook = load(settings.wording)
    token = settings.telegram_token
    bot = open_bot(token.get_secret_value(), settings.telegram_api) if token else None
    clock = a_clock(settings.reference_date, ZoneInfo(card.time_zone))
    photos: dict[Channel, PhotoSource] = {"telegram": TelegramPhotos(bot)} if bot else {}
    figures = Figures()
    turns = WatchedTurns(gateway, clock, phrasebook, photos, figures)
    channels: list[Channel] = ["webchat", "telegram"] if bot else ["webchat"]
    figures.start(channels)
    receiver = _receiver(settings, bot, turns, phrasebook, hook) if bot else None
    health = Health(
        figures,
        service_answers=gateway.service_answers,
        telegram=lambda: receiver.contact if receiver else "off",
        stopping=stopping,
        metrics_key=settings.metrics_key.get_secret_value() if settings.metrics_key else None,
    )
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
        monitoring=health.routes(),
    )
    async with asyncio.TaskGroup() as tasks:
        tasks.create_task(_keep_replaying(turns, channels, stopping))
        tasks.create_task(ChatServer(chat, listening, settings.trusted_proxies).run(stopping))
        _log.info("web chat: %s", url)
        if bot is None or receiver is None:
            _log.info(
                "Telegram: no token, so the web chat runs alone. "
                "Set GARLANDRY_TELEGRAM_TOKEN to the token of your bot to receive from Telegram"
            )
        else:
            tasks.create_task(receiver.run(stopping))
            tasks.create_task(unless_asked(stopping, _introduce(bot, gateway, phrasebook)))


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


async def _shop_card(
    gateway: Gateway, service_url: str, stopping: asyncio.Event
) -> ShopCard | None:
    """The card as soon as the service answers; None where the process is to stop before."""
    while not stopping.is_set():
        try:
            return await unless_asked(stopping, gateway.shop())
        except ServiceUnavailable:
            _log.info("waiting for the service at %s", service_url)
            await pause(_SERVICE_PAUSE_S, stopping)
        except ServiceRefused as refused:
            raise CannotStart(
                f"The service at {service_url} refused the bot ({refused}). "
                "Set GARLANDRY_API_KEY to the bot's key of that service."
            ) from refused
    return None


async def _keep_replaying(turns: Turns, channels: list[Channel], stopping: asyncio.Event) -> None:
    pause_s = _REPLAY_EVERY_S
    while True:
        await pause(pause_s, stopping)
        taken = 0
        for channel in channels:
            if stopping.is_set():
                return
            taken += await _replay(turns, channel, older_than_s=_LEFT_BEHIND_S)
        # Of a chat with many only the first were answered.
        pause_s = _REPLAY_ON_S if taken else _REPLAY_EVERY_S


async def _replay(turns: Turns, channel: Channel, *, older_than_s: float) -> int:
    taken = 0
    try:
        taken = await turns.replay(channel, older_than_s)
    except ServiceUnavailable:
        _log.warning("%s: the service does not answer; open updates wait", channel)
    except Exception:
        # One update that cannot be answered must not stop the others' way in.
        _log.exception("%s: open updates wait", channel)
    if taken:
        _log.info("%s: answered %d updates that were left open", channel, taken)
    return taken


def _address(listening: socket.socket) -> str:
    host, port = listening.getsockname()[:2]
    return f"http://{host}:{port}"
