"""Links that the command line prints for the owner, and whom the served pages believe."""

from pathlib import Path

import pytest
from fastapi import FastAPI

from service.__main__ import main
from service.assembly import Assembly, owner_link, prepare, welcome_link
from service.config import Settings
from service.leads import letting_in
from service.leads.lead import LinkExpired
from service.leads.people import OWNER_ID
from service.pages.desk import passwords
from service.serving import configured


@pytest.fixture
def settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    monkeypatch.setenv("GARLANDRY_DATA", str(tmp_path))
    monkeypatch.setenv("GARLANDRY_PUBLIC_URL", "https://garlands.example")
    monkeypatch.setenv("REDIS_URL", "redis://127.0.0.1:9/0")
    made = Settings()
    prepare(made)
    return made


def choose(settings: Settings, url: str, kept: str) -> None:
    ports = Assembly(settings).ports
    with ports.work() as work:
        token = url.rpartition("/")[2]
        letting_in.choose_password(work, ports, token, kept, now=ports.clock())
        work.commit()


def kept(settings: Settings) -> str | None:
    with Assembly(settings).ports.read() as work:
        return work.people.password_hash(OWNER_ID)


def test_the_welcome_link_is_printed_until_a_password_is_chosen(
    settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["welcome"]) == 0
    url = capsys.readouterr().out.strip()
    assert url.startswith("https://garlands.example/desk/welcome/")
    choose(settings, url, "the first")
    assert main(["welcome"]) == 0
    assert capsys.readouterr().out == ""
    assert welcome_link(settings) is None


def test_a_new_password_can_be_had_at_any_time_and_the_old_one_stays_until_then(
    settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    choose(settings, owner_link(settings), "the first")
    assert main(["owner-link"]) == 0
    url = capsys.readouterr().out.strip()
    assert kept(settings) == "the first"
    choose(settings, url, "the second")
    assert kept(settings) == "the second"
    with pytest.raises(LinkExpired):
        choose(settings, url, "the third")


@pytest.mark.parametrize(("trusted", "believed"), [("", False), ("10.0.0.2,10.0.0.3", True)])
@pytest.mark.usefixtures("settings")
def test_no_header_says_who_calls_unless_a_proxy_is_named(
    trusted: str, believed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GARLANDRY_TRUSTED_PROXIES", trusted)
    served = configured(FastAPI(), Settings())
    assert served.proxy_headers is believed
    assert served.forwarded_allow_ips == trusted


def test_a_password_takes_time_and_memory_to_guess() -> None:
    kept = passwords.hashed("air by the river")
    cost = dict(part.split("=") for part in kept.split("$")[3].split(","))
    assert kept.startswith("$argon2id$")
    # At least what RFC 9106 recommends where memory is scarce: 64 MiB, three passes.
    assert (int(cost["m"]), int(cost["t"])) >= (65_536, 3)
    assert passwords.fits(kept, "air by the river")
    assert not passwords.fits(kept, "air by the lake")
    assert not passwords.fits(None, "a password that nobody has")
