"""Settings that no process reads: a slip of the keyboard, most of the time."""

import difflib
from collections.abc import Iterator, Mapping

import bot.config
import service.config
import workers.config
from deploy.examining.finding import Finding, wrong
from service.contract.settings import variable

_MODELS = (service.config.Settings, bot.config.Settings, workers.config.Settings)


def unknown_settings(environment: Mapping[str, str]) -> Iterator[Finding]:
    """One for each name that looks like a setting of ours and is none."""
    known = {
        variable(field, about.validation_alias)
        for model in _MODELS
        for field, about in model.model_fields.items()
    }
    ours = (name for name in environment if name.startswith("GARLANDRY_"))
    for name in sorted(set(ours) - known):
        close = difflib.get_close_matches(name, known, n=1, cutoff=0.8)
        yield wrong(
            f"{name} is no setting.",
            means="Nothing reads it, so the shop runs as if it were not set.",
            do=f"Is {close[0]} meant?" if close else "deploy/SETTINGS.md has all of them.",
        )
