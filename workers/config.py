"""Settings of a worker process, from the environment."""

from pydantic import Field, SecretStr
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """What a worker needs to know. Secrets are masked wherever this is printed."""

    model_config = SettingsConfigDict(
        env_prefix="GARLANDRY_", env_ignore_empty=True, extra="ignore", frozen=True
    )

    redis_url: SecretStr = Field(validation_alias="REDIS_URL")
    service_url: str = "http://127.0.0.1:8620"
    api_key: SecretStr
    telegram_token: SecretStr | None = None
    telegram_api: str = "https://api.telegram.org"
