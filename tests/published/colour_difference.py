"""How different two colours look, CIEDE2000, by the pairs by which its programs are checked; and
the place of a colour in OKLab.
"""

from functools import partial

import numpy as np

from bot.understanding import palettes
from bot.understanding.shading import difference
from service.rendering.picture import tones
from tests.published.row import Row, published, remembered

_Lab = tuple[float, float, float]

# By the number of the pair: two colours in CIELAB, and how different they are.
_PAIRS: dict[int, tuple[_Lab, _Lab, float]] = {
    1: ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
    2: ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
    3: ((50.0, 2.8361, -74.0200), (50.0, 0.0, -82.7485), 3.4412),
    4: ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0),
    7: ((50.0, 0.0, 0.0), (50.0, -1.0, 2.0), 2.3669),
    9: ((50.0, 2.4900, -0.0010), (50.0, -2.4900, 0.0009), 7.1792),
    11: ((50.0, 2.4900, -0.0010), (50.0, -2.4900, 0.0011), 7.2195),
    13: ((50.0, -0.0010, 2.4900), (50.0, 0.0009, -2.4900), 4.8045),
    15: ((50.0, -0.0010, 2.4900), (50.0, 0.0011, -2.4900), 4.7461),
    16: ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
    17: ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    18: ((50.0, 2.5, 0.0), (61.0, -5.0, 29.0), 22.8977),
    19: ((50.0, 2.5, 0.0), (56.0, -27.0, -3.0), 31.9030),
    20: ((50.0, 2.5, 0.0), (58.0, 24.0, 15.0), 19.4535),
    21: ((50.0, 2.5, 0.0), (50.0, 3.1736, 0.5854), 1.0),
    25: ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    26: ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    27: ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    28: ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    29: ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    30: ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    31: ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    32: ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    33: ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    34: ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
}


def _written(lab: _Lab) -> str:
    return f"color(--lab-d65 {lab[0]} {lab[1]} {lab[2]})"


_GREEN = (
    published,
    "web-platform-tests, css/css-color/oklab-001.html: green is oklab(51.975% -0.1403 0.10768)",
    (0.51975, -0.1403, 0.10768),
    (5e-6, 5e-5, 5e-6),
)
_RED = (
    remembered,
    "CSS Color 4: red is oklab(0.62796 0.22486 0.12585)",
    (0.62796, 0.22486, 0.12585),
)


def in_picture(hex_: str, axis: int) -> float:
    """A colour's place on an axis of OKLab, by what draws pictures."""
    return float(tones.oklab(tones.rgb_of(hex_))[axis])


def in_photo(hex_: str, axis: int) -> float:
    """The same by what looks at photos: of a plain one, the middle of its one colour."""
    pixel = np.array([[int(hex_[at : at + 2], 16) for at in (1, 3, 5)]], dtype=float)
    return float(palettes.oklab(pixel)[0, axis])


OKLAB = tuple(
    mark(
        id=f"{name} of {hex_}, {where}",
        source=source,
        expected=expected,
        tolerance=tolerance,
        answer=partial(answer, hex_, axis),
    )
    for hex_, (mark, source, place, exactly) in {
        "#008000": _GREEN,
        "#ff0000": (*_RED, (5e-6, 5e-6, 5e-6)),
    }.items()
    for where, answer in (("in pictures", in_picture), ("in photos", in_photo))
    for axis, (name, expected, tolerance) in enumerate(
        zip(("lightness", "a", "b"), place, exactly, strict=True)
    )
)

DIFFERENCES = tuple(
    published(
        id=f"pair {number}",
        source="Sharma, Wu and Dalal, 'The CIEDE2000 color-difference formula' 2005, table 1",
        expected=expected,
        tolerance=0.0001,
        answer=partial(difference, _written(one), _written(other)),
    )
    for number, (one, other, expected) in _PAIRS.items()
)

ROWS: tuple[Row, ...] = (*DIFFERENCES, *OKLAB)
