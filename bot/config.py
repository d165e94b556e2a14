"""Settings of the bot process, from the environment."""

from datetime import date

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
    #: The date to take as today; the time of day runs on.
    reference_date: date | None = None
