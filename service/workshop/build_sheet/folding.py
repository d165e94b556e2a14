"""The shortest way to say a long sequence: what repeats is said once, with how often.

It knows nothing of what the sequence is made of.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

LONGEST_UNIT = 20
"""What is longer than this nobody keeps in view, so that "the same again" is no help."""

STEP = 3
"""What a step costs the reader beside what it names: to find out where it begins and how often."""

_NEVER = 1 << 60


@dataclass(frozen=True, kw_only=True, slots=True)
class Fold:
    """`unit` `times` over."""

    unit: tuple[int, ...]
    times: int


def folded(sequence: Sequence[int]) -> tuple[Fold, ...]:
    """The cheapest description of `sequence`; equal sequences have equal ones.

    A description is a row of folds, of which each costs `STEP` and the length of its unit; a unit
    that repeats has up to `LONGEST_UNIT`. Where a repeat saves nothing it is spelled out; of
    several that save as much the shortest unit is taken. Time and memory grow with the sequence
    only.
    """
    length = len(sequence)
    plain, best = [_NEVER] * (length + 1), [0] + [_NEVER] * length
    # repeated[p][i]: the cheapest description of the first i whose last fold is of period p.
    repeated = {period: [_NEVER] * (length + 1) for period in range(1, LONGEST_UNIT + 1)}
    alike = dict.fromkeys(repeated, 0)
    for end in range(1, length + 1):
        plain[end] = 1 + min(plain[end - 1], best[end - 1] + STEP)
        best[end] = plain[end]
        for period, costs in repeated.items():
            same = end > period and sequence[end - 1] == sequence[end - 1 - period]
            alike[period] = alike[period] + 1 if same else 0
            if alike[period] >= period:
                costs[end] = min(costs[end - period], best[end - 2 * period] + STEP + period)
                best[end] = min(best[end], costs[end])
    return tuple(reversed([*_traced(sequence, plain, best, repeated)]))


def _traced(
    sequence: Sequence[int],
    plain: Sequence[int],
    best: Sequence[int],
    repeated: dict[int, list[int]],
) -> Iterator[Fold]:
    """The folds from the last to the first, by what each cost came from."""
    end = len(sequence)
    while end:
        if plain[end] == best[end]:
            start = end - 1
            while plain[start] < best[start] + STEP:
                start -= 1
            yield Fold(unit=tuple(sequence[start:end]), times=1)
        else:
            period = next(p for p, costs in repeated.items() if costs[end] == best[end])
            start = end - 2 * period
            while repeated[period][start + period] < best[start] + STEP + period:
                start -= period
            times = (end - start) // period
            yield Fold(unit=tuple(sequence[start : start + period]), times=times)
        end = start
