"""Requests as lists show them, in SQL: a page takes as many look-ups as any other page."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection, exists, func, literal, select, union_all

from service.leads.finding import Cursor, Found, Listed, ListedPrice, Wanted
from service.leads.handling import REPLACED_BY
from service.leads.lead import Lead, LeadState, QuoteKind, Standing
from service.storage import tables as t
from service.storage.finding import Finder
from service.storage.leads import lead_of, number_of, seq_of

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
        found: dict[tuple[str, str], list[Lead]] = {chat: [] for chat in chats}
        for channel in {channel for channel, _ in chats}:
            names = [name for each, name in chats if each == channel]
            query = select(t.leads).where(c.channel == channel, c.chat_id.in_(names))
            rows = self._connection.execute(query).mappings().all()
            for row in sorted(rows, key=lambda row: -row["seq"]):
                found[channel, row["chat_id"]].append(lead_of(row))
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
                # Not by the index of `state`: of all quotes only the newest are looked at.
                t.leads.c.state.concat("") == LeadState.QUOTED,
                ~exists().where(newer.c.lead_id == q.lead_id, newer.c.seq > q.seq),
            )
            .order_by(q.sent_at.desc(), q.seq.desc())
            .limit(limit)
        )
        return tuple(self._rows(list(self._connection.scalars(query))))

    def counts(self, *, most: int) -> Mapping[Standing, int]:
        some = {
            each: select(t.leads.c.seq).where(t.leads.c.standing == each).limit(most).subquery()
            for each in Standing
        }
        query = union_all(
            *(
                select(literal(str(each)), func.count()).select_from(subquery)
                for each, subquery in some.items()
            )
        )
        return {Standing(each): count for each, count in self._connection.execute(query)}

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
        counts = {lead.id: _Place.of(lead) for lead in leads}
        numbers: dict[str, str] = {}
        for _ in range(_MOST_TURNS):
            lapsed = {place.id: place for place in counts.values() if place.lapsed}
            later = self._successors(lapsed)
            counts = {lead_id: later[now.id] for lead_id, now in counts.items() if now.id in later}
            if not counts:
                break
            numbers |= {lead_id: number_of(now.seq) for lead_id, now in counts.items()}
        return numbers

    def _successors(self, lapsed: Mapping[str, "_Place"]) -> Mapping[str, "_Place"]:
        c, changes = t.leads.c, t.lead_changes.c
        replaced = (
            select(changes.lead_id, changes.detail)
            .where(changes.lead_id.in_(lapsed), changes.what == REPLACED_BY)
            .order_by(changes.id)
        )
        by = {row.lead_id: str(row.detail["by"]) for row in self._connection.execute(replaced)}
        by |= {place.id: place.merged_into for place in lapsed.values() if place.merged_into}
        if not by:
            return {}
        query = select(c.id, c.seq, c.state, c.merged_into).where(c.id.in_(set(by.values())))
        found = {
            row["id"]: _Place(
                id=row["id"],
                seq=row["seq"],
                lapsed=row["state"] == LeadState.LAPSED,
                merged_into=row["merged_into"],
            )
            for row in self._connection.execute(query).mappings()
        }
        return {old: found[new] for old, new in by.items() if new in found}


@dataclass(frozen=True, kw_only=True, slots=True)
class _Place:
    """A request as far as it matters for what took its place."""

    id: str
    seq: int
    lapsed: bool
    merged_into: str | None

    @classmethod
    def of(cls, lead: Lead) -> "_Place":
        return cls(
            id=lead.id,
            seq=seq_of(lead.number),
            lapsed=lead.state is LeadState.LAPSED,
            merged_into=lead.merged_into,
        )
