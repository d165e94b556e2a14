"""Which of the balloons that a job has serve those that it needs."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from service.leads.stock import Key


@dataclass(frozen=True, kw_only=True, slots=True)
class Served:
    """What is still lacking of what is needed, and what is there beyond it; without zeros."""

    lacking: Mapping[Key, int]
    idle: Mapping[Key, int]


def served(
    needed: Mapping[Key, int], there: Mapping[Key, int], stand_ins: Callable[[Key], Sequence[Key]]
) -> Served:
    """What is needed, taken from what is there: each by its own first, then by its stand-ins.

    Who has the fewest stand-ins to choose from chooses first.
    """
    lacking = {key: short for key, n in needed.items() if (short := n - there.get(key, 0)) > 0}
    idle = {key: rest for key, n in there.items() if (rest := n - needed.get(key, 0)) > 0}
    sources = {key: [each for each in stand_ins(key) if each in idle] for key in lacking}
    for key in sorted(lacking, key=lambda each: (len(sources[each]), each)):
        for source in sources[key]:
            taken = min(lacking[key], idle[source])
            lacking[key] -= taken
            idle[source] -= taken
    return Served(lacking=_some(lacking), idle=_some(idle))


def _some(counts: Mapping[Key, int]) -> dict[Key, int]:
    return {key: n for key, n in counts.items() if n}
