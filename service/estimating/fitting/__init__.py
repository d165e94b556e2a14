"""What a piece needs besides latex: bought, hired, or owned and worn."""

from service.estimating.fitting.consumables import used
from service.estimating.fitting.fitted import Fitted, fit
from service.estimating.fitting.garland import Garland
from service.estimating.fitting.hardware import Use, uses
from service.estimating.fitting.mounts import mount_price

__all__ = ["Fitted", "Garland", "Use", "fit", "mount_price", "used", "uses"]
