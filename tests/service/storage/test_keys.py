"""The file with the keys."""

import json
from pathlib import Path

from service.storage.keys import read_or_make_keys


def test_a_file_from_before_a_key_was_needed_gets_it_and_keeps_the_others(tmp_path: Path) -> None:
    path = tmp_path / "keys.json"
    made = json.loads(read_or_make_keys(path).model_dump_json())
    before = {name: key for name, key in made.items() if name != "metrics"}
    path.write_text(json.dumps(before))
    keys = read_or_make_keys(path)
    assert keys.metrics
    assert keys.model_dump() == {**before, "metrics": keys.metrics}
    assert read_or_make_keys(path) == keys
    assert path.stat().st_mode & 0o777 == 0o600
    assert [each.name for each in tmp_path.iterdir()] == ["keys.json"]
