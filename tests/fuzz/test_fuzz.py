"""A little of everything that `python -m tests.fuzz` tries, the same each time."""

import pytest

from tests.fuzz.api import ROLES
from tests.fuzz.parts import PARTS, api_as

SEED = 20270110


@pytest.mark.parametrize("role", ROLES)
def test_the_api_is_as_it_describes_itself(role: str) -> None:
    tally = api_as(role, SEED, short=True)
    assert tally.tried
    assert tally.failures == {}


@pytest.mark.parametrize("name", sorted(PARTS))
def test_nothing_that_comes_in_breaks_anything(name: str) -> None:
    part = PARTS[name]
    tally = part.run(SEED, part.short)
    assert tally.tried >= part.short
    assert tally.failures == {}
