"""The table of moves between a lead's states."""

import pytest

from service.leads.lead import MOVES, LeadState


def test_every_state_has_its_row() -> None:
    assert set(MOVES) == set(LeadState)


def test_every_state_is_reachable_from_a_new_lead() -> None:
    reached, edge = {LeadState.NEW}, {LeadState.NEW}
    while edge:
        edge = {after for state in edge for after in MOVES[state]} - reached
        reached |= edge
    assert reached == set(LeadState)


@pytest.mark.parametrize("state", [LeadState.DONE, LeadState.DECLINED])
def test_ends_are_ends(state: LeadState) -> None:
    assert MOVES[state] == frozenset()


def test_only_a_held_lead_can_be_booked() -> None:
    assert {state for state in LeadState if LeadState.BOOKED in MOVES[state]} == {LeadState.HELD}
