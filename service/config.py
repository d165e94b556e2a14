"""Settings of the service, read once from the environment."""

from datetime import date
from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """Everything that differs between one machine and another."""

    model_config = SettingsConfigDict(
        env_prefix="GARLANDRY_",
        env_ignore_empty=True,
        extra="ignore",
        frozen=True,
        populate_by_name=True,
    )

    data: Path = Path(".garlandry")
    database_url: str | None = Field(default=None, validation_alias="DATABASE_URL")
    redis_url: str = Field(default="redis://127.0.0.1:6379/0", validation_alias="REDIS_URL")
    #: API keys and link secret; share the file between machines that serve one database.
    keys_file: Path | None = None
    service_host: str = "127.0.0.1"
    service_port: int = 8620
    public_url: str | None = None
    chat_url: str = "http://127.0.0.1:8621"
    price_book: Path = Path("deploy/price_book.yaml")
    #: A folder with the shop's own texts to clients, shop.en.po and shop.es.po.
    wording: Path | None = None
    #: The bot's name in Telegram, without the @: then the desk can link to it.
    telegram_bot: str | None = Field(default=None, pattern=r"^\w{5,32}$")
    reference_date: date | None = None
    website_origins: str = ""
    #: Addresses of reverse proxies, comma separated: where their X-Forwarded-For says who calls.
    trusted_proxies: str = ""

    @property
    def database(self) -> str:
        """The database's address; SQLite in the data folder unless told otherwise."""
        return self.database_url or f"sqlite:///{self.data.resolve() / 'garlandry.sqlite3'}"

    @property
    def public(self) -> str:
        """What clients' links begin with."""
        return (self.public_url or f"http://{self.service_host}:{self.service_port}").rstrip("/")

    @property
    def origins(self) -> tuple[str, ...]:
        """Websites that may call the JSON API from a browser and embed the form."""
        return tuple(o.strip().rstrip("/") for o in self.website_origins.split(",") if o.strip())
