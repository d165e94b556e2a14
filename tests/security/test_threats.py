"""The list of threats: every row is there, and every test that a row names."""

import ast
from functools import cache
from pathlib import Path

import pytest

from tests.security.threats import THREATS, Threat, markdown

ROOT = Path(__file__).parents[2]
WANTED = {
    *(f"API{number}" for number in range(1, 11)),
    *("ASVS 2.3.1", "ASVS 2.3.3", "ASVS 2.3.4", "ASVS 2.4.1", "ASVS 3.3.2"),
    *(f"ASVS 3.4.{number}" for number in range(1, 7)),
    *("ASVS 8.2.2", "ASVS 11.5.1", "ASVS 14.2.1", "ASVS 15.3.3", "ASVS 16.2.5"),
}


@cache
def _tests_in(path: str) -> frozenset[str]:
    parsed = ast.parse((ROOT / path).read_text())
    return frozenset(
        node.name
        for node in ast.walk(parsed)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    )


def test_no_row_is_left_out() -> None:
    rows = [each.row for each in THREATS]
    assert set(rows) == WANTED
    assert len(rows) == len(WANTED)


@pytest.mark.parametrize("threat", THREATS, ids=lambda each: each.row)
def test_every_test_that_a_row_names_is_there(threat: Threat) -> None:
    assert threat.tests
    for test in threat.tests:
        path, _, name = test.partition("::")
        assert name.startswith("test_")
        assert name in _tests_in(path), test


def test_the_developers_read_the_same_table() -> None:
    told = (ROOT / "DEVELOPERS.md").read_text()
    assert markdown() in told, "put in what `python -m tests.security.threats` prints"
