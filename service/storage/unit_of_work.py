"""One transaction over all repositories, and what follows its commit."""

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from datetime import datetime
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine

from service.leads.steps import Step
from service.storage.actuals import SqlFinishedJobs
from service.storage.calibrations import SqlCalibrationVersions
from service.storage.chores import SqlChores
from service.storage.clients import SqlClients
from service.storage.closed import SqlClosedTimes
from service.storage.database import turn_to_write
from service.storage.exporting import SqlExports
from service.storage.feeds import SqlFeeds
from service.storage.figures import SqlFigures
from service.storage.holds import SqlHolds
from service.storage.inbox import SqlInbox
from service.storage.leads import SqlLeads, SqlQuotes
from service.storage.links import SqlLinks
from service.storage.listing import SqlListing
from service.storage.notes import SqlNotes
from service.storage.outbox import SqlAnswers, SqlOutbox
from service.storage.owner_chats import SqlOwnerChats
from service.storage.past import SqlPast
from service.storage.payments import SqlPayments
from service.storage.people import SqlPeople
from service.storage.purchases import SqlPurchases
from service.storage.reminders import SqlReminders
from service.storage.site_notes import SqlSites
from service.storage.stock import SqlStock
from service.storage.talk import SqlChats
from service.storage.terms import SqlAgreements
from service.storage.texts import SqlOwnTexts
from service.storage.wiping import wipe


class SqlUnitOfWork:
    """`service.leads.ports.UnitOfWork`.

    `queue_steps` and `wake` are called after a commit only: a worker must never hear of a
    step that a rollback then takes away.
    """

    def __init__(
        self,
        engine: Engine,
        *,
        reading: bool,
        clock: Callable[[], datetime],
        queue_steps: Callable[[Sequence[Step]], object],
        wake: Callable[[str, str], None],
        texts_changed: Callable[[], object],
        calibrations_changed: Callable[[], object],
    ) -> None:
        self._engine = engine.execution_options(reading=reading)
        self._turn = ExitStack()
        self._reading = reading
        self._clock = clock
        self._queue_steps = queue_steps
        self._wake = wake
        self._tell_of_texts = texts_changed
        self._texts_changed = False
        self._tell_of_calibrations = calibrations_changed
        self._calibrations_changed = False
        self._erased = False
        self._steps: list[Step] = []
        self._touched: set[tuple[str, str]] = set()
        self._connection: Connection

    def __enter__(self) -> Self:
        with ExitStack() as turn:
            if not self._reading:
                turn.enter_context(turn_to_write(self._engine))
            self._connection = self._engine.connect()
            self._connection.begin()
            self._turn = turn.pop_all()
        self.leads = SqlLeads(self._connection)
        self.listing = SqlListing(self._connection)
        self.figures = SqlFigures(self._connection)
        self.exports = SqlExports(self._connection)
        self.quotes = SqlQuotes(self._connection)
        self.links = SqlLinks(self._connection, self._clock())
        self.holds = SqlHolds(self._connection)
        self.closed = SqlClosedTimes(self._connection)
        self.chats = SqlChats(self._connection, lambda *chat: self._touched.add(chat))
        self.inbox = SqlInbox(self._connection)
        self.outbox = SqlOutbox(self._connection, self._steps.append)
        self.answers = SqlAnswers(self._connection)
        self.people = SqlPeople(self._connection)
        self.owner_chats = SqlOwnerChats(self._connection)
        self.notes = SqlNotes(self._connection)
        self.stock = SqlStock(self._connection)
        self.purchases = SqlPurchases(self._connection)
        self.calibrations = SqlCalibrationVersions(self._connection, self._note_calibrations)
        self.past = SqlPast(self._connection)
        self.clients = SqlClients(self._connection, self._note_erasing)
        self.payments = SqlPayments(self._connection)
        self.agreements = SqlAgreements(self._connection)
        self.feeds = SqlFeeds(self._connection)
        self.reminders = SqlReminders(self._connection)
        self.chores = SqlChores(self._connection)
        self.sites = SqlSites(self._connection)
        self.texts = SqlOwnTexts(self._connection, self._note_texts)
        self.actuals = SqlFinishedJobs(self._connection)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._connection.close()
        self._turn.close()

    def commit(self) -> None:
        self._connection.commit()
        self._turn.close()
        if self._steps:
            self._queue_steps(tuple(self._steps))
            self._steps.clear()
        for channel, chat_id in self._touched:
            self._wake(channel, chat_id)
        self._touched.clear()
        if self._texts_changed:
            self._tell_of_texts()
            self._texts_changed = False
        if self._calibrations_changed:
            self._tell_of_calibrations()
            self._calibrations_changed = False
        if self._erased:
            self._erased = False
            wipe(self._engine)

    def _note_erasing(self) -> None:
        self._erased = True

    def _note_texts(self) -> None:
        self._texts_changed = True

    def _note_calibrations(self) -> None:
        self._calibrations_changed = True
