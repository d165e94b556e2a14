"""Everything that is kept of one client, in SQL: collected, or erased."""

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from pydantic import TypeAdapter
from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Table,
    and_,
    delete,
    exists,
    func,
    insert,
    or_,
    select,
    update,
)

from service.estimating import Brief
from service.leads.clients import Consent
from service.leads.lead import Lead, LeadState, Standing
from service.storage import tables as t
from service.storage.actuals import without_words
from service.storage.chores import forget_documents_of

_LOST = (LeadState.DECLINED, LeadState.LAPSED)

# By table, with the column that says whose it is; what names a file or a secret stays here.
_OF_LEAD: Mapping[Table, tuple[str, ...]] = {
    t.quotes: ("number", "kind", "brief", "low", "likely", "high", "currency", "note",
               "lines", "created_at", "sent_at", "expires_at"),
    t.holds: ("starts_at", "ends_at", "expires_at", "state", "client", "made_at"),
    t.payments: ("kind", "amount", "currency", "paid_on", "method", "reference", "voided_at"),
    t.lead_changes: ("at", "who", "what", "detail"),
    t.lead_notes: ("at", "who", "text"),
    t.site_notes: ("words", "changed_at", "who"),
    t.acceptances: ("version", "language", "at"),
    t.consents: ("what", "version", "channel", "at"),
    t.reminders: ("kind", "due_at", "state"),
    t.actuals: ("done_on", "took", "went_wrong", "currency", "real_cost", "entered_at"),
}  # fmt: skip

# Details of a request's history that say nothing of anybody.
_WORDLESS = ("by", "kept", "returned", "fee", "amount")


