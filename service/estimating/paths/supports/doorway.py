"""Round a door: up one side, across and down the other."""

from service.estimating.paths.kinds import WIDE_HIGH, Form, Kind
from service.estimating.paths.straight import up_across_down

KIND = Kind(
    forms=(Form(measures=WIDE_HIGH, path=up_across_down, formula="2h + w"),),
    across_way_out=True,
)
