"""A little of everything that `python -m tests.fuzz` tries, the same each time."""

import pytest

from tests.fuzz.api import ROLES
from tests.fuzz.parts import PARTS, api_as

SEED = 20270110
# A good body is not enough for these: a pairing's link from the desk, the version that was read,
# what the shop has in stock, what its jobs have taught, a kind of work that fits its days.
NEED_MORE = {
    "POST /v1/owner/pairings",
    "PUT /v1/review-rules",
    "PUT /v1/price-book",
    "POST /v1/price-book/preview",
    "POST /v1/stock",
    "POST /v1/purchases",
    "POST /v1/calibration",
    "POST /v1/chores",
}


@pytest.mark.parametrize("role", ROLES)
def test_the_api_is_as_it_describes_itself(role: str) -> None:
    tally = api_as(role, SEED, short=True)
    assert tally.tried
    assert tally.failures == {}
    # Where a path names nothing, a good body is all that it takes.
    never = {route for route, times in tally.taken.items() if not times and "{" not in route}
    assert never <= NEED_MORE


@pytest.mark.parametrize("name", sorted(PARTS))
def test_nothing_that_comes_in_breaks_anything(name: str) -> None:
    part = PARTS[name]
    tally = part.run(SEED, part.short)
    assert tally.tried >= part.short
    assert tally.failures == {}
