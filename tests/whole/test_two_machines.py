"""A shop on two machines, in network namespaces: one is cut off while clients write."""

import pytest

from tests.scale.cutting_off import GOES_ON_WITHIN_S, Times, cut_off

pytestmark = pytest.mark.whole


@pytest.mark.timeout(180)
def test_a_machine_that_is_cut_off_loses_doubles_and_leaves_unanswered_nothing() -> None:
    seen = cut_off(Times(before=2, without=4, after=2, load=0))
    if seen is None:
        pytest.skip("this user may make no network namespaces here: nothing can be cut off")
    counted = seen.counted
    assert (counted.lost, counted.unanswered, counted.doubled) == (0, 0, 0)
    assert (counted.out_of_order, counted.again) == (0, 0)
    assert seen.messages > 6
    assert seen.forms > 3
    assert seen.longer_s < GOES_ON_WITHIN_S
