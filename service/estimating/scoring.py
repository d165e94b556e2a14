"""How good ranges and samples were, once the outcome is known: proper scores for forecasts.

A score is lower the better and cannot be bettered by saying other than what is believed; coverage
only tells whether ranges keep their word. Gneiting & Raftery 2007, J. Am. Stat. Assoc. 102, 359.
"""

from collections.abc import Iterable, Sequence


def coverage(ranges: Iterable[tuple[float, float]], actuals: Iterable[float]) -> float:
    """The share of `actuals` that lie in their range, ends included; a range for each.

    Raises ValueError where the two differ in number or there are none.
    """
    inside = [low <= actual <= high for (low, high), actual in zip(ranges, actuals, strict=True)]
    if not inside:
        raise ValueError("give at least one actual")
    return sum(inside) / len(inside)


def pinball_loss(share: float, forecasts: Iterable[float], actuals: Iterable[float]) -> float:
    """Mean quantile score of `forecasts` of the quantile at `share` [1], in the actuals' unit.

    Koenker & Bassett 1978, Econometrica 46, 33. Raises ValueError for a share outside 0 to 1 and
    where forecasts and actuals differ in number or there are none.
    """
    _check_share(share)
    misses = [actual - forecast for forecast, actual in zip(forecasts, actuals, strict=True)]
    if not misses:
        raise ValueError("give at least one actual")
    return sum(max(share * miss, (share - 1) * miss) for miss in misses) / len(misses)


def crps(sample: Iterable[float], actual: float) -> float:
    """Continuous ranked probability score of a sample as forecast of `actual`, in its unit.

    E|X - actual| - E|X - X'| / 2 over the sample, by the sorted form of Jordan, Krüger & Lerch
    2019, J. Stat. Softw. 90 (12), which takes n log n steps. Raises ValueError for no sample.
    """
    drawn = _sorted(sample)
    size = len(drawn)
    terms = (
        (value - actual) * (size * (actual < value) - rank + 0.5)
        for rank, value in enumerate(drawn, start=1)
    )
    return 2 * sum(terms) / size**2


def quantile(sample: Iterable[float], share: float) -> float:
    """The sample's quantile at `share` [1], with straight lines between the values.

    Type 7 of Hyndman & Fan 1996, Am. Stat. 50, 361. Raises ValueError for a share outside 0 to 1
    and for no sample.
    """
    _check_share(share)
    drawn = _sorted(sample)
    place = share * (len(drawn) - 1)
    below = int(place)
    above = min(below + 1, len(drawn) - 1)
    return drawn[below] + (place - below) * (drawn[above] - drawn[below])


def _check_share(share: float) -> None:
    if not 0 <= share <= 1:
        raise ValueError(f"{share:g}: give a share from 0 to 1")


def _sorted(sample: Iterable[float]) -> Sequence[float]:
    drawn = sorted(sample)
    if not drawn:
        raise ValueError("give at least one value")
    return drawn
