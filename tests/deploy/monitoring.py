"""What the files for watching a shop ask for."""

import json
import re
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

FOLDER = Path(__file__).resolve().parents[2] / "deploy" / "monitoring"

_METRIC = re.compile(r"\b(?:garlandry|process)_\w+")


def rules() -> list[dict[str, Any]]:
    """All alert rules."""
    groups = YAML(typ="safe").load(FOLDER / "alerts.yaml")["groups"]
    return [rule for group in groups for rule in group["rules"]]


def panels() -> list[dict[str, Any]]:
    """The dashboard's panels that show something."""
    everything = json.loads((FOLDER / "dashboard.json").read_text())["panels"]
    return [panel for panel in everything if panel["type"] != "row"]


def metrics_in_alerts() -> set[str]:
    """The names that the rules look at."""
    return {name for rule in rules() for name in _METRIC.findall(rule["expr"])}


def metrics_in_dashboard() -> set[str]:
    """The names that the panels look at."""
    return {
        name
        for panel in panels()
        for target in panel["targets"]
        for name in _METRIC.findall(target["expr"])
    }
