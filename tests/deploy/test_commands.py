"""The commands' own manners: syntax, help, wrong use."""

import os
import stat
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COMMANDS = ("run", "test", "backup", "restore", "doctor", "audit")
SCRIPTS = (*(f"deploy/{name}" for name in COMMANDS), "deploy/environment.sh", ".ci/run")


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_script_is_valid_for_a_plain_shell(script: str) -> None:
    checked = subprocess.run(["sh", "-n", ROOT / script], capture_output=True, text=True)
    assert (checked.returncode, checked.stderr) == (0, "")


@pytest.mark.parametrize("script", [*(f"deploy/{name}" for name in COMMANDS), ".ci/run"])
def test_a_command_can_be_executed(script: str) -> None:
    path = ROOT / script
    assert path.stat().st_mode & stat.S_IXUSR
    assert "\nset -eu\n" in path.read_text()


@pytest.mark.parametrize("name", ["constraints.txt", "constraints-test.txt"])
def test_pins_are_exact_hashed_and_name_no_registry(name: str) -> None:
    text = (ROOT / "deploy" / name).read_text()
    pins = [line for line in text.splitlines() if line and line[0].isalnum()]
    assert len(pins) > 20
    assert all("==" in pin for pin in pins)
    assert text.count("--hash=sha256:") >= len(pins)
    assert "://" not in text


def _copy_of_commands(folder: Path) -> None:
    """A checkout without execute permissions whose tools only write down how they were called."""
    for name in (".ci/run", "deploy/test", "deploy/environment.sh"):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text((ROOT / name).read_text())
    stand_in = '#!/bin/sh\n[ "$1" = --version ] || echo "$@" >>calls\n'
    python = folder / ".venv/bin/python"
    python.parent.mkdir(parents=True)
    python.write_text(stand_in)
    python.chmod(0o755)
    for name in ("constraints.txt", "constraints-test.txt"):
        (folder / "deploy" / name).write_text("")
        (folder / ".venv" / f"installed-{name}").write_text("")
    tools = folder / "tools"
    tools.mkdir()
    (tools / "apt-get").write_text('#!/bin/sh\necho "apt-get $@" >>calls\n')
    (tools / "apt-get").chmod(0o755)


@pytest.mark.skipif(not Path("/usr/bin/chromium").exists(), reason="it would be installed here")
def test_every_check_runs_without_a_terminal_and_installs_nothing_that_is_there(
    tmp_path: Path,
) -> None:
    _copy_of_commands(tmp_path)
    checked = subprocess.run(
        ["bash", ".ci/run", "-k", "webchat"],
        cwd=tmp_path,
        env={"PATH": f"{tmp_path / 'tools'}:{os.environ['PATH']}", "CI": "true"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        start_new_session=True,  # no terminal, not even by way of /dev/tty
        timeout=60,
    )
    assert checked.returncode == 0, checked.stderr
    calls = (tmp_path / "calls").read_text().splitlines()
    assert [call.split()[1] for call in calls[:3]] == ["ruff", "ruff", "mypy"]
    assert calls[-1] == "-m pytest -k webchat"
    assert not any("apt-get" in call or " pip " in call for call in calls)


def _run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [ROOT / "deploy/run", *arguments], capture_output=True, text=True, timeout=60
    )


def test_help_tells_the_exit_codes_from_anywhere() -> None:
    shown = _run("--help")
    assert shown.returncode == 0
    assert all(f"\n  {code}  " in shown.stdout for code in range(5))


@pytest.mark.parametrize(
    "arguments",
    [
        ["--once"],
        ["--once", "  "],
        ["--once", "hello", "--reference-date", "6 June"],
        ["--twice", "hello"],
    ],
)
def test_wrong_use_is_told_with_exit_code_2(arguments: list[str]) -> None:
    refused = _run(*arguments)
    assert refused.returncode == 2
    assert "usage: deploy/run" in refused.stderr
    assert "Traceback" not in refused.stderr
