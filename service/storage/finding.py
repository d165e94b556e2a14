"""Which requests fit a search, in SQL: of all there are, about as many are read as are shown."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    and_,
    exists,
    func,
    literal,
    or_,
    select,
    tuple_,
    union_all,
)

from service.leads.finding import Cursor, Wanted, Word
from service.leads.lead import LeadState
from service.storage import tables as t

# A word that so many requests have is not looked up first: it is looked for on the way down from
# the newest, where it is soon found often enough.
_COMMON = 2_000

# So many words with the same beginning are looked up one by one.
_FEW = 16

# No request has so high a number.
_BEYOND = 2**31 - 1


class Finder:
    """Finds the places of what is wanted, a page at a time."""

    def __init__(self, connection: Connection, wanted: Wanted) -> None:
        self._connection = connection
        self._wanted = wanted

    def keys(self, after: Cursor | None, limit: int) -> list[Cursor]:
        """The next places, in the order of the list."""
        if self._wanted.words:
            return self._search(after, limit)
        if self._wanted.by_day:
            return self._by_day(after, limit)
        return self._newest(select(t.leads.c.seq).where(*_fitting(self._wanted)), after, limit)

    def _by_day(self, after: Cursor | None, limit: int) -> list[Cursor]:
        c = t.leads.c
        beyond = [] if after is None else [tuple_(c.event_on, c.seq) > (after.day, after.seq)]
        query = (
            select(c.seq, c.event_on)
            .where(*_fitting(self._wanted), *beyond)
            .order_by(c.event_on, c.seq)
            .limit(limit)
        )
        return [Cursor(seq=seq, day=day) for seq, day in self._connection.execute(query)]

    def _search(self, after: Cursor | None, limit: int) -> list[Cursor]:
        sought = sorted(
            (_Sought(word=word, count=self._count(word)) for word in self._wanted.words),
            key=lambda each: each.count,
        )
        if not sought[0].count:
            return []
        first = self._first(sought)
        if first is None:
            query = select(t.leads.c.seq).where(*_fitting(self._wanted))
            query = query.where(*_with_words(t.leads.c.seq, self._wanted.words))
            return self._newest(query, after, limit)
        others = [each.word for each in sought if each.word is not first.word]
        return self._looked_up(first, others, after, limit)

    def _first(self, sought: Sequence["_Sought"]) -> "_First | None":
        """The word to look up first, and how; none where all are found on the way down."""
        rarest = sought[0]
        if not rarest.word.begins:
            return _First(word=rarest.word, ways=_ways(rarest.word))
        if rarest.count <= _COMMON:
            # Not by the index of `seq`, whatever the database thinks: few have the word.
            return _First(word=rarest.word, ways=_ways(rarest.word), seq=t.lead_terms.c.seq + 0)
        terms = self._terms(rarest.word)
        if len(terms) <= _FEW:
            return _First(word=rarest.word, ways=[t.lead_terms.c.term == term for term in terms])
        exact = next((each.word for each in sought if not each.word.begins), None)
        return None if exact is None else _First(word=exact, ways=_ways(exact))

    def _looked_up(
        self, first: "_First", others: Sequence[Word], after: Cursor | None, limit: int
    ) -> list[Cursor]:
        seq = t.lead_terms.c.seq
        query = select(seq).where(*_with_words(seq, others), *_of_leads(self._wanted)).group_by(seq)
        arms = (
            _down(query.where(way), first.seq, after).limit(limit).subquery() for way in first.ways
        )
        found = union_all(*map(select, arms)).subquery()
        return self._newest(select(found.c.seq).distinct(), after, limit)

    def _newest(self, query: Select[Any], after: Cursor | None, limit: int) -> list[Cursor]:
        (seq,) = query.selected_columns
        ordered = _down(query, seq, after).limit(limit)
        return [Cursor(seq=found) for found in self._connection.scalars(ordered)]

    def _count(self, word: Word) -> int:
        """How many requests have it; beyond what makes it common, only that they are more."""
        one = select(literal(1)).select_from(t.lead_terms).limit(_COMMON + 1)
        some = union_all(*(select(one.where(way).subquery()) for way in _ways(word))).subquery()
        return self._connection.execute(select(func.count()).select_from(some)).scalar_one()

    def _terms(self, word: Word) -> list[str]:
        """The terms that begin so; beyond a few, only that they are more."""
        found: list[str] = []
        for spelling in word.spellings:
            found += self._connection.scalars(_distinct_terms(spelling))
        return found


@dataclass(frozen=True, kw_only=True, slots=True)
class _Sought:
    word: Word
    count: int


@dataclass(frozen=True, kw_only=True, slots=True)
class _First:
    """The word that is looked up: one query for each way, in the order of `seq`."""

    word: Word
    ways: Sequence[ColumnElement[bool]]
    seq: ColumnElement[int] = t.lead_terms.c.seq


def _down(query: Select[Any], seq: ColumnElement[int], after: Cursor | None) -> Select[Any]:
    return query.where(seq < (_BEYOND if after is None else after.seq)).order_by(seq.desc())


def _fitting(wanted: Wanted) -> list[ColumnElement[bool]]:
    c = t.leads.c
    fitting: list[ColumnElement[bool]] = []
    if wanted.state is not None:
        fitting.append(c.state == wanted.state)
    if wanted.standing is not None:
        fitting.append(c.standing == wanted.standing)
    if wanted.since is not None:
        fitting.append(c.event_on >= wanted.since.isoformat())
    if wanted.until is not None:
        fitting.append(c.event_on <= wanted.until.isoformat())
    if wanted.untold:
        told = exists().where(t.actuals.c.lead_id == c.id)
        fitting += [c.state == LeadState.DONE, c.erased_at.is_(None), ~told]
    return fitting


def _of_leads(wanted: Wanted) -> list[ColumnElement[bool]]:
    fitting = _fitting(wanted)
    return [exists().where(t.leads.c.seq == t.lead_terms.c.seq, *fitting)] if fitting else []


def _with_words(seq: ColumnElement[int], words: Iterable[Word]) -> list[ColumnElement[bool]]:
    terms = t.lead_terms.alias()
    return [exists().where(terms.c.seq == seq, or_(*_ways(word, terms.c.term))) for word in words]


def _ways(word: Word, term: ColumnElement[str] = t.lead_terms.c.term) -> list[ColumnElement[bool]]:
    """One condition for each spelling, so that each is a look-up in the index."""
    if not word.begins:
        return [term == each for each in word.spellings]
    return [and_(term >= each, term < _beyond(each)) for each in word.spellings]


def _beyond(beginning: str) -> str:
    """The first text after all that begin so."""
    return beginning[:-1] + chr(ord(beginning[-1]) + 1)


def _distinct_terms(beginning: str) -> Select[tuple[str]]:
    term, end = t.lead_terms.c.term, _beyond(beginning)
    first = select(func.min(term).label("term"), literal(1).label("turn"))
    steps = first.where(term >= beginning, term < end).cte("steps", recursive=True)
    later = select(func.min(term)).where(term > steps.c.term, term < end).scalar_subquery()
    steps = steps.union_all(
        select(later, steps.c.turn + 1).where(steps.c.term.is_not(None), steps.c.turn <= _FEW)
    )
    return select(steps.c.term).where(steps.c.term.is_not(None))
