"""What finished jobs teach: how the shop's hours, balloons and drives compare with its price book.

Hours. With y the logarithm of actual over planned hours of task t in job j on supports S,

    y = all + task[t] + mean over s in S of support[t, s] + job[j] + rest[j, t],

every term Gaussian about 0, `job` and `rest` by the book's spread at first. What a shop does in
general, by task and by task and support is shrunk towards the book: one job moves it about half
way, ten that agree nearly all the way. A job's own good or bad day is shared by its tasks, so that
nine tasks of one day do not count as nine days. A day or task far off moves no more, the further
off it lies the less, and ordinary jobs keep their full weight. How, is in `shrinkage`.

Packing (balloons used over planned) and driving are the same with one term. The odds that a balloon
breaks start at the book's as a Beta and take what burst as binomial counts. Balloons of one job
share its heat and its bag, so n of them count as n / (1 + (n - 1) r) independent ones
(Kish 1965, the design effect).

Everything is summed in the order of the jobs' names: equal observations, in whatever order, give an
equal calibration.
"""

from service.estimating.calibration.applying import UNCALIBRATED, Calibration, Widths
from service.estimating.calibration.keeping import SPREAD, lessons_of, merge, plain, scatter
from service.estimating.calibration.learning import Prior, calibrate
from service.estimating.calibration.lessons import (
    AS_BOOKED,
    Change,
    Lessons,
    Pace,
    breakage_of,
)
from service.estimating.calibration.observations import (
    DRIVING,
    PACKING,
    Hours,
    Observation,
    ObservationError,
    Packing,
    Taken,
)
from service.estimating.shrinkage import Belief

__all__ = [
    "AS_BOOKED",
    "DRIVING",
    "PACKING",
    "SPREAD",
    "UNCALIBRATED",
    "Belief",
    "Calibration",
    "Change",
    "Hours",
    "Lessons",
    "Observation",
    "ObservationError",
    "Pace",
    "Packing",
    "Prior",
    "Taken",
    "Widths",
    "breakage_of",
    "calibrate",
    "lessons_of",
    "merge",
    "plain",
    "scatter",
]
