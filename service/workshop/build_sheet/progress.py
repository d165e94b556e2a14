"""Boxes to tick while something is done many times over."""

from dataclasses import dataclass

MOST = 10
"""More boxes than this in a row are counted, and no longer seen."""

_PER = (1, 5, 10, 20, 50, 100, 200, 500, 1000)


@dataclass(frozen=True, kw_only=True, slots=True)
class Boxes:
    """So many boxes, each for `per` times; the last for what is left."""

    count: int
    per: int


def boxes_for(times: int) -> Boxes:
    """At most `MOST` boxes: one each time, or one for every five, ten, twenty …"""
    per = next((per for per in _PER if times <= per * MOST), _PER[-1])
    return Boxes(count=-(-times // per), per=per)
