"""What a garland lies along and hangs down from at the ends: mantels and tables."""

from functools import partial

from service.estimating.paths.kinds import Form, Kind, Measures
from service.estimating.paths.straight import draped, level


def ledge(name: str, *, height_m: float) -> Kind:
    """A support called `name` whose top is `height_m` [m] above the floor."""

    def clear_of_the_floor(given: Measures) -> tuple[str, str] | None:
        if given.get("drop_m", 0) <= height_m:
            return None
        return "drop_m", f"a {name} is {height_m:g} m high; its ends can hang down by up to that"

    return Kind(
        forms=(
            Form(
                measures=("length_m", "drop_m"),
                path=partial(draped, height_m=height_m),
                formula="length + 2 × drop",
            ),
            Form(measures=("length_m",), path=partial(level, height_m=height_m), formula="length"),
        ),
        fits=clear_of_the_floor,
    )
