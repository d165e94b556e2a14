"""States read back from storage: what fits is kept, what is damaged or unknown is left out."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.state import State

WHOLE = State(
    stage="readback",
    draft=Draft(
        pieces=(Piece(support="hoop", width_m=2.0),),
        accents=(Accent(kind="flowers", count=8),),
        event_date=date(2027, 6, 6),
        budget_max=Decimal("400"),
    ),
    told=("tax",),
)


def test_what_was_stored_comes_back() -> None:
    assert State.from_dict(WHOLE.to_dict()) == WHOLE


@pytest.mark.parametrize(
    "damage",
    [
        {"stage": "elsewhere"},
        {"stage": None},
        {"misses": "3"},
        {"misses": True},
        {"unsure": float("nan")},
        {"told": "tax"},
        {"told": [1]},
        {"dropped": []},
        {"of_a_newer_version": 1},
    ],
    ids=str,
)
def test_a_damaged_field_is_as_good_as_absent(damage: dict[str, Any]) -> None:
    stored = {key: value for key, value in WHOLE.to_dict().items() if key not in damage}
    assert State.from_dict(stored | damage) == State.from_dict(stored)


def test_of_a_damaged_draft_the_rest_is_kept() -> None:
    stored = WHOLE.draft.to_dict() | {"event_date": "2027-02-30", "budget_max": "lots"}
    assert Draft.from_dict(stored) == Draft(pieces=WHOLE.draft.pieces, accents=WHOLE.draft.accents)
