"""What starts the shop elsewhere: systemd's units, containers, the proxy. Checked by the tools that
read them where those are here, and against the commands, paths and settings that there really are.
"""

import json
import re
import shutil
import stat
import subprocess
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from deploy.settings_reference import reference
from service.__main__ import main
from workers import queues

ROOT = Path(__file__).resolve().parents[2]
UNITS = sorted((ROOT / "deploy/systemd").glob("*.*"))
COMPOSE = ROOT / "deploy/compose.yaml"
CONTAINERFILE = (ROOT / "deploy/Containerfile").read_text()
NGINX = (ROOT / "deploy/proxy/nginx.conf").read_text()

analyze = pytest.mark.skipif(
    shutil.which("systemd-analyze") is None, reason="systemd-analyze is not on this machine"
)
nginx = pytest.mark.skipif(shutil.which("nginx") is None, reason="nginx is not on this machine")


@pytest.fixture
def units(tmp_path: Path) -> list[Path]:
    """The units as they would be with this checkout in /opt/garlandry."""
    for unit in UNITS:
        here = unit.read_text().replace("/opt/garlandry", str(ROOT))
        (tmp_path / unit.name).write_text(here)
    return [path for path in tmp_path.iterdir() if path.suffix != ".env"]


@analyze
def test_systemd_finds_nothing_wrong_with_the_units(units: list[Path]) -> None:
    checked = subprocess.run(
        ["systemd-analyze", "verify", *units], capture_output=True, text=True, timeout=60
    )
    assert (checked.returncode, checked.stderr) == (0, "")


@analyze
def test_systemd_finds_the_processes_well_confined(units: list[Path]) -> None:
    services = [unit for unit in units if unit.suffix == ".service"]
    assert len(services) == 5
    for unit in services:
        command = ["systemd-analyze", "security", "--offline=yes", "--threshold=20", str(unit)]
        checked = subprocess.run(command, capture_output=True, text=True, timeout=60)
        assert checked.returncode == 0, checked.stdout[-400:]


def test_the_target_wants_every_queue() -> None:
    target = (ROOT / "deploy/systemd/garlandry.target").read_text()
    assert set(re.findall(r"garlandry-worker@(\w+)\.service", target)) == set(queues.NAMES)
    named = set(re.findall(r"garlandry-[a-z]+@?(?:\w+)?\.(?:service|timer)", target))
    there = {unit.name for unit in UNITS}
    assert {re.sub(r"@\w+", "@", name) for name in named} <= there


def test_every_command_of_units_and_containers_is_one_of_ours() -> None:
    texts = [unit.read_text() for unit in UNITS] + [COMPOSE.read_text(), CONTAINERFILE]
    found = set()
    for text in texts:
        plain = re.sub(r'",\s*"', " ", text)
        found |= set(re.findall(r"-m ((?:service|bot|workers|deploy)[\w.]*)", plain))
    of_deploy = {"deploy.backup", "deploy.restore", "deploy.embedded_redis"}
    assert found == {"service", "bot", "workers"} | of_deploy


def test_every_setting_of_units_and_containers_is_known() -> None:
    texts = [unit.read_text() for unit in UNITS] + [COMPOSE.read_text(), CONTAINERFILE, NGINX]
    named = set(re.findall(r"\b(?:GARLANDRY_[A-Z_]+|DATABASE_URL|REDIS_URL)\b", "".join(texts)))
    assert len(named) > 15
    assert {name for name in named if f"## `{name}`" not in reference()} == set()


@pytest.fixture(scope="module")
def compose() -> Any:
    return YAML(typ="safe").load(COMPOSE)


def test_containers_run_as_nobody_special_and_write_nowhere_but_their_volumes(
    compose: Any,
) -> None:
    ours = {n: s for n, s in compose["services"].items() if s.get("image") == "garlandry"}
    assert set(ours) == {"service", "bot", "workers", "backup", "restore"}
    for each in ours.values():
        assert each["read_only"] is True
        assert each["cap_drop"] == ["ALL"]
        assert each["security_opt"] == ["no-new-privileges:true"]
    user = re.findall(r"^USER (\S+)$", CONTAINERFILE, re.M)
    assert user == ["garlandry"]
    assert "useradd --system" in CONTAINERFILE


