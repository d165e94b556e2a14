"""The build sheet: what the maker at the bench has before her, and what is written on the bags."""

from service.workshop.build_sheet.bags import bags_of
from service.workshop.build_sheet.diagram import Diagram, Sign, Spot
from service.workshop.build_sheet.fetching import sheet_of
from service.workshop.build_sheet.folding import Fold, folded
from service.workshop.build_sheet.progress import Boxes, boxes_for
from service.workshop.build_sheet.sheet import build_sheet
from service.workshop.build_sheet.values import (
    Attached,
    Bag,
    BuildSheet,
    Held,
    Letter,
    Part,
    PieceSheet,
    Sizing,
    Step,
    Stretch,
    Total,
)

__all__ = [
    "Attached",
    "Bag",
    "Boxes",
    "BuildSheet",
    "Diagram",
    "Fold",
    "Held",
    "Letter",
    "Part",
    "PieceSheet",
    "Sign",
    "Sizing",
    "Spot",
    "Step",
    "Stretch",
    "Total",
    "bags_of",
    "boxes_for",
    "build_sheet",
    "folded",
    "sheet_of",
]
