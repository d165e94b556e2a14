"""Notes on the places of requests, in SQL."""

from dataclasses import asdict

from sqlalchemy import Connection, insert, select, update

from service.leads.site_notes import SiteNotes, Written
from service.storage import tables as t


class SqlSites:
    """`service.leads.site_notes.Sites` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of_lead(self, lead_id: str) -> Written | None:
        query = select(t.site_notes).where(t.site_notes.c.lead_id == lead_id)
        row = self._connection.execute(query).mappings().first()
        if row is None:
            return None
        return Written(notes=SiteNotes(**row["words"]), who=row["who"], at=row["changed_at"])

    def save(self, lead_id: str, written: Written) -> None:
        values = {"words": asdict(written.notes), "who": written.who, "changed_at": written.at}
        this = t.site_notes.c.lead_id == lead_id
        changed = self._connection.execute(update(t.site_notes).where(this).values(values))
        if not changed.rowcount:
            row = {"lead_id": lead_id, **values}
            self._connection.execute(insert(t.site_notes).values(row))
