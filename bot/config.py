"""Settings of the bot process, from the environment."""

from datetime import date
from pathlib import Path
from urllib.parse import urlsplit

from pydantic import Field, SecretStr
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """What the bot needs to know. Secrets are masked wherever this is printed."""

    model_config = SettingsConfigDict(
        env_prefix="GARLANDRY_", env_ignore_empty=True, extra="ignore", frozen=True
    )

    service_url: str = "http://127.0.0.1:8620"
    api_key: SecretStr
    chat_host: str = "127.0.0.1"
    chat_port: int = Field(default=8621, ge=0, le=65_535)
    #: Where clients reach the web chat, if not at host and port directly.
    chat_url: str | None = None
    #: Where clients reach the service's pages, among them the website form.
    public_url: str | None = None
    telegram_token: SecretStr | None = None
    telegram_api: str = "https://api.telegram.org"
    #: Where Telegram posts updates (https); without it they are fetched by long polling.
    telegram_webhook_url: str | None = None
    #: One or two secrets, separated by a comma: the first is given to Telegram, both are accepted.
    telegram_webhook_secrets: SecretStr | None = None
    telegram_webhook_host: str = "127.0.0.1"
    telegram_webhook_port: int = Field(default=8622, ge=0, le=65_535)
    #: Websites whose pages may show the web chat in a frame, comma separated.
    website_origins: str = ""
    #: A folder with the shop's own wording, chat.en.po and chat.es.po.
    wording: Path | None = None
    #: The date to take as today; the time of day runs on.
    reference_date: date | None = None

    @property
    def public_origin(self) -> str | None:
        """Where the service's pages come from, as a page's rules name it."""
        parts = urlsplit(self.public_url or "")
        return f"{parts.scheme}://{parts.netloc}" if parts.netloc else None

    @property
    def frame_ancestors(self) -> tuple[str, ...]:
        """The websites as origins."""
        return tuple(o.strip().rstrip("/") for o in self.website_origins.split(",") if o.strip())
