"""The run sheet of a day: times, places, whom to ask for, what to mind."""

from service.workshop.run_sheet import saying
from service.workshop.run_sheet.day import run_sheet
from service.workshop.run_sheet.stops import map_of
from service.workshop.run_sheet.values import (
    DayCaution,
    Person,
    Place,
    RunSheet,
    Step,
    StepKind,
    Stop,
)

__all__ = [
    "DayCaution",
    "Person",
    "Place",
    "RunSheet",
    "Step",
    "StepKind",
    "Stop",
    "map_of",
    "run_sheet",
    "saying",
]
