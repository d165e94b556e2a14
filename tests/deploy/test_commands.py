"""The commands' own manners: syntax, help, wrong use."""

import stat
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = ("deploy/run", "deploy/test", "deploy/environment.sh", ".ci/run")


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_script_is_valid_for_a_plain_shell(script: str) -> None:
    checked = subprocess.run(["sh", "-n", ROOT / script], capture_output=True, text=True)
    assert (checked.returncode, checked.stderr) == (0, "")


@pytest.mark.parametrize("script", ["deploy/run", "deploy/test", ".ci/run"])
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
