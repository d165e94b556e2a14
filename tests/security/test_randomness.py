"""What must not be guessed comes from the machine's own secure chance."""

import re
from pathlib import Path

from service.storage.ids import fresh_id
from service.storage.keys import Keys, read_or_make_keys

ROOT = Path(__file__).parents[2]
BITS_OF_A_LETTER = 6


def test_what_must_not_be_guessed_has_enough_chance(tmp_path: Path) -> None:
    made = {fresh_id() for _ in range(1000)}
    assert len(made) == 1000
    assert all(len(each) * BITS_OF_A_LETTER >= 128 for each in made)
    keys = read_or_make_keys(tmp_path / "keys.json")
    for name in Keys.model_fields:
        assert len(getattr(keys, name)) * BITS_OF_A_LETTER >= 128
    assert (tmp_path / "keys.json").stat().st_mode & 0o077 == 0


def test_no_secret_is_made_by_chance_that_can_be_foretold() -> None:
    """The `random` module and version-1 UUIDs are nowhere that keys, links or sessions are made."""
    foretold = re.compile(r"^\s*(?:import random|from random )|uuid1\(", re.MULTILINE)
    rooms = ("service/api", "service/pages", "service/storage", "service/leads", "bot", "workers")
    using = {
        str(path.relative_to(ROOT))
        for room in rooms
        for path in (ROOT / room).rglob("*.py")
        if foretold.search(path.read_text())
    }
    assert using == set()
