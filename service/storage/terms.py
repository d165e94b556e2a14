"""Terms and who accepted them, in SQL."""

import contextlib
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from service.leads.agreements import Acceptance, Clauses, Terms
from service.leads.lead import NotFound
from service.storage import tables as t


class SqlAgreements:
    """`service.leads.agreements.Agreements`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def keep(self, terms: Terms, now: datetime) -> None:
        texts = {language: asdict(clauses) for language, clauses in terms.by_language.items()}
        # A savepoint, so that somebody else who keeps the same version takes nothing away.
        with contextlib.suppress(IntegrityError), self._connection.begin_nested():
            self._connection.execute(
                insert(t.terms).values(version=terms.version, texts=texts, since=now)
            )

    def terms(self, version: str) -> Terms:
        query = select(t.terms.c.texts).where(t.terms.c.version == version)
        texts = self._connection.execute(query).scalar_one_or_none()
        if texts is None:
            raise NotFound("There are no such terms.")
        by_language = {language: Clauses(**clauses) for language, clauses in texts.items()}
        return Terms(version=version, by_language=by_language)

    def accept(self, lead_id: str, acceptance: Acceptance) -> None:
        self._connection.execute(
            insert(t.acceptances).values(
                lead_id=lead_id,
                version=acceptance.version,
                language=acceptance.language,
                at=acceptance.at,
            )
        )

    def accepted(self, lead_id: str) -> Acceptance | None:
        query = (
            select(t.acceptances)
            .where(t.acceptances.c.lead_id == lead_id)
            .order_by(t.acceptances.c.id.desc())
            .limit(1)
        )
        row = self._connection.execute(query).mappings().first()
        if row is None:
            return None
        return Acceptance(version=row["version"], language=row["language"], at=row["at"])
