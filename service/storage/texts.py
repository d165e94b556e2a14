"""The owner's own texts in SQL, and in front of all other texts wherever these are said."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from gettext import NullTranslations

from sqlalchemy import Connection, Engine, RowMapping, delete, insert, select, update

from service.leads.follow_up.texts import TEXTS, faults_of, from_braces
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
            update(t.texts).where(c.key == text.key, c.language == text.language).values(values)
        )
        if not there.rowcount:
            row = {"key": text.key, "language": text.language, **values}
            self._connection.execute(insert(t.texts).values(row))
        self._changed()

    def remove(self, key: str, language: str) -> None:
        c = t.texts.c
        self._connection.execute(delete(t.texts).where(c.key == key, c.language == language))
        self._changed()


def _text(row: RowMapping) -> OwnText:
    return OwnText(**{name: row[name] for name in ("key", "language", "text", "changed_at")})


class TextsInFront:
    """Puts the owner's own texts in front of all others, as they were at the last `refresh`."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine.execution_options(reading=True)
        self._said: Mapping[tuple[str, str], str] = {}

    def refresh(self) -> None:
        """Read them again."""
        with self._engine.connect() as connection:
            found = connection.execute(select(t.texts)).mappings().all()
        self._said = {
            (row["language"], TEXTS[row["key"]].english): from_braces(row["text"])
            for row in found
            # A text that an older version of the program knew, or filled in otherwise.
            if row["key"] in TEXTS and not faults_of(TEXTS[row["key"]], row["text"])
        }

    def find(self, language: str, english: str) -> str | None:
        """The owner's text, None where the shipped one stands."""
        return self._said.get((language, english))

    def in_front_of(self, wording: Wording) -> Wording:
        """The wording in which the owner's own texts, once they are read, come first."""
        return Wording(
            shipped=wording,
            by_language={
                language: replace(words, translations=_Front(self, language, words.translations))
                for language, words in wording.by_language.items()
            },
        )


class _Front(NullTranslations):
    """One language: the owner's own texts, then those behind them."""

    def __init__(self, own: TextsInFront, language: str, behind: NullTranslations) -> None:
        super().__init__()
        self._own = own
        self._language = language
        self.add_fallback(behind)

    def gettext(self, message: str) -> str:
        own = self._own.find(self._language, message)
        return own if own is not None else super().gettext(message)