def test_ports_are_open_to_the_proxys_machine_only(compose: Any) -> None:
    ports = [port for s in compose["services"].values() for port in s.get("ports", ())]
    assert len(ports) == 3
    assert all(str(port).startswith("127.0.0.1:") for port in ports)


def test_everything_that_is_waited_for_says_when_it_is_well(compose: Any) -> None:
    services = compose["services"]
    for service in services.values():
        for name, about in service.get("depends_on", {}).items():
            assert about == {"condition": "service_healthy"}
            assert "healthcheck" in services[name]
    volumes = {
        volume.split(":")[0]
        for service in services.values()
        for volume in service.get("volumes", ())
    }
    named = {volume for volume in volumes if not volume.startswith(".")}
    assert named == set(compose["volumes"])
    for path in volumes - named:
        assert (COMPOSE.parent / path).exists()


def test_images_are_pinned_by_name_and_tag_and_name_no_registry(compose: Any) -> None:
    bases = re.findall(r"^FROM (\S+)", CONTAINERFILE, re.M)
    images = [s["image"] for s in compose["services"].values() if s["image"] != "garlandry"]
    for image in {*bases, *images}:
        name, _, tag = image.partition(":")
        assert re.fullmatch(r"\d+\.\d+(\.\d+)?-[\w-]+", tag), image
        assert "." not in name.split("/")[0]


def test_no_secret_gets_into_an_image(compose: Any) -> None:
    assert not re.search(r"^(ARG|ENV) .*(TOKEN|KEY|PASSWORD|SECRET)", CONTAINERFILE, re.M)
    left_out = (ROOT / ".dockerignore").read_text().split()
    assert {".git", ".garlandry", ".venv", "*.env", "*.backup"} <= set(left_out)
    assert (ROOT / ".containerignore").read_text().split() == left_out
    copied = re.findall(r"^COPY (?!--from)(.+) \S+$", CONTAINERFILE, re.M)
    sources = [path for line in copied for path in line.split()]
    assert all((ROOT / path).exists() for path in sources)
    for service in compose["services"].values():
        for name, value in service.get("environment", {}).items():
            if re.search("TOKEN|SECRET|PASSWORD", name):
                assert str(value).startswith("${")


def test_the_proxy_knows_the_paths_that_there_are() -> None:
    streams = re.findall(r"location = (/chat/\S+) \{", NGINX)
    source = (ROOT / "bot/webchat/server.py").read_text()
    assert streams == ["/chat/stream"]
    assert f'Route("{streams[0]}"' in source
    assert "proxy_buffering off" in NGINX.split("location = /chat/stream")[1]


@pytest.fixture
def proxied(tmp_path: Path) -> Path:
    """nginx's whole configuration around ours, with a certificate made for it."""
    made = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
    made += ["-subj", "/CN=shop.example", "-keyout", "privkey.pem", "-out", "fullchain.pem"]
    subprocess.run(made, cwd=tmp_path, check=True, capture_output=True)
    ours = NGINX.replace("/etc/garlandry/tls", str(tmp_path))
    ours = ours.replace("/var/log/nginx", str(tmp_path))
    (tmp_path / "garlandry.conf").write_text(ours)
    whole = tmp_path / "nginx.conf"
    whole.write_text(
        f"pid {tmp_path}/nginx.pid; error_log {tmp_path}/error.log;\n"
        f"events {{}}\nhttp {{ include {tmp_path}/garlandry.conf; }}\n"
    )
    return whole


@nginx
def test_nginx_finds_nothing_wrong_with_the_proxy(proxied: Path) -> None:
    command = ["nginx", "-t", "-c", str(proxied), "-p", str(proxied.parent)]
    checked = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert checked.returncode == 0, checked.stderr
    assert "[warn]" not in checked.stderr


def test_units_and_containers_hand_out_the_keys_by_files_that_are_private(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GARLANDRY_DATA", str(tmp_path / "data"))
    assert main(["prepare", "--keys-to", str(tmp_path / "run")]) == 0
    keys = json.loads((tmp_path / "data/keys.json").read_text())
    files = {path.name: path for path in (tmp_path / "run").iterdir()}
    assert set(files) == {"bot.env", "worker.env"}
    for name, path in files.items():
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        assert f"GARLANDRY_API_KEY={keys[name.removesuffix('.env')]}\n" in path.read_text()
        assert f"/run/garlandry/{name}" in COMPOSE.read_text()
    assert keys["owner"] not in "".join(path.read_text() for path in files.values())
