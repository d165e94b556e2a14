"""Purchases in SQL."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, delete, func, insert, select, update

from service.estimating.book import Holding
from service.leads.purchases import ForJob, Purchase, Settled
from service.storage import tables as t

_P, _J = t.purchases.c, t.purchase_jobs.c


class SqlPurchases:
    """`service.leads.purchases.Purchases` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, purchase: Purchase) -> None:
        row = {
            "id": purchase.id,
            "supplier": purchase.supplier,
            "item": purchase.item,
            "contents": [[h.size_class, h.colour, h.count] for h in purchase.contents],
            "currency": purchase.currency,
            "bought_at": purchase.bought_at,
            "who": purchase.who,
        }
        self._connection.execute(insert(t.purchases).values(**row, **_changing(purchase)))
        self._add_jobs(purchase)

    def find(self, purchase_id: str, *, lock: bool = False) -> Purchase | None:
        query = select(t.purchases).where(_P.id == purchase_id)
        found = self._read(query.with_for_update() if lock else query)
        return found[0] if found else None

    def save(self, purchase: Purchase) -> None:
        changed = update(t.purchases).where(_P.id == purchase.id).values(**_changing(purchase))
        self._connection.execute(changed)
        self._connection.execute(delete(t.purchase_jobs).where(_J.purchase_id == purchase.id))
        self._add_jobs(purchase)

    def of_leads(self, lead_ids: Collection[str]) -> list[Purchase]:
        of_them = select(_J.purchase_id).where(_J.lead_id.in_(lead_ids))
        return self._read(
            select(t.purchases)
            .where(_P.id.in_(of_them), _P.undone_at.is_(None))
            .order_by(_P.bought_at, _P.id)
        )

    def lately(self, *, limit: int) -> list[Purchase]:
        return self._read(
            select(t.purchases)
            .where(_P.undone_at.is_(None))
            .order_by(_P.bought_at.desc(), _P.id)
            .limit(limit)
        )

    def times(self) -> Mapping[tuple[str, str], int]:
        query = select(_P.supplier, _P.item, func.count()).group_by(_P.supplier, _P.item)
        return {(supplier, item): n for supplier, item, n in self._connection.execute(query)}

    def _add_jobs(self, purchase: Purchase) -> None:
        rows = [
            {
                "purchase_id": purchase.id,
                "lead_id": job.lead_id,
                "count": job.count,
                "settled": [[s.size_class, s.colour, s.alone, s.share] for s in job.settled],
            }
            for job in purchase.jobs
        ]
        if rows:
            self._connection.execute(insert(t.purchase_jobs), rows)

    def _read(self, query: Select[Any]) -> list[Purchase]:
        rows = self._connection.execute(query).mappings().all()
        jobs = self._jobs([row["id"] for row in rows])
        return [_purchase(row, jobs.get(row["id"], [])) for row in rows]

    def _jobs(self, ids: Sequence[str]) -> dict[str, list[ForJob]]:
        query = select(t.purchase_jobs).where(_J.purchase_id.in_(ids)).order_by(_J.lead_id)
        found: dict[str, list[ForJob]] = {}
        for row in self._connection.execute(query).mappings():
            settled = tuple(
                Settled(size_class=size, colour=colour, alone=alone, share=share)
                for size, colour, alone, share in row["settled"]
            )
            job = ForJob(lead_id=row["lead_id"], count=row["count"], settled=settled)
            found.setdefault(row["purchase_id"], []).append(job)
        return found


def _changing(purchase: Purchase) -> dict[str, object]:
    return {
        "packs": purchase.packs,
        "cost": purchase.cost,
        "undone_at": purchase.undone_at,
    }


def _purchase(row: RowMapping, jobs: Sequence[ForJob]) -> Purchase:
    return Purchase(
        id=row["id"],
        supplier=row["supplier"],
        item=row["item"],
        contents=tuple(
            Holding(size_class=size, colour=colour, count=count)
            for size, colour, count in row["contents"]
        ),
        packs=row["packs"],
        cost=row["cost"],
        currency=row["currency"],
        bought_at=row["bought_at"],
        who=row["who"],
        jobs=tuple(jobs),
        undone_at=row["undone_at"],
    )
