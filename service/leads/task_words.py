"""One name for each task of a job, wherever the owner reads of it."""

from collections.abc import Mapping

from service.estimating import CostLine, Task

_NAMES: Mapping[str, str] = {
    Task.SIZING_AND_INFLATING: "Inflating",
    Task.TYING: "Tying",
    Task.CLUSTERING: "Making clusters",
    Task.LINE_BUILD: "Building on the line",
    Task.FOILS: "Foils",
    Task.ACCENTS: "Accents and covers",
    Task.HELIUM: "Filling with helium",
    Task.LOAD: "Loading",
    Task.DRIVE: "Driving",
    Task.INSTALL: "Setting up",
    Task.FINISH: "Finishing touches",
    Task.STRIKE: "Taking down",
}

_LABOUR, _TIME = "labour", ": time"


def task_name(task: str) -> str:
    """ "Making clusters" for "clustering"; a task that is not known by its own name."""
    return _NAMES.get(task, task.replace("_", " ").capitalize())


def line_name(line: CostLine) -> str:
    """A cost line's label, in which a task has that name: "Making clusters: time"."""
    if line.code != _LABOUR or not line.label.endswith(_TIME):
        return line.label
    return time_of(line.label.removesuffix(_TIME).replace(" ", "_"))


def time_of(task: str) -> str:
    """ "Making clusters: time", as a line of cost."""
    return f"{task_name(task)}{_TIME}"
