"""The estimating core: pure functions from a brief and a price book to an estimate.

Everything that other rooms may use is named here.
"""

from service.estimating.answer import (
    Assumption,
    BalloonCount,
    Caution,
    CostLine,
    Estimate,
    Helium,
    Load,
    PieceEstimate,
    Price,
    Reason,
    Shopping,
    ShoppingLine,
    StockLine,
    Travel,
    Wind,
)
from service.estimating.book import Calendar, OpenHours, PriceBook, Review, Shop, Task
from service.estimating.brief import (
    Brief,
    Budget,
    Build,
    ColourShare,
    Event,
    Fullness,
    Piece,
    Setting,
    Site,
)
from service.estimating.errors import BookError, BriefError, EstimatingError, FieldProblem
from service.estimating.estimate import estimate
from service.estimating.paths import Path, Point, Shape, Support

__all__ = [
    "Assumption",
    "BalloonCount",
    "BookError",
    "Brief",
    "BriefError",
    "Budget",
    "Build",
    "Calendar",
    "Caution",
    "ColourShare",
    "CostLine",
    "Estimate",
    "EstimatingError",
    "Event",
    "FieldProblem",
    "Fullness",
    "Helium",
    "Load",
    "OpenHours",
    "Path",
    "Piece",
    "PieceEstimate",
    "Point",
    "Price",
    "PriceBook",
    "Reason",
    "Review",
    "Setting",
    "Shape",
    "Shop",
    "Shopping",
    "ShoppingLine",
    "Site",
    "StockLine",
    "Support",
    "Task",
    "Travel",
    "Wind",
    "estimate",
]
