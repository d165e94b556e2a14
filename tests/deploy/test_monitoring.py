"""The dashboard, the alerts and the scrape example. `tests/whole/test_watching.py` holds the
names in them against a real shop."""

import shutil
import subprocess

import pytest
from ruamel.yaml import YAML

from tests.deploy.monitoring import FOLDER, panels, rules


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: str(rule["alert"]))
def test_an_alert_says_what_happened_and_what_to_do(rule: dict[str, object]) -> None:
    labels, said = rule["labels"], rule["annotations"]
    assert isinstance(labels, dict)
    assert isinstance(said, dict)
    assert labels["severity"] in ("page", "look")
    assert set(said) == {"summary", "description"}
    assert all(str(text).strip().endswith(".") for text in said.values())


def test_no_two_alerts_have_one_name() -> None:
    names = [rule["alert"] for rule in rules()]
    assert len(names) == len(set(names))


def test_panels_stand_beside_one_another() -> None:
    taken: set[tuple[int, int]] = set()
    for panel in panels():
        at = panel["gridPos"]
        place = {
            (x, y)
            for x in range(at["x"], at["x"] + at["w"])
            for y in range(at["y"], at["y"] + at["h"])
        }
        assert not place & taken, panel["title"]
        assert max(x for x, _ in place) < 24
        taken |= place


def test_the_scrape_example_reads_the_rules_and_sends_the_key() -> None:
    scrape = YAML(typ="safe").load(FOLDER / "scrape.yaml")
    assert all((FOLDER / name).exists() for name in scrape["rule_files"])
    assert all(job["authorization"]["credentials_file"] for job in scrape["scrape_configs"])


def test_prometheus_itself_takes_the_rules() -> None:
    promtool = shutil.which("promtool")
    if promtool is None:
        pytest.skip("there is no promtool on this machine (Debian's package prometheus has it)")
    checked = subprocess.run(
        [promtool, "check", "rules", FOLDER / "alerts.yaml"], capture_output=True, text=True
    )
    assert checked.returncode == 0, checked.stdout + checked.stderr
