"""The register of supports.

To add a support: write its file in `supports`, name it in `Support`, and enter its kind here.
"""

from collections.abc import Mapping
from enum import StrEnum

from service.estimating.paths.kinds import Kind
from service.estimating.paths.supports import (
    ceiling,
    column,
    doorway,
    freestanding_arch,
    hoop,
    mantel,
    round_top_frame,
    square_frame,
    staircase,
    swag,
    table,
    wall,
)


class Support(StrEnum):
    """What carries the balloons."""

    ROUND_TOP_FRAME = "round_top_frame"
    SQUARE_FRAME = "square_frame"
    HOOP = "hoop"
    WALL = "wall"
    DOORWAY = "doorway"
    STAIRCASE = "staircase"
    MANTEL = "mantel"
    TABLE = "table"
    CEILING = "ceiling"
    FREESTANDING_ARCH = "freestanding_arch"
    SWAG = "swag"
    COLUMN = "column"

    @property
    def words(self) -> str:
        """The name as people say it."""
        return self.value.replace("_", " ")


_KINDS: Mapping[Support, Kind] = {
    Support.ROUND_TOP_FRAME: round_top_frame.KIND,
    Support.SQUARE_FRAME: square_frame.KIND,
    Support.HOOP: hoop.KIND,
    Support.WALL: wall.KIND,
    Support.DOORWAY: doorway.KIND,
    Support.STAIRCASE: staircase.KIND,
    Support.MANTEL: mantel.KIND,
    Support.TABLE: table.KIND,
    Support.CEILING: ceiling.KIND,
    Support.FREESTANDING_ARCH: freestanding_arch.KIND,
    Support.SWAG: swag.KIND,
    Support.COLUMN: column.KIND,
}


def kind_of(support: Support) -> Kind:
    """What is known of `support`."""
    return _KINDS[support]
