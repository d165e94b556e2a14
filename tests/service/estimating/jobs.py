"""Questions of a realistic size and shape: a party's balloons, bags and mixed packs on sale."""

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from service.estimating.covering import Market
from service.estimating.covering.offers import Bundle, Pack, Substitution, Terms

Key = tuple[int, str]

SIZES = {
    5: (10, 20, 50, 100),
    10: (10, 20, 50, 100),
    11: (5, 25, 100),
    16: (5, 10, 50),
    18: (5, 10, 25),
}
"""Bags on sale, by size class."""

PRICES = {5: 8, 10: 15, 11: 18, 16: 52, 18: 78}
"""Cents a piece in a large bag, about."""
COLOURS = ("white", "cream", "sand", "blush", "sage", "navy", "gold", "pearl", "red", "teal")
VENDORS = ("mill", "bridge", "harbour")


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """One question, as `Market.cheapest` takes it."""

    demands: dict[Key, int]
    packs: dict[Key, tuple[Pack, ...]]
    stock: dict[Key, int]


class Shop:
    """A market of three colour groups with some 25 bags each, and the jobs that come to it."""

    def __init__(
        self, seed: int, *, terms: bool = True, swaps: bool = True, valued: bool = True
    ) -> None:
        self._random = Random(seed)
        self._vendors = VENDORS[: self._random.randint(2, 3)]
        self._groups = [self._bags(dearer) for dearer in (1.0, 1.2, 1.6)]
        self._swaps = [*self._stand_ins()] if swaps else []
        worth = self._random.choice((0, 0, 0.4, 0.6)) if valued else 0
        self.market = Market(
            bundles=[self._kit() for _ in range(self._random.randint(3, 6))],
            vendors={name: self._terms() for name in self._vendors} if terms else {},
            substitutions=self._swaps,
            leftover_values=dict(self._values(worth)) if worth else {},
        )

    def job(self) -> Job:
        """Six to twelve demands in two to four colours."""
        colours = self._random.sample(COLOURS, self._random.randint(2, 4))
        wanted = [(size, colour) for colour in colours for size in SIZES]
        number = min(len(wanted), self._random.randint(6, 12))
        demands = {key: self._pieces(key) for key in self._random.sample(wanted, number)}
        sources = [s.source for s in self._swaps if s.wanted in demands]
        packs = {key: self._of(*key) for key in (*demands, *sources)}
        shelf = self._random.sample(wanted, self._random.randint(0, 3))
        stock = {key: self._random.randint(2, 60) for key in shelf if key in packs}
        return Job(demands=demands, packs=packs, stock=stock)

    def _values(self, share: float) -> Iterator[tuple[Key, int]]:
        for size in SIZES:
            for colour in COLOURS:
                best = min(100 * pack.cost / pack.size for pack in self._of(size, colour))
                yield (size, colour), int(share * best)

    def _pieces(self, key: Key) -> int:
        return self._random.randint(3, 24) if key[0] > 11 else self._random.randint(12, 160)

    def _of(self, size: int, colour: str) -> tuple[Pack, ...]:
        return self._groups[COLOURS.index(colour) % 3][size]

    def _bags(self, dearer: float) -> dict[int, tuple[Pack, ...]]:
        return {
            size: tuple(
                Pack(size=n, cost=self._price(PRICES[size] * dearer, n), vendor=vendor)
                for n in sizes
                for vendor in self._random.sample(self._vendors, self._random.randint(1, 2))
            )
            for size, sizes in SIZES.items()
        }

    def _price(self, rate: float, pieces: int) -> int:
        small = 1 + 0.9 / pieces**0.5
        fives: int = round(rate * pieces * small * self._random.uniform(0.9, 1.15) / 5)
        return 5 * fives

    def _terms(self) -> Terms:
        return Terms(
            delivery=self._random.choice((0, 490, 690, 890)),
            free_from=self._random.choice((None, 3900, 5900, 7500, 9900)),
            minimum=self._random.choice((0, 0, 1500, 2500, 4000)),
        )

    def _kit(self) -> Bundle[Key]:
        colours = self._random.sample(COLOURS, 3)
        keys = self._random.sample(
            [(size, c) for size in (5, 10) for c in colours], self._random.randint(3, 5)
        )
        contents = {key: self._random.choice((10, 15, 20, 25, 30)) for key in keys}
        rate = sum(n * PRICES[size] for (size, _), n in contents.items())
        cost = 10 * round(rate * self._random.uniform(0.95, 1.3) / 10)
        return Bundle(contents=contents, cost=cost, vendor=self._random.choice(self._vendors))

    def _stand_ins(self) -> list[Substitution[Key]]:
        pairs = {
            (5, 5): ("cream", "sand"),
            (10, 10): ("white", "pearl"),
            (11, 11): ("sand", "cream"),
        }
        some = [
            Substitution(
                wanted=(a, one), source=(b, other), penalty=self._random.choice((0, 1, 50))
            )
            for (a, b), (one, other) in pairs.items()
        ]
        tens = [Substitution(wanted=(10, c), source=(11, c), penalty=1) for c in COLOURS]
        return [*self._random.sample(some, 2), *(tens if self._random.random() < 0.4 else ())]
