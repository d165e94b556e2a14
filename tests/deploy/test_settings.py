"""Settings are described in full, and what is wrong with one is told in words."""

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

import bot.__main__
import bot.config
import service.__main__
import service.config
import workers.__main__
import workers.config
from deploy.settings_reference import PLACE, reference

ROOT = Path(__file__).resolve().parents[2]
_MAINS: Mapping[str, Callable[[], int]] = {
    "service": service.__main__.main,
    "bot": bot.__main__.main,
    "workers": workers.__main__.main,
}
NEEDED = {"GARLANDRY_API_KEY": "k", "REDIS_URL": "redis://127.0.0.1:9/0"}


def test_the_reference_is_as_the_models_are() -> None:
    assert PLACE.read_text() == reference(), "run: .venv/bin/python -m deploy.settings_reference"


@pytest.mark.parametrize(
    "model", [service.config.Settings, bot.config.Settings, workers.config.Settings]
)
def test_every_setting_is_described(model: type[service.config.Settings]) -> None:
    fields = model.model_fields.items()
    assert [name for name, about in fields if not (about.description or "").endswith(".")] == []


def test_the_readmes_settings_are_all_known() -> None:
    known = reference()
    rows = (row for row in (ROOT / "README.md").read_text().splitlines() if row.startswith("| `"))
    named = {name for row in rows for name in row.split("|")[1].replace("`", "").split(", ")}
    settings = {name.strip() for name in named if name.strip().isupper()}
    assert {name for name in settings if f"## `{name}`" not in known} == set()


def test_what_is_secret_is_marked() -> None:
    marked = {line.split("`")[1] for line in reference().splitlines() if "(**secret**)" in line}
    assert marked >= {
        "DATABASE_URL",
        "REDIS_URL",
        "GARLANDRY_API_KEY",
        "GARLANDRY_TELEGRAM_TOKEN",
        "GARLANDRY_TELEGRAM_WEBHOOK_SECRETS",
    }


@pytest.mark.parametrize(
    ("command", "name", "value", "words"),
    [
        ("service run", "GARLANDRY_SERVICE_PORT", "eighty", "a whole number"),
        ("service run", "GARLANDRY_REFERENCE_DATE", "tomorrow", "such as 2027-06-30"),
        ("service run", "GARLANDRY_DRAIN_S", "long", "type a number"),
        ("service run", "GARLANDRY_PUBLIC_URL", "shop.example", "such as https://shop.example"),
        ("service run", "GARLANDRY_TRUSTED_PROXIES", "my proxy", "such as 127.0.0.1"),
        ("service prepare", "DATABASE_URL", "mysql://u:s3cret@h/n", "such as postgresql://"),
        ("service run", "REDIS_URL", "http://s3cret@h", "such as redis://"),
        ("bot run", "GARLANDRY_TELEGRAM_TOKEN", "s3cret", "@BotFather"),
        ("bot run", "GARLANDRY_TELEGRAM_WEBHOOK_URL", "http://h/s3cret", "https://"),
        ("bot run", "GARLANDRY_WEBSITE_ORIGINS", "https://a.example/x", "without a path"),
        ("workers run replies", "REDIS_URL", "s3cret", "such as redis://"),
        ("workers run replies", "GARLANDRY_SERVICE_URL", "8620", "a whole address"),
    ],
)
def test_a_wrong_setting_is_told_at_start_and_not_repeated(
    command: str,
    name: str,
    value: str,
    words: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    for setting, typed in {**NEEDED, name: value}.items():
        monkeypatch.setenv(setting, typed)
    assert _start(command, monkeypatch) == 2
    told = capsys.readouterr().err
    assert name in told
    assert words in told
    assert "s3cret" not in told


def test_what_has_to_be_set_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for setting in NEEDED:
        monkeypatch.delenv(setting, raising=False)
    assert _start("workers run replies", monkeypatch) == 2
    told = capsys.readouterr().err
    assert "REDIS_URL has to be set" in told
    assert "GARLANDRY_API_KEY has to be set" in told


def _start(command: str, monkeypatch: pytest.MonkeyPatch) -> int:
    program, *rest = command.split()
    monkeypatch.setattr(sys, "argv", [program, *rest])
    return _MAINS[program]()
