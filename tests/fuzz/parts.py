"""All parts, by name, and how much of each is tried in a short run and in a round of a long one."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.fuzz import api, books, life, links, pages, states, updates, uploads, words
from tests.fuzz.shop import full_shop
from tests.fuzz.tally import Tally


@dataclass(frozen=True)
class Part:
    """`run(seed, how much)`; a short run and a round of a long one try so much."""

    run: Callable[[int, int], Tally]
    short: int
    long: int


def _alone(run: Callable[..., Tally], short: int, long: int) -> Part:
    return Part(lambda seed, most: run(seed=seed, most=most), short, long)


def _in_a_shop(run: Callable[..., Tally], short: int, long: int) -> Part:
    def in_a_fresh_one(seed: int, most: int) -> Tally:
        with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            shop = full_shop(Path(folder))
            tally = run(shop, seed=seed, most=most)
            shop.close()
            return tally

    return Part(in_a_fresh_one, short, long)


PARTS: Mapping[str, Part] = {
    "words": _alone(words.understood, 25, 400),
    "uploads": _alone(uploads.reduced, 60, 800),
    "states": _alone(states.taken_up, 80, 800),
    "books": _alone(books.read, 20, 150),
    "webhook": _alone(updates.posted, 60, 300),
    "webchat": _alone(updates.chatted, 15, 150),
    "links": _in_a_shop(links.opened, 80, 400),
    "pages": _in_a_shop(pages.sent, 30, 500),
    "forms": _in_a_shop(pages.filled, 15, 300),
    "lives": _alone(life.lived, 3, 15),
}


def api_as(role: str, seed: int, *, short: bool = False) -> Tally:
    """The API as one role: its own routes a little, or all of them with everything there is."""
    extent = (
        api.Extent(seed=seed, examples=1, phases=("examples", "fuzzing"), foreign=False)
        if short
        else api.Extent(seed=seed, examples=6)
    )
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        shop = full_shop(Path(folder))
        tally = api.held_against_its_description(shop, role, extent)
        shop.close()
        return tally


def rounds(
    seed: int, roles: tuple[str, ...], parts: tuple[str, ...]
) -> Iterator[Callable[[], Tally]]:
    """One part after the other, round after round, each with a seed of its own."""
    while True:
        for name in parts:
            yield lambda name=name, seed=seed: PARTS[name].run(seed, PARTS[name].long)  # type: ignore[misc]
        for role in roles:
            yield lambda role=role, seed=seed: api_as(role, seed)  # type: ignore[misc]
        seed += 1
