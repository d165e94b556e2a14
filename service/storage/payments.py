"""Payments in SQL."""

from datetime import date, datetime

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    and_,
    case,
    exists,
    false,
    func,
    insert,
    literal,
    select,
    true,
    union_all,
    update,
)

from service.leads.accounts import FEE
from service.leads.lead import LeadState
from service.leads.payments import Payment, PaymentKind
from service.storage import tables as t
from service.storage.types import in_cents

_CAME_TO_NOTHING = (LeadState.DECLINED, LeadState.LAPSED, LeadState.QUOTED)


class SqlPayments:
    """`service.leads.payments.Payments`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, payment: Payment) -> None:
        self._connection.execute(
            insert(t.payments).values(
                id=payment.id,
                lead_id=payment.lead_id,
                kind=payment.kind,
                amount=payment.amount,
                currency=payment.currency,
                paid_on=payment.paid_on.isoformat(),
                method=payment.method,
                reference=payment.reference,
                recorded_at=payment.recorded_at,
                recorded_by=payment.recorded_by,
            )
        )

    def find(self, payment_id: str) -> Payment | None:
        query = select(t.payments).where(t.payments.c.id == payment_id)
        row = self._connection.execute(query).mappings().first()
        return None if row is None else _payment(row)

    def of_lead(self, lead_id: str) -> list[Payment]:
        query = (
            select(t.payments)
            .where(t.payments.c.lead_id == lead_id)
            .order_by(t.payments.c.recorded_at, t.payments.c.id)
        )
        return [_payment(row) for row in self._connection.execute(query).mappings()]

    def void(self, payment_id: str, now: datetime) -> None:
        self._connection.execute(
            update(t.payments)
            .where(t.payments.c.id == payment_id, t.payments.c.voided_at.is_(None))
            .values(voided_at=now)
        )

    def to_settle(self, *, since: date, until: date | None = None) -> list[str]:
        leads = t.leads.c
        paid = exists().where(t.payments.c.lead_id == leads.id, t.payments.c.voided_at.is_(None))
        to_nothing = and_(leads.state.in_(_CAME_TO_NOTHING), paid)
        booked = leads.state == LeadState.BOOKED
        done = and_(
            leads.state == LeadState.DONE,
            leads.event_on >= since.isoformat(),
            ~self._settled(),
        )
        early = true() if until is None else func.coalesce(leads.event_on, "") <= until.isoformat()
        arms = (
            select(leads.id, literal(rank).label("rank"), leads.event_on).where(early, which)
            for rank, which in ((0, to_nothing), (1, booked), (1, done))
        )
        found = union_all(*arms).subquery().c
        query = select(found.id).order_by(found.rank, found.event_on.desc(), found.id)
        return list(self._connection.scalars(query))

    def _settled(self) -> ColumnElement[bool]:
        """Whether what came is the price, tax in it, and no fee was charged.

        Of other jobs the account is made up: to do so for all would take too long.
        """
        lead, p, q, changes = t.leads.c, t.payments.c, t.quotes.c, t.lead_changes.c
        sqlite = self._connection.dialect.name == "sqlite"
        amount = in_cents(p.amount, sqlite=sqlite)
        signed = case(
            (p.kind == PaymentKind.GIFT, 0), (p.kind == PaymentKind.REFUND, -amount), else_=amount
        )
        came = select(func.sum(signed)).where(p.lead_id == lead.id, p.voided_at.is_(None))
        price = (
            select(in_cents(q.likely, sqlite=sqlite))
            .where(q.lead_id == lead.id, q.sent_at.is_not(None))
            .order_by(q.seq.desc())
            .limit(1)
        )
        taxed = exists().where(q.lead_id == lead.id, q.before_tax != q.likely)
        fee = exists().where(
            changes.lead_id == lead.id, changes.detail[FEE].as_string().is_not(None)
        )
        same = (
            came.correlate(t.leads).scalar_subquery() == price.correlate(t.leads).scalar_subquery()
        )
        return func.coalesce(and_(same, taxed, ~fee), false())


def _payment(row: RowMapping) -> Payment:
    return Payment(
        id=row["id"],
        lead_id=row["lead_id"],
        kind=PaymentKind(row["kind"]),
        amount=row["amount"],
        currency=row["currency"],
        paid_on=date.fromisoformat(row["paid_on"]),
        method=row["method"],
        reference=row["reference"],
        recorded_at=row["recorded_at"],
        recorded_by=row["recorded_by"],
        voided_at=row["voided_at"],
    )
