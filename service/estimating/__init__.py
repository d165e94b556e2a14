"""The estimating core: pure functions from a brief and a price book to an estimate.

Everything that other rooms may use is named here, but for the price book's own values, which are
in `book`, what a calibration consists of, which is in `calibration`, the scores of ranges in
`scoring`, and for simulation, which only measurements need: `rehearsal`, `simulation`.
"""

from service.estimating.across import pooled_needs, shopping_for
from service.estimating.answer import (
    Assumption,
    BalloonCount,
    Caution,
    ClusterType,
    CostLine,
    Estimate,
    Expansion,
    Fitting,
    FloatLine,
    Helium,
    Load,
    PieceEstimate,
    Price,
    Reason,
    Shopping,
    ShoppingLine,
    SizedFor,
    SpareLine,
    StockLine,
    Travel,
    Wind,
)
from service.estimating.book import (
    Calendar,
    Charge,
    OpenHours,
    Policy,
    PriceBook,
    Shop,
    Task,
)
from service.estimating.brief import (
    Brief,
    Budget,
    Build,
    ColourShare,
    Event,
    Fullness,
    Ground,
    Piece,
    Setting,
    Site,
)
from service.estimating.calibration import (
    UNCALIBRATED,
    Calibration,
    Hours,
    Observation,
    ObservationError,
    Packing,
    Prior,
    Taken,
    calibrate,
)
from service.estimating.clusters import nested_pitch, nested_rings
from service.estimating.colouring import Pattern
from service.estimating.covering import Uncoverable
from service.estimating.errors import BookError, BriefError, EstimatingError, Faults, FieldProblem
from service.estimating.estimate import estimate
from service.estimating.explanation import as_text, named
from service.estimating.extras import Accent, AccentKind, Floating, FloatKind
from service.estimating.fitting.accents import SIGN_HANGS_UNDER
from service.estimating.fitting.carrying import FOIL_HEIGHTS_M, FOIL_NARROW, FOILS_APART_M
from service.estimating.fitting.foils import FoilList, sort_foils, spelled
from service.estimating.fitting.mounts import mount_price
from service.estimating.gusts import CAUTION as WIND_CAUTION
from service.estimating.heat import expansion
from service.estimating.laying import Laid, Stretch, laid
from service.estimating.line import Line, knots
from service.estimating.logistics import geodesic_m
from service.estimating.options import Option, options, to_pay
from service.estimating.paths import Path, Placement, Point, Run, Shape, Support
from service.estimating.plan import BENCH
from service.estimating.price import surcharges
from service.estimating.recipe import pushed_in, sized_diameters
from service.estimating.risk import prior_of
from service.estimating.shopping import bags_from, shop_for
from service.estimating.units import METRES_PER_INCH, SIZE_CLASSES

__all__ = [
    "BENCH",
    "FOILS_APART_M",
    "FOIL_HEIGHTS_M",
    "FOIL_NARROW",
    "METRES_PER_INCH",
    "SIGN_HANGS_UNDER",
    "SIZE_CLASSES",
    "UNCALIBRATED",
    "WIND_CAUTION",
    "Accent",
    "AccentKind",
    "Assumption",
    "BalloonCount",
    "BookError",
    "Brief",
    "BriefError",
    "Budget",
    "Build",
    "Calendar",
    "Calibration",
    "Caution",
    "Charge",
    "ClusterType",
    "ColourShare",
    "CostLine",
    "Estimate",
    "EstimatingError",
    "Event",
    "Expansion",
    "Faults",
    "FieldProblem",
    "Fitting",
    "FloatKind",
    "FloatLine",
    "Floating",
    "FoilList",
    "Fullness",
    "Ground",
    "Helium",
    "Hours",
    "Laid",
    "Line",
    "Load",
    "Observation",
    "ObservationError",
    "OpenHours",
    "Option",
    "Packing",
    "Path",
    "Pattern",
    "Piece",
    "PieceEstimate",
    "Placement",
    "Point",
    "Policy",
    "Price",
    "PriceBook",
    "Prior",
    "Reason",
    "Run",
    "Setting",
    "Shape",
    "Shop",
    "Shopping",
    "ShoppingLine",
    "Site",
    "SizedFor",
    "SpareLine",
    "StockLine",
    "Stretch",
    "Support",
    "Taken",
    "Task",
    "Travel",
    "Uncoverable",
    "Wind",
    "as_text",
    "bags_from",
    "calibrate",
    "estimate",
    "expansion",
    "geodesic_m",
    "knots",
    "laid",
    "mount_price",
    "named",
    "nested_pitch",
    "nested_rings",
    "options",
    "pooled_needs",
    "prior_of",
    "pushed_in",
    "shop_for",
    "shopping_for",
    "sized_diameters",
    "sort_foils",
    "spelled",
    "surcharges",
    "to_pay",
]
