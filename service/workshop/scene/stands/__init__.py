"""What a garland hangs on and in front of, support by support; plain shapes of our own."""

from collections.abc import Callable, Mapping

from service.estimating import Support
from service.workshop.scene.stands.ceilings import under_a_ceiling
from service.workshop.scene.stands.frames import arch, column, hoop, round_top_frame, square_frame
from service.workshop.scene.stands.ledges import mantel, table
from service.workshop.scene.stands.stairs import staircase
from service.workshop.scene.stands.stand import Dressed, Stand
from service.workshop.scene.stands.walls import doorway, swag, wall

__all__ = ["Dressed", "Stand", "stand_of"]

_STANDS: Mapping[Support, Callable[[Dressed], Stand]] = {
    Support.ROUND_TOP_FRAME: round_top_frame,
    Support.SQUARE_FRAME: square_frame,
    Support.HOOP: hoop,
    Support.WALL: wall,
    Support.DOORWAY: doorway,
    Support.STAIRCASE: staircase,
    Support.MANTEL: mantel,
    Support.TABLE: table,
    Support.CEILING: under_a_ceiling,
    Support.FREESTANDING_ARCH: arch,
    Support.SWAG: swag,
    Support.COLUMN: column,
}


def stand_of(dressed: Dressed) -> Stand:
    """The support of one such piece, in the coordinates of its own path."""
    return _STANDS[dressed.piece.support](dressed)
