"""The owner's own texts in SQL, and in front of all other texts wherever these are said."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from gettext import NullTranslations

from sqlalchemy import Connection, Engine, RowMapping, delete, insert, select, update

from service.leads.own_texts import OwnText
from service.leads.words import Wording
from service.storage import tables as t


class SqlOwnTexts:
    """`service.leads.own_texts.OwnTexts`."""

    def __init__(self, connection: Connection, changed: Callable[[], object]) -> None:
        self._connection = connection
        self._changed = changed

    def every(self) -> Mapping[tuple[str, str], OwnText]:
        rows = self._connection.execute(select(t.texts)).mappings()
        return {(row["key"], row["language"]): _text(row) for row in rows}

    def put(self, text: OwnText) -> None:
        c = t.texts.c
        values = {"text": text.text, "changed_at": text.changed_at}
        there = self._connection.execute(
            update(t.texts)
            .where(c.key == text.key, c.language == text.language)
            .values(values)
        )
        if not there.rowcount:
            row = {"key": text.key, "language": text.language, **values}
            self._connection.execute(insert(t.texts).values(row))

    def remove(self, key: str, language: str) -> None:
        c = t.texts.c
        self._connection.execute(delete(t.texts).where(c.key == key, c.language == language))


def _text(row: RowMapping) -> OwnText:
    return OwnText(**{name: row[name] for name in ("key", "language", "text", "changed_at")})
