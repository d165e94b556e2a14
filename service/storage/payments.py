"""Payments in SQL."""

from datetime import date, datetime

from sqlalchemy import Connection, RowMapping, insert, select, union, update

from service.leads.lead import LeadState
from service.leads.payments import Payment, PaymentKind
from service.storage import tables as t

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

    def to_settle(self, *, since: date) -> list[str]:
        leads = t.leads.c
        booked = select(leads.id).where(leads.state == LeadState.BOOKED)
        done = select(leads.id).where(
            leads.state == LeadState.DONE, leads.event_on >= since.isoformat()
        )
        paid = (
            select(leads.id)
            .join(t.payments, t.payments.c.lead_id == leads.id)
            .where(leads.state.in_(_CAME_TO_NOTHING), t.payments.c.voided_at.is_(None))
        )
        return sorted(self._connection.scalars(union(booked, done, paid)))


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
