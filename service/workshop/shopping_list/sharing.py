"""Who gets which balloons: shares of pooled spares, and of what the shelf has."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from service.estimating import PriceBook, pooled_needs
from service.estimating.book import Key
from service.leads.purchases import Settled
from service.leads.serving import served
from service.workshop.shopping_list.values import Job

ByJob = Mapping[str, Mapping[Key, int]]
"""Numbers of balloons by a job's lead."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Handed:
    """What each job gets, and what it lacks all the same."""

    given: ByJob
    lacking: ByJob


def shares(jobs: Sequence[Job], service_level: float) -> ByJob:
    """What each job needs of the pool: what it places, and spares to the nearest jobs first.

    So the jobs up to an earlier day have enough as well, whatever is pooled with later ones.
    """
    spare = Counter(pooled_needs([job.takes for job in jobs], service_level))
    for job in jobs:
        spare.subtract({(line.size_class, line.colour): line.placed for line in job.takes})
    found: dict[str, dict[Key, int]] = {}
    for job in jobs:
        own = found[job.lead_id] = {}
        for line in job.takes:
            key = line.size_class, line.colour
            more = min(line.taken - line.placed, spare[key])
            own[key] = line.placed + more
            spare[key] -= more
    return found


def settled(job: Job, share: Mapping[Key, int]) -> tuple[Settled, ...]:
    """What is to be remembered of a job's share: where it is less than the job alone would take."""
    return tuple(
        Settled(size_class=key[0], colour=key[1], alone=job.alone[key], share=number)
        for key, number in share.items()
        if number < job.alone[key]
    )


def lacks(jobs: Iterable[Job], wanted: ByJob, book: PriceBook) -> ByJob:
    """What each job lacks of its share, with what it has."""
    return {
        job.lead_id: served(wanted[job.lead_id], job.has, book.shelf.stand_ins).lacking
        for job in jobs
    }


def hand_out(
    lacking: ByJob, free: Mapping[Key, int], fills: Mapping[tuple[Key, Key], int]
) -> Handed:
    """The free balloons to the jobs in order; `fills` says how many stand in for others.

    Every job gets its own kind first. (wanted, source) is how fills are named.
    """
    left, lack = Counter(free), {lead_id: Counter(each) for lead_id, each in lacking.items()}
    given: dict[str, Counter[Key]] = {lead_id: Counter() for lead_id in lacking}
    for lead_id, wanted in lack.items():
        for key in wanted:
            _give(lead_id, key, key, wanted[key], given, lack, left)
    for (key, source), most in fills.items():
        rest = most
        for lead_id, wanted in lack.items():
            rest -= _give(lead_id, key, source, min(rest, wanted[key]), given, lack, left)
    return Handed(
        given={lead_id: +each for lead_id, each in given.items()},
        lacking={lead_id: +each for lead_id, each in lack.items()},
    )


def _give(
    lead_id: str,
    wanted: Key,
    source: Key,
    most: int,
    given: dict[str, Counter[Key]],
    lack: dict[str, Counter[Key]],
    left: Counter[Key],
) -> int:
    number = max(0, min(most, left[source]))
    given[lead_id][source] += number
    lack[lead_id][wanted] -= number
    left[source] -= number
    return number
