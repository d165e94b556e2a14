"""The shop's own notes on leads, in SQL."""

from sqlalchemy import Connection, insert, select

from service.leads.repositories import Note
from service.storage import tables as t


class SqlNotes:
    """`service.leads.repositories.Notes` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, lead_id: str, note: Note) -> None:
        self._connection.execute(
            insert(t.lead_notes).values(lead_id=lead_id, at=note.at, who=note.who, text=note.text)
        )

    def of_lead(self, lead_id: str) -> list[Note]:
        query = (
            select(t.lead_notes)
            .where(t.lead_notes.c.lead_id == lead_id)
            .order_by(t.lead_notes.c.id)
        )
        return [
            Note(at=row["at"], who=row["who"], text=row["text"])
            for row in self._connection.execute(query).mappings()
        ]
