"""Requests as lists show them, in SQL: a page takes as many look-ups as any other page."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from sqlalchemy import Connection, and_, exists, func, literal, select, tuple_, union_all

from service.leads.finding import Cursor, Found, Listed, ListedPrice, Wanted
from service.leads.handling import REPLACED_BY
from service.leads.lead import Lead, LeadState, QuoteKind
from service.storage import tables as t
from service.storage.finding import Finder
from service.storage.leads import lead_of, number_of

# A request that took a request's place can have been replaced in its turn, and so on.
_MOST_TURNS = 20


class SqlListing:
    """`service.leads.finding.Listing` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def find(self, wanted: Wanted, *, after: Cursor | None, limit: int) -> Found:
        keys = Finder(self._connection, wanted).keys(after, limit + 1)
        page = keys[:limit]
        last = page[-1] if len(keys) > limit else None
        return Found(
            rows=tuple(self._rows([key.seq for key in page])),
            next=None if last is None else str(last),
        )

    def listed(self, lead_ids: Sequence[str]) -> tuple[Listed, ...]:
        query = select(t.leads.c.seq, t.leads.c.id).where(t.leads.c.id.in_(lead_ids))
        seqs = {row.id: row.seq for row in self._connection.execute(query)}
        return tuple(self._rows([seqs[each] for each in lead_ids if each in seqs]))

    def of_chats(self, chats: Sequence[tuple[str, str]]) -> Mapping[tuple[str, str], list[Lead]]:
        c = t.leads.c
        query = (
            select(t.leads).where(tuple_(c.channel, c.chat_id).in_(chats)).order_by(c.seq.desc())
        )
        found: dict[tuple[str, str], list[Lead]] = {chat: [] for chat in chats}
        for row in self._connection.execute(query).mappings():
            found[row["channel"], row["chat_id"]].append(lead_of(row))
        return found

    def waiting(self, *, today: date, limit: int) -> tuple[Listed, ...]:
        c, day = t.leads.c, today.isoformat()
        in_review = select(c.seq).where(c.state == LeadState.REVIEW)
        seqs: list[int] = []
        for query in (
            in_review.where(c.event_on >= day).order_by(c.event_on, c.seq),
            in_review.where(c.event_on.is_(None)).order_by(c.seq),
            in_review.where(c.event_on < day).order_by(c.event_on.desc(), c.seq.desc()),
        ):
            if len(seqs) < limit:
                seqs += self._connection.scalars(query.limit(limit - len(seqs)))
        return tuple(self._rows(seqs))

    def unanswered(self, *, since: datetime, limit: int) -> tuple[Listed, ...]:
        q, newer = t.quotes.c, t.quotes.alias("newer")
        query = (
            select(t.leads.c.seq)
            .join_from(t.quotes, t.leads, q.lead_id == t.leads.c.id)
            .where(
                q.sent_at >= since,
                t.leads.c.state == LeadState.QUOTED,
                ~exists().where(newer.c.lead_id == q.lead_id, newer.c.seq > q.seq),
            )
            .order_by(q.sent_at.desc(), q.seq.desc())
            .limit(limit)
        )
        return tuple(self._rows(list(self._connection.scalars(query))))

    def counts(self, *, most: int) -> Mapping[LeadState, int]:
        some = {
            state: select(t.leads.c.seq).where(t.leads.c.state == state).limit(most).subquery()
            for state in LeadState
        }
        query = union_all(
            *(
                select(literal(str(state)), func.count()).select_from(subquery)
                for state, subquery in some.items()
            )
        )
        return {LeadState(state): count for state, count in self._connection.execute(query)}

    def _rows(self, seqs: Sequence[int]) -> Iterable[Listed]:
        query = select(t.leads).where(t.leads.c.seq.in_(seqs))
        rows = {row["seq"]: row for row in self._connection.execute(query).mappings()}
        leads = [lead_of(rows[seq]) for seq in seqs]
        prices = self._prices([lead.id for lead in leads])
        newer = self._newer(leads)
        for lead in leads:
            yield Listed(lead=lead, price=prices.get(lead.id), newer=newer.get(lead.id))

    def _prices(self, lead_ids: Sequence[str]) -> Mapping[str, ListedPrice]:
        c = t.quotes.c
        newest = select(func.max(c.seq)).where(c.lead_id.in_(lead_ids)).group_by(c.lead_id)
        columns = (c.number, c.kind, c.low, c.likely, c.high, c.currency, c.sent_at, c.expires_at)
        query = select(c.lead_id, *columns).where(c.seq.in_(newest))
        found = {}
        for row in self._connection.execute(query).mappings():
            values = dict(row)
            lead_id = values.pop("lead_id")
            found[lead_id] = ListedPrice(**values | {"kind": QuoteKind(row["kind"])})
        return found

    def _newer(self, leads: Sequence[Lead]) -> Mapping[str, str]:
        """Of those whose place was taken: the number of the request that counts now."""
        places = {lead.id: lead.id for lead in leads if lead.state is LeadState.LAPSED}
        numbers: dict[str, str] = {}
        for _ in range(_MOST_TURNS):
            later = self._successors(set(places.values()))
            if not later:
                break
            numbers |= {place: later[now][1] for place, now in places.items() if now in later}
            places = {place: later[now][0] for place, now in places.items() if now in later}
        return numbers

    def _successors(self, lead_ids: Iterable[str]) -> Mapping[str, tuple[str, str]]:
        c, changes = t.leads.c, t.lead_changes.c
        lapsed = and_(c.id.in_(lead_ids), c.state == LeadState.LAPSED)
        replaced = (
            select(changes.lead_id, changes.detail)
            .join_from(t.lead_changes, t.leads, changes.lead_id == c.id)
            .where(lapsed, changes.what == REPLACED_BY)
            .order_by(changes.id)
        )
        by = {row.lead_id: str(row.detail["by"]) for row in self._connection.execute(replaced)}
        merged = select(c.id, c.merged_into).where(lapsed, c.merged_into.is_not(None))
        by |= {row.id: row.merged_into for row in self._connection.execute(merged)}
        if not by:
            return {}
        named = select(c.id, c.seq).where(c.id.in_(set(by.values())))
        seqs = {row.id: row.seq for row in self._connection.execute(named)}
        return {old: (new, number_of(seqs[new])) for old, new in by.items() if new in seqs}
