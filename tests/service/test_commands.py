"""Batches over standard input: estimates, explanations and options, without a server."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HOOP = {"pieces": [{"support": "hoop", "width_m": 1.8}], "palette": ["navy", "white"]}


def run(command: str, *lines: str) -> list[str]:
    """What the command prints for these lines."""
    done = subprocess.run(
        [sys.executable, "-m", "service", command, "--reference-date", "2027-01-10"],
        input="\n".join(lines),
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    return done.stdout.splitlines()


def test_estimates_are_a_line_for_a_line() -> None:
    good, bad, again = run("estimate", json.dumps(HOOP), "{}", json.dumps(HOOP))
    assert good == again
    # π · 1.8 m
    assert json.loads(good)["pieces"][0]["path_length_m"] == pytest.approx(5.655, abs=0.001)
    assert json.loads(bad)["error"]["errors"][0]["field"] == "pieces"


def test_options_are_a_list_on_a_line() -> None:
    line, bad = run("options", json.dumps(HOOP), "[]")
    (estimate,) = run("estimate", json.dumps(HOOP))
    likely = [option["price"]["likely"] for option in json.loads(line)]
    assert json.loads(estimate)["price"]["likely"] in likely
    assert sorted(map(float, likely)) == list(map(float, likely))
    assert json.loads(bad)["error"]["status"] == 422


def test_an_explanation_is_text_and_a_fault_is_not() -> None:
    *text, _, bad = run("explain", json.dumps(HOOP), "{}")
    (estimate,) = run("estimate", json.dumps(HOOP))
    said = " ".join(" ".join(text).split())
    for reason in json.loads(estimate)["explanation"]:
        assert f"[{reason['source']}]" in said
    assert "error" in json.loads(bad)
