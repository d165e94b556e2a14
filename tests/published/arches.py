"""How-to rules for an arch's length, against the curve itself: by how much they err."""

from functools import partial

from service.estimating.paths import Shape
from tests.published.geometry import arch, on_legs
from tests.published.row import Disagreement, Row, derived, published

_DEALER = "arch instructions of a balloon dealer, repeated on craft pages"
_CRAFT = "craft how-to 'make balloon arch, two colors'"
_BOX = "the rule walks the box round the arch, not the arch"

TALLER = (
    published(
        id="rule 2h + w, 6 x 8",
        source=f"{_CRAFT}: 22 ft",
        expected=22,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 6, 8),
        disagrees=Disagreement(by=-0.182, because=_BOX),
    ),
    published(
        id="rule 2h + w, 6 x 8 as a half ellipse",
        source=f"{_CRAFT}: 22 ft",
        expected=22,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 6, 8, Shape.SEMI_ELLIPSE),
        disagrees=Disagreement(by=-0.174, because=_BOX),
    ),
    published(
        id="rule 2h + w, 6 x 8 on legs",
        source=f"{_CRAFT}: 22 ft",
        expected=22,
        tolerance=0.5,
        unit="ft",
        answer=partial(on_legs, 6, 8),
        disagrees=Disagreement(by=-0.117, because=_BOX),
    ),
    published(
        id="rule 2h + w, 8 x 12",
        source="craft how-to 'balloon arch, spiral pattern': 32 ft",
        expected=32,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 8, 12),
        disagrees=Disagreement(by=-0.171, because=_BOX),
    ),
    published(
        id="rule 2w + h, 6 x 8",
        source="'How to make a balloon arch', height and width swapped: 20 ft",
        expected=20,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 6, 8),
        disagrees=Disagreement(
            by=-0.100, because="height and width are swapped, and it is still too long"
        ),
    ),
)

AS_WIDE_AS_HIGH = (
    published(
        id="rule 1.5h + w, 10 x 10",
        source=f"{_DEALER}: as high as wide, 25 ft",
        expected=25,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 10, 10),
        disagrees=Disagreement(by=-0.052, because="the rule errs on the long side"),
    ),
    published(
        id="rule 1.5h + w, 10 x 10 on legs",
        source=f"{_DEALER}: as high as wide, 25 ft",
        expected=25,
        tolerance=0.75,
        unit="ft",
        answer=partial(on_legs, 10, 10),
    ),
    published(
        id="rule 0.5h + w, 10 x 10",
        source="'How to make a balloon arch cluster' and two more pages: 15 ft",
        expected=15,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 10, 10),
        disagrees=Disagreement(
            by=0.581, because="shorter than the straight lines to the top, 22.36 ft"
        ),
    ),
    published(
        id="8 x 8 arch of 16 ft",
        source="'Balloon arch: how many people, time allowed': 8 ft tall, wider, 16 ft long",
        expected=16,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 8, 8),
        disagrees=Disagreement(
            by=0.186, because="no arch 8 ft high and 8 ft wide is under 17.9 ft"
        ),
    ),
    derived(
        id="8 x 8, above the straight lines to its top",
        source="2 sqrt(4^2 + 8^2): any such arch has at least 17.89 ft",
        expected=17.88,
        unit="ft",
        answer=partial(arch, 8, 8),
        at_least=True,
    ),
)

WIDER = (
    published(
        id="rule h + w, 16 x 8",
        source=f"{_DEALER}: wider than high, 24 ft",
        expected=24,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 16, 8),
    ),
    published(
        id="rule h + w, 16 x 8 as a half circle",
        source=f"{_DEALER}: wider than high, 24 ft",
        expected=24,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 16, 8, Shape.SEMI_ELLIPSE),
        disagrees=Disagreement(by=0.047, because="8 pi; the rule errs on the short side"),
    ),
    published(
        id="rule h + w, 30 x 20",
        source=f"{_DEALER}: wider than high, 50 ft",
        expected=50,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 30, 20),
        disagrees=Disagreement(
            by=0.063, because="50 ft are just the two straight lines to the top"
        ),
    ),
    published(
        id="rule h + w, 10 x 8",
        source=f"{_DEALER}: wider than high, 18 ft",
        expected=18,
        tolerance=0.5,
        unit="ft",
        answer=partial(arch, 10, 8),
        disagrees=Disagreement(
            by=0.115, because="the straight lines to the top alone are 18.87 ft"
        ),
    ),
)

ROWS: tuple[Row, ...] = (*TALLER, *AS_WIDE_AS_HIGH, *WIDER)
