"""What goes on a piece or stands beside it: accents, and balloons that float on helium."""

from dataclasses import dataclass
from enum import StrEnum

from service.estimating.errors import BriefError, Faults
from service.estimating.units import SIZE_CLASSES


class AccentKind(StrEnum):
    """What is fixed on a piece besides its balloons and foils."""

    FLOWERS = "flowers"
    GREENERY = "greenery"
    SIGN = "sign"
    RIBBON = "ribbon"
    FABRIC_COVER = "fabric_cover"


@dataclass(frozen=True, kw_only=True, slots=True)
class Accent:
    """`count` of one accent on each such piece; None where the client gave no number.

    Flowers and greenery are counted in stems, ribbon in streamers, a sign or a cover one by one.
    `words` is what a sign says or which flowers are meant.
    """

    kind: AccentKind
    count: int | None = None
    words: str | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        fits = self.count is None or 1 <= self.count <= 200
        faults.check(fits, "count", "give a whole number from 1 to 200")
        faults.raise_as(BriefError)


class FloatKind(StrEnum):
    """Balloons that float."""

    LATEX = "latex"
    FOIL_ROUND = "foil_round"
    FOIL_HEART = "foil_heart"
    FOIL_STAR = "foil_star"
    FOIL_SHAPE = "foil_shape"

    @property
    def foil(self) -> bool:
        """Whether it conducts electricity and lasts for days."""
        return self is not FloatKind.LATEX


@dataclass(frozen=True, kw_only=True, slots=True)
class Floating:
    """`count` helium balloons of one kind and nominal size [in]; `treated` to float for longer.

    Raises BriefError for a size that cannot float.
    """

    kind: FloatKind
    size_class: int
    count: int = 1
    treated: bool = False

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(1 <= self.count <= 500, "count", "give a whole number from 1 to 500")
        faults.check(
            self.kind.foil or self.size_class in SIZE_CLASSES[1:],
            "size_class",
            f"{self.size_class} in of latex does not float or is not made; use one of"
            f" {', '.join(map(str, SIZE_CLASSES[1:]))}",
        )
        faults.check(
            not self.kind.foil or 18 <= self.size_class <= 36,
            "size_class",
            "a foil floats from 18 in on; give a size from 18 to 36",
        )
        faults.check(
            not (self.treated and self.kind.foil), "treated", "only latex is treated to float on"
        )
        faults.raise_as(BriefError)
