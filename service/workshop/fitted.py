"""How the things that go on and under a piece are said: how many, where, and how they are held."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from service.estimating import Fitting
from service.leads import words

# What stands in for wear on tools is a cost; it is the tools that come along.
_WEAR = ": wear", " wear"
_COUNTED_BY_HUNDREDS = "hundred"
_MEASURED = frozenset({"m", "ft"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Item:
    """Something that is fitted, and where and how."""

    text: str
    where: str = ""


def items_of(fittings: Iterable[Fitting]) -> Iterator[Item]:
    """Each of them; where and how is said once for those that follow one another."""
    before = ""
    for fitting in fittings:
        said = (part.rstrip(".") for part in (fitting.place, fitting.mount) if part)
        where = "".join(f"{part[:1].upper()}{part[1:]}. " for part in said).rstrip()
        text = how_many(fitting.label, fitting.unit, fitting.count)
        yield Item(text=text, where="" if where == before else where)
        before = where


def how_many(label: str, unit: str, count: int) -> str:
    """ "cord, 26 ft", "14 × clips", "pump"."""
    for wear in _WEAR:
        label = label.removesuffix(wear)
    if unit == _COUNTED_BY_HUNDREDS:
        return label
    if unit in _MEASURED:
        much, said = words.counted(Decimal(count), unit)
        return f"{label}, {much:.0f} {said}"
    return f"{count} × {label}"