class SqlClients:
    """`service.leads.clients.Clients` over a connection; `erased` is told of an erasing."""

    def __init__(self, connection: Connection, erased: Callable[[], None]) -> None:
        self._connection = connection
        self._tell_of_erasing = erased

    def same(self, lead: Lead) -> list[str]:
        if self._erased(lead.id):
            return [lead.id]
        alike = or_(
            and_(t.leads.c.channel == lead.channel, t.leads.c.chat_id == lead.chat_id),
            t.leads.c.seq.in_(self._reached_by(lead)),
        )
        query = select(t.leads.c.id, t.leads.c.client).where(alike, t.leads.c.erased_at.is_(None))
        known = _reached(lead.client.email, lead.client.phone)
        return self._with_parts(
            row.id
            for row in self._connection.execute(query)
            if self._of_chat(row.id, lead) or known & _reached(**_addresses(row.client))
        )

    def counted(self, lead_ids: Sequence[str]) -> Mapping[str, int]:
        talks = self._conversations(lead_ids)
        return {
            "messages": self._count(t.messages, t.messages.c.conversation_id.in_(talks)),
            "photos": self._count(t.photos, t.photos.c.conversation_id.in_(talks))
            + self._count(t.job_photos, t.job_photos.c.lead_id.in_(lead_ids)),
            "quotes": self._count(t.quotes, t.quotes.c.lead_id.in_(lead_ids)),
            "payments": self._count(t.payments, t.payments.c.lead_id.in_(lead_ids)),
        }

    def collected(self, lead_ids: Sequence[str]) -> Mapping[str, Any]:
        leads = select(t.leads).where(t.leads.c.id.in_(lead_ids)).order_by(t.leads.c.seq)
        found: dict[str, Any] = {"requests": [self._request(row) for row in self._rows(leads)]}
        talks = t.messages.c.conversation_id.in_(self._conversations(lead_ids))
        said = select(t.messages).where(talks)
        columns = ("at", "direction", "kind", "text", "picture", "photo_id")
        found["messages"] = [
            _plain(row, columns)
            for row in self._rows(said.order_by(t.messages.c.conversation_id, t.messages.c.seq))
        ]
        return found

    def pictures(self, lead_ids: Sequence[str]) -> Mapping[str, bytes]:
        sent = t.photos.c.conversation_id.in_(self._conversations(lead_ids))
        of_jobs = select(t.job_photos.c.id, t.job_photos.c.jpeg).where(
            t.job_photos.c.lead_id.in_(lead_ids)
        )
        query = select(t.photos.c.id, t.photos.c.jpeg).where(sent).union_all(of_jobs)
        return {row.id: row.jpeg for row in self._connection.execute(query)}

    def erase(self, lead: Lead, *, state: LeadState, brief: Brief, now: datetime) -> None:
        if self._erased(lead.id):
            return
        self._tell_of_erasing()
        self._erase_talk(lead)
        self._erase_of_lead(lead.id, now)
        self._erase_told_to_owner()
        self._do(
            update(t.leads)
            .where(t.leads.c.id == lead.id)
            .values(
                state=state,
                client={},
                brief=TypeAdapter(Brief).dump_json(brief).decode(),
                review_reasons=[],
                chat_id=lead.id,
                source=None,
                erased_at=now,
                standing=Standing.ERASED,
            )
        )
        seq = self._connection.scalar(select(t.leads.c.seq).where(t.leads.c.id == lead.id))
        self._do(delete(t.lead_terms).where(t.lead_terms.c.seq == seq))
        self._do(insert(t.lead_terms).values(seq=seq, term=lead.number.lower()))

    def over(self, *, lost_before: datetime, done_before: datetime, limit: int) -> list[str]:
        lately = exists().where(
            t.lead_changes.c.lead_id == t.leads.c.id, t.lead_changes.c.at >= lost_before
        )
        old = and_(t.leads.c.created_at < lost_before, ~lately)
        lost = and_(t.leads.c.state.in_(_LOST), old)
        day = done_before.date().isoformat()
        done = and_(t.leads.c.state == LeadState.DONE, t.leads.c.event_on < day)
        other = t.leads.alias()
        # A conversation goes as a whole: what is newer in it keeps the older there.
        wanted_still = exists().where(
            other.c.channel == t.leads.c.channel,
            other.c.chat_id == t.leads.c.chat_id,
            other.c.id != t.leads.c.id,
            other.c.erased_at.is_(None),
            or_(other.c.state.not_in((*_LOST, LeadState.DONE)), other.c.created_at >= lost_before),
        )
        query = (
            select(t.leads.c.id)
            .where(t.leads.c.erased_at.is_(None), or_(lost, done), ~wanted_still)
            .order_by(t.leads.c.seq)
            .limit(limit)
        )
        return list(self._connection.scalars(query))

    def agree(self, consent: Consent) -> None:
        self._do(
            insert(t.consents).values(
                lead_id=consent.lead_id,
                what=consent.what,
                version=consent.version,
                channel=consent.channel,
                at=consent.at,
            )
        )

    def agreed(self, lead_ids: Sequence[str]) -> list[Consent]:
        query = (
            select(t.consents).where(t.consents.c.lead_id.in_(lead_ids)).order_by(t.consents.c.id)
        )
        names = ("lead_id", "what", "version", "channel", "at")
        return [Consent(**{name: row[name] for name in names}) for row in self._rows(query)]

    def _with_parts(self, lead_ids: Iterable[str]) -> list[str]:
        """These requests, what the owner merged with them by however many steps, oldest first."""
        ids, more = set[str](), set(lead_ids)
        while more - ids:
            ids |= more
            kept = select(t.leads.c.merged_into).where(t.leads.c.id.in_(ids))
            merged = or_(t.leads.c.merged_into.in_(ids), t.leads.c.id.in_(kept))
            query = select(t.leads.c.id).where(merged, t.leads.c.erased_at.is_(None))
            more = set(self._connection.scalars(query))
        in_order = select(t.leads.c.id).where(t.leads.c.id.in_(ids)).order_by(t.leads.c.seq)
        return list(self._connection.scalars(in_order))

    def _erased(self, lead_id: str) -> bool:
        query = select(t.leads.c.erased_at).where(t.leads.c.id == lead_id)
        return self._connection.scalar(query) is not None

    def _reached_by(self, lead: Lead) -> Select[tuple[int]]:
        """Requests that a word of the e-mail address or the phone's digits lead to."""
        words = re.findall(r"[^\W_]+", (lead.client.email or "").lower())
        digits = re.sub(r"\D", "", lead.client.phone or "")[:40]
        terms = [*([max(words, key=len)[:40]] if words else []), *([digits] if digits else [])]
        return select(t.lead_terms.c.seq).where(t.lead_terms.c.term.in_(terms))

    def _of_chat(self, lead_id: str, lead: Lead) -> bool:
        query = select(t.leads.c.id).where(
            t.leads.c.id == lead_id,
            t.leads.c.channel == lead.channel,
            t.leads.c.chat_id == lead.chat_id,
        )
        return self._connection.scalar(query) is not None

    def _conversations(self, lead_ids: Sequence[str]) -> Select[tuple[int]]:
        return (
            select(t.conversations.c.id)
            .join(
                t.leads,
                and_(
                    t.leads.c.channel == t.conversations.c.channel,
                    t.leads.c.chat_id == t.conversations.c.chat_id,
                ),
            )
            .where(t.leads.c.id.in_(lead_ids))
        )

    def _request(self, row: Mapping[str, Any]) -> dict[str, Any]:
        names = ("state", "channel", "language", "client", "brief", "created_at", "source")
        request = {"number": f"G{1000 + row['seq']}", **_plain(row, names)}
        for table, columns in _OF_LEAD.items():
            query = select(table).where(table.c.lead_id == row["id"])
            request[table.name] = [_plain(each, columns) for each in self._rows(query)]
        return request

    def _erase_talk(self, lead: Lead) -> None:
        """The conversation, and what of it is still to be handed over."""
        talk = and_(
            t.conversations.c.channel == lead.channel, t.conversations.c.chat_id == lead.chat_id
        )
        # Locked, so that nobody says anything more in it meanwhile.
        found = select(t.conversations.c.id).where(talk).with_for_update()
        ids = list(self._connection.scalars(found))
        said = select(t.messages.c.id).where(t.messages.c.conversation_id.in_(ids))
        self._do(delete(t.steps).where(t.steps.c.subject_id.in_(said)))
        self._do(delete(t.messages).where(t.messages.c.conversation_id.in_(ids)))
        self._do(delete(t.photos).where(t.photos.c.conversation_id.in_(ids)))
        self._do(delete(t.conversations).where(t.conversations.c.id.in_(ids)))
        self._do(
            delete(t.inbox).where(
                t.inbox.c.channel == lead.channel, t.inbox.c.chat_id == lead.chat_id
            )
        )
        # The bot makes its keys of the chat that a request came from.
        named = t.answers.c.key.contains(lead.chat_id, autoescape=True)
        self._do(delete(t.answers).where(named))

    def _erase_of_lead(self, lead_id: str, now: datetime) -> None:
        of = {table: table.c.lead_id == lead_id for table in (*_OF_LEAD, t.quotes)}
        self._do(
            update(t.quotes)
            .where(of[t.quotes])
            .values(brief="", estimate="", note=None, lines=None, expires_at=now)
        )
        nowhere: dict[str, Any] = {"client": {}, "latitude": None, "longitude": None}
        self._do(update(t.holds).where(of[t.holds]).values(**nowhere))
        self._do(update(t.payments).where(of[t.payments]).values(reference="", method=""))
        self._erase_words_of_changes(of[t.lead_changes])
        self._do(delete(t.lead_notes).where(of[t.lead_notes]))
        self._do(delete(t.job_photos).where(t.job_photos.c.lead_id == lead_id))
        self._erase_words_of_actuals(of[t.actuals])
        self._do(delete(t.site_notes).where(of[t.site_notes]))
        self._erase_words_of_purchases(lead_id)
        forget_documents_of(self._connection, lead_id)
        owed = and_(of[t.reminders], t.reminders.c.state == "owed")
        self._do(update(t.reminders).where(owed).values(state="dropped", closed_at=now))
        links = and_(t.links.c.subject_id == lead_id, t.links.c.revoked_at.is_(None))
        self._do(update(t.links).where(links).values(revoked_at=now))
        self._do(delete(t.steps).where(t.steps.c.subject_id == lead_id))

    def _erase_words_of_changes(self, of_lead: ColumnElement[bool]) -> None:
        """Amounts and the ids of other requests stay: accounts and lists go by them."""
        for row in self._rows(select(t.lead_changes).where(of_lead)):
            kept = {name: row["detail"][name] for name in _WORDLESS if name in row["detail"]}
            if kept != row["detail"]:
                this = t.lead_changes.c.id == row["id"]
                self._do(update(t.lead_changes).where(this).values(detail=kept))

    def _erase_words_of_actuals(self, of_lead: ColumnElement[bool]) -> None:
        """What a job took stays, and what is learnt from it."""
        for row in self._rows(select(t.actuals.c.took).where(of_lead)):
            values = {"went_wrong": "", "took": without_words(row["took"])}
            self._do(update(t.actuals).where(of_lead).values(**values))

    def _erase_words_of_purchases(self, lead_id: str) -> None:
        """What was bought besides balloons may carry a client's words, such as a sign's."""
        of_it = select(t.purchase_jobs.c.purchase_id).where(t.purchase_jobs.c.lead_id == lead_id)
        besides = and_(t.purchases.c.id.in_(of_it), t.purchases.c.supplier == "")
        self._do(update(t.purchases).where(besides).values(item=""))

    def _erase_told_to_owner(self) -> None:
        """What the owner was told in their own chats, once it is there, has served its turn."""
        chats = select(t.conversations.c.id).join(
            t.owner_chats,
            and_(
                t.owner_chats.c.channel == t.conversations.c.channel,
                t.owner_chats.c.chat_id == t.conversations.c.chat_id,
            ),
        )
        owed = exists().where(t.steps.c.subject_id == t.messages.c.id, t.steps.c.state == "owed")
        self._do(
            update(t.messages)
            .where(t.messages.c.conversation_id.in_(chats), ~owed)
            .values(text="", buttons=[])
        )
        handled = exists().where(
            t.owner_chats.c.channel == t.inbox.c.channel,
            t.owner_chats.c.chat_id == t.inbox.c.chat_id,
            t.inbox.c.handled_at.is_not(None),
        )
        self._do(update(t.inbox).where(handled).values(payload={}))

    def _count(self, table: Table, condition: ColumnElement[bool]) -> int:
        return (
            self._connection.scalar(select(func.count()).select_from(table).where(condition)) or 0
        )

    def _rows(self, query: Select[Any]) -> Iterator[Mapping[str, Any]]:
        for row in self._connection.execute(query).mappings().all():
            yield dict(row)

    def _do(self, statement: Any) -> None:
        self._connection.execute(statement)


def _addresses(client: Mapping[str, Any]) -> dict[str, str | None]:
    return {"email": client.get("email"), "phone": client.get("phone")}


def _reached(email: str | None, phone: str | None) -> frozenset[str]:
    """Ways to reach somebody, comparable."""
    digits = re.sub(r"\D", "", phone or "")
    return frozenset(filter(None, ((email or "").strip().lower(), digits)))


def _plain(row: Mapping[str, Any], columns: Sequence[str]) -> dict[str, Any]:
    return {name: _json(name, row[name]) for name in columns}


def _json(name: str, value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat()
    if name == "brief" and value:
        return json.loads(value)
    return value if isinstance(value, int | list | dict) or value is None else str(value)
