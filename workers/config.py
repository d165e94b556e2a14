"""Settings of a worker process, from the environment."""

from typing import Literal

from pydantic import Field, SecretStr
from pydantic_settings import BaseSettings, SettingsConfigDict

from service.contract.settings import BotToken, SecretRedisAddress, WebAddress


class Settings(BaseSettings):
    """What a worker needs to know. Secrets are masked wherever this is printed."""

    model_config = SettingsConfigDict(
        env_prefix="GARLANDRY_", env_ignore_empty=True, extra="ignore", frozen=True
    )

    redis_url: SecretRedisAddress = Field(
        validation_alias="REDIS_URL",
        description="The address of a Redis. `deploy/run` starts one of its own where none is set.",
        examples=[
            "rediss://:PASSWORD@redis.example:6379/0",
            "redis+sentinel://a:26379,b:26379/shop",
        ],
    )
    service_url: WebAddress = Field(
        default="http://127.0.0.1:8620",
        description="Where this process reaches the service. `deploy/run` sets it.",
    )
    api_key: SecretStr = Field(
        description="This process's key to the service: `bot` in keys.json for the bot, `worker`"
        " for a worker. `deploy/run` sets it.",
    )
    telegram_token: BotToken | None = Field(
        default=None,
        description="Your bot's token, from @BotFather. Without one there is the web chat only.",
        examples=["1234567:AA…"],
    )
    telegram_api: WebAddress = Field(
        default="https://api.telegram.org", description="The Bot API's address."
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
