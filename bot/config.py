"""Settings of the bot process, from the environment."""

from datetime import date
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

from pydantic import Field, SecretStr
from pydantic_settings import BaseSettings, SettingsConfigDict

from service.contract.settings import BotToken, Networks, Origins, Port, SecureAddress, WebAddress


class Settings(BaseSettings):
    """What the bot needs to know. Secrets are masked wherever this is printed."""

    model_config = SettingsConfigDict(
        env_prefix="GARLANDRY_", env_ignore_empty=True, extra="ignore", frozen=True
    )

    service_url: WebAddress = Field(
        default="http://127.0.0.1:8620",
        description="Where this process reaches the service. `deploy/run` sets it.",
    )
    api_key: SecretStr = Field(
        description="This process's key to the service: `bot` in keys.json for the bot, `worker`"
        " for a worker. `deploy/run` sets it.",
    )
    chat_host: str = Field(
        default="127.0.0.1", description="The address that the web chat listens on."
    )
    chat_port: Port = Field(
        default=8621,
        description="The port that the web chat listens on; `deploy/run` takes the next free one"
        " where it is not set.",
    )
    chat_url: WebAddress | None = Field(
        default=None,
        description="Where clients reach the web chat.",
        examples=["https://chat.shop.example"],
    )
    public_url: WebAddress | None = Field(
        default=None,
        description="What clients' links begin with, and where the owner's desk is: the address of"
        " your proxy. Host and port unless set.",
        examples=["https://shop.example"],
    )
    telegram_token: BotToken | None = Field(
        default=None,
        description="Your bot's token, from @BotFather. Without one there is the web chat only.",
        examples=["1234567:AA…"],
    )
    telegram_api: WebAddress = Field(
        default="https://api.telegram.org", description="The Bot API's address."
    )
    telegram_webhook_url: SecureAddress | None = Field(
        default=None,
        description="The https address that Telegram posts to. Without it updates are fetched by"
        " long polling.",
        examples=["https://chat.shop.example/telegram"],
    )
    telegram_webhook_secrets: SecretStr | None = Field(
        default=None,
        description="A secret of 16 to 256 letters, digits, `-` and `_` that Telegram proves itself"
        " with; two, `new,old`, while one follows the other. Needed with a webhook.",
    )
    telegram_webhook_host: str = Field(
        default="127.0.0.1", description="The address that the bot listens on for Telegram's posts."
    )
    telegram_webhook_port: Port = Field(
        default=8622, description="The port that the bot listens on for Telegram's posts."
    )
    website_origins: Origins = Field(
        default="",
        description="Websites that may embed chat and form and call the API, comma separated.",
        examples=["https://www.rowing.example"],
    )
    trusted_proxies: Networks = Field(
        default="",
        description="Addresses of your own proxies, comma separated: only their X-Forwarded-For is"
        " believed about who asks. Without it all who come through a proxy count as one.",
        examples=["127.0.0.1"],
    )
    wording: Path | None = Field(
        default=None,
        description="A folder with the shop's own wording: shop.en.po, shop.es.po, chat.en.po,"
        " chat.es.po. `deploy/run` takes deploy/wording.",
        examples=["/etc/garlandry/wording"],
    )
    reference_date: date | None = Field(
        default=None,
        description="The day to take as today, for trying things out; the time of day runs on.",
        examples=["2027-01-10"],
    )
    log: Literal["text", "json"] | None = Field(
        default=None,
        description="How log lines look: `text` for people, `json` for programs, one object a line."
        " Without it, text on a terminal and JSON anywhere else. `deploy/run` writes either into"
        " the same files, JSON unless told otherwise.",
    )
    log_level: Literal["DEBUG", "INFO", "WARNING", "ERROR"] = Field(
        default="INFO", description="From which level on something is logged."
    )
    metrics_key: SecretStr | None = Field(
        default=None,
        description="The key that /metrics of the bot asks for (`metrics` in keys.json)."
        " Without it there is no such page.",
    )

    @property
    def public_origin(self) -> str | None:
        """Where the service's pages come from, as a page's rules name it."""
        parts = urlsplit(self.public_url or "")
        return f"{parts.scheme}://{parts.netloc}" if parts.netloc else None

    @property
    def frame_ancestors(self) -> tuple[str, ...]:
        """The websites as origins."""
        return tuple(o.strip().rstrip("/") for o in self.website_origins.split(",") if o.strip())
