"""`python -m deploy.settings_reference` writes deploy/SETTINGS.md from the settings' own models."""

import types
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import SecretStr
from pydantic.fields import FieldInfo
from pydantic_settings import BaseSettings

import bot.config
import service.config
import workers.config
from service.contract.settings import variable

PLACE = Path(__file__).with_name("SETTINGS.md")

_MODELS: Mapping[str, type[BaseSettings]] = {
    "service": service.config.Settings,
    "bot": bot.config.Settings,
    "workers": workers.config.Settings,
}

_HEAD = """# Settings

Written by `python -m deploy.settings_reference` from the processes' own settings; change it there.

All come from the environment: of the shell that calls `deploy/run`, or of the files that the units
in `deploy/systemd` read. `deploy/run` passes everything on to the processes that need it, and sets
what they say to one another by itself. A value that cannot be right is named when a process starts;
a name that nothing reads is named by `deploy/doctor`.

`OTEL_SDK_DISABLED=true` (in `deploy/systemd/garlandry.env`) keeps a library from looking for
somewhere to send traces to; `WORKERS` (in the workers' unit) is how many of them a queue gets.

**secret**: whoever knows it can act for the shop, or reach its data. Keep it in a file that only
the shop's user can read, never in a command line.
"""

_WORDS: Mapping[Any, str] = {
    str: "text",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    Path: "a path",
    SecretStr: "text",
}
_NAMES: Mapping[str, str] = {"date": "a day, YYYY-MM-DD"}


@dataclass(frozen=True, kw_only=True)
class _Setting:
    """One variable as one process reads it."""

    process: str
    name: str
    kind: str
    default: str
    meaning: str
    example: str
    secret: bool


def main() -> None:
    """Write the file."""
    PLACE.write_text(reference())
    print(PLACE)


def reference() -> str:
    """The whole of SETTINGS.md."""
    found: dict[str, list[_Setting]] = {}
    for setting in _settings():
        found.setdefault(setting.name, []).append(setting)
    return "\n".join([_HEAD, *(_entry(each) for _, each in sorted(found.items()))])


def _entry(readers: list[_Setting]) -> str:
    """One variable; where processes differ in what it means to them, each says so."""
    first = readers[0]
    mark = " (**secret**)" if any(each.secret for each in readers) else ""
    lines = [f"## `{first.name}`{mark}", ""]
    for meaning in dict.fromkeys(each.meaning for each in readers):
        same = [each for each in readers if each.meaning == meaning]
        lines += [meaning, "", f"* Value: {same[0].kind}", f"* Default: {_defaults(same)}"]
        lines += [f"* Example: {same[0].example}"] if same[0].example else []
        lines += [f"* Read by: {', '.join(each.process for each in same)}", ""]
    return "\n".join(lines)


def _defaults(same: list[_Setting]) -> str:
    """What counts where it is not set; by process where they differ."""
    different = dict.fromkeys(each.default for each in same)
    if len(different) == 1:
        return same[0].default
    whose = {d: [each.process for each in same if each.default == d] for d in different}
    return "; ".join(f"{default} for {' and '.join(who)}" for default, who in whose.items())


def _settings() -> Iterator[_Setting]:
    for process, model in _MODELS.items():
        for field, about in model.model_fields.items():
            yield _Setting(
                process=process,
                name=variable(field, about.validation_alias),
                kind=_kind(about.annotation) + _limits(about),
                default=_default(about),
                meaning=about.description or "",
                example=", ".join(f"`{each}`" for each in about.examples or ()),
                secret=_is_secret(about),
            )


def _kind(annotation: Any) -> str:
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        return _kind(typing.get_args(annotation)[0])
    if origin is typing.Literal:
        return "one of " + ", ".join(f"`{each}`" for each in typing.get_args(annotation))
    if origin in (types.UnionType, typing.Union):
        (kind,) = (each for each in typing.get_args(annotation) if each is not type(None))
        return _kind(kind)
    return _WORDS.get(annotation) or _NAMES[annotation.__name__]


def _limits(about: FieldInfo) -> str:
    """The least and the most, where there are any."""
    lowest = next((each.ge for each in about.metadata if hasattr(each, "ge")), None)
    highest = next((each.le for each in about.metadata if hasattr(each, "le")), None)
    if lowest is None or highest is None:
        return ""
    return f" from {lowest} to {highest}"


def _default(about: FieldInfo) -> str:
    if about.is_required():
        return "none: the process does not start without it"
    return f"`{about.default}`" if about.default not in (None, "") else "not set"


def _is_secret(about: FieldInfo) -> bool:
    extra = about.json_schema_extra
    return "SecretStr" in str(about.annotation) or (isinstance(extra, dict) and "secret" in extra)


if __name__ == "__main__":
    main()
