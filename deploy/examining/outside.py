"""What lies outside: Telegram, and the address that clients open."""

import ipaddress
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import httpx

from bot.config import Settings as BotSettings
from deploy.examining.finding import Finding, note, well, wrong
from service.config import Settings

_PATIENCE_S = 8.0


def telegram(settings: BotSettings) -> Iterator[Finding]:
    """Whether the token is good and updates come in as configured. Never tells the token."""
    if settings.telegram_token is None:
        yield note("No Telegram token is set: there is the web chat only.")
        return
    base = f"{settings.telegram_api}/bot{settings.telegram_token.get_secret_value()}"
    try:
        me = _asked(f"{base}/getMe")
        hook = _asked(f"{base}/getWebhookInfo") if me.get("ok") else {}
    except (httpx.HTTPError, ValueError) as error:
        yield wrong(
            f"Telegram does not answer ({type(error).__name__}).",
            means="Clients in Telegram hear nothing; what they write waits there for a day.",
            do="See whether this machine reaches the internet.",
        )
        return
    if not me.get("ok"):
        yield wrong(
            "Telegram does not know the token.",
            means="Clients in Telegram hear nothing.",
            do="Set GARLANDRY_TELEGRAM_TOKEN to the token that @BotFather shows for your bot.",
        )
        return
    yield well(f"Telegram knows the bot @{me['result'].get('username')}")
    yield from _hook(hook.get("result", {}), settings.telegram_webhook_url)


def _hook(about: dict[str, Any], wanted: str | None) -> Iterator[Finding]:
    found = about.get("url") or None
    if found != wanted:
        told = "nowhere" if found is None else "to another address"
        yield wrong(
            f"Telegram posts {told}, although GARLANDRY_TELEGRAM_WEBHOOK_URL is"
            f" {'set' if wanted else 'not set'}.",
            means="What clients write in Telegram does not reach this shop.",
            do="Start the bot again, which tells Telegram; let no other program use this token.",
        )
    elif about.get("last_error_message") and about.get("pending_update_count"):
        yield wrong(
            f"{about['pending_update_count']} messages wait at Telegram, which cannot post them:"
            f" {about['last_error_message']}",
            means="Clients in Telegram wait.",
            do="Check the proxy: that address has to lead to the bot's webhook port.",
        )
    elif wanted:
        yield well("Telegram posts to the address that is configured")


def public_address(settings: Settings) -> Iterator[Finding]:
    """Whether clients can open their links, and privately."""
    if settings.public_url is None:
        yield note(
            "GARLANDRY_PUBLIC_URL is not set.",
            means="Links in messages open on this machine only: fine for trying it out.",
            do="Set it to the https address that clients can open.",
        )
        return
    host = urlsplit(settings.public_url).hostname or ""
    if _is_here(host):
        yield note("Clients' links lead to this machine itself: fine for trying it out.")
        return
    if urlsplit(settings.public_url).scheme != "https":
        yield wrong(
            "Clients' links begin with http://.",
            means="Passwords and addresses can be read on the way, and browsers warn.",
            do="Put a proxy with TLS before it (deploy/proxy/nginx.conf) and set"
            " GARLANDRY_PUBLIC_URL to its https address.",
        )
    yield _reached(settings.public)


def _reached(public: str) -> Finding:
    try:
        said = httpx.get(f"{public}/healthz", timeout=_PATIENCE_S).json()
    except (httpx.HTTPError, ValueError) as error:
        told = type(error).__name__
    else:
        if isinstance(said, dict) and said.get("status") == "alive":
            return well(f"{public} leads to the shop")
        told = "somebody else answers"
    return wrong(
        f"{public} does not lead to the shop ({told}).",
        means="Clients cannot open prices, bookings or the form.",
        do="See whether the name, the certificate and the proxy are right, and the shop runs.",
    )


def _is_here(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _asked(address: str) -> dict[str, Any]:
    said = httpx.get(address, timeout=_PATIENCE_S).json()
    if not isinstance(said, dict):
        raise ValueError("no answer of the Bot API")
    return said
