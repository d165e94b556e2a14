"""One transaction over all repositories, and what follows its commit."""

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from datetime import datetime
from functools import cached_property
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

    What a `passing` one has committed outlives the process, but maybe not a power failure.
    `queue_steps` and `wake` are called after a commit only: a worker must never hear of a
    step that a rollback then takes away.
    """

    def __init__(
        self,
        engine: Engine,
        *,
        reading: bool,
        passing: bool = False,
        clock: Callable[[], datetime],
        queue_steps: Callable[[Sequence[Step]], object],
        wake: Callable[[str, str], None],
        texts_changed: Callable[[], object],
        calibrations_changed: Callable[[], object],
    ) -> None:
        self._engine = engine.execution_options(reading=reading, passing=passing)
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
        # First those who wait for what was said.
        for channel, chat_id in self._touched:
            self._wake(channel, chat_id)
        self._touched.clear()
        if self._steps:
            self._queue_steps(tuple(self._steps))
            self._steps.clear()
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

    # Each made when it is asked for: a transaction needs few of them.

    @cached_property
    def leads(self) -> SqlLeads:
        return SqlLeads(self._connection)

    @cached_property
    def listing(self) -> SqlListing:
        return SqlListing(self._connection)

    @cached_property
    def figures(self) -> SqlFigures:
        return SqlFigures(self._connection)

    @cached_property
    def exports(self) -> SqlExports:
        return SqlExports(self._connection)

    @cached_property
    def quotes(self) -> SqlQuotes:
        return SqlQuotes(self._connection)

    @cached_property
    def links(self) -> SqlLinks:
        return SqlLinks(self._connection, self._clock())

    @cached_property
    def holds(self) -> SqlHolds:
        return SqlHolds(self._connection)

    @cached_property
    def closed(self) -> SqlClosedTimes:
        return SqlClosedTimes(self._connection)

    @cached_property
    def chats(self) -> SqlChats:
        return SqlChats(self._connection, lambda *chat: self._touched.add(chat))

    @cached_property
    def inbox(self) -> SqlInbox:
        return SqlInbox(self._connection)

    @cached_property
    def outbox(self) -> SqlOutbox:
        return SqlOutbox(self._connection, self._steps.append)

    @cached_property
    def answers(self) -> SqlAnswers:
        return SqlAnswers(self._connection)

    @cached_property
    def people(self) -> SqlPeople:
        return SqlPeople(self._connection)

    @cached_property
    def owner_chats(self) -> SqlOwnerChats:
        return SqlOwnerChats(self._connection)

    @cached_property
    def notes(self) -> SqlNotes:
        return SqlNotes(self._connection)

    @cached_property
    def stock(self) -> SqlStock:
        return SqlStock(self._connection)

    @cached_property
    def purchases(self) -> SqlPurchases:
        return SqlPurchases(self._connection)

    @cached_property
    def calibrations(self) -> SqlCalibrationVersions:
        return SqlCalibrationVersions(self._connection, self._note_calibrations)

    @cached_property
    def past(self) -> SqlPast:
        return SqlPast(self._connection)

    @cached_property
    def clients(self) -> SqlClients:
        return SqlClients(self._connection, self._note_erasing)

    @cached_property
    def payments(self) -> SqlPayments:
        return SqlPayments(self._connection)

    @cached_property
    def agreements(self) -> SqlAgreements:
        return SqlAgreements(self._connection)

    @cached_property
    def feeds(self) -> SqlFeeds:
        return SqlFeeds(self._connection)

    @cached_property
    def reminders(self) -> SqlReminders:
        return SqlReminders(self._connection)

    @cached_property
    def chores(self) -> SqlChores:
        return SqlChores(self._connection)

    @cached_property
    def sites(self) -> SqlSites:
        return SqlSites(self._connection)

    @cached_property
    def texts(self) -> SqlOwnTexts:
        return SqlOwnTexts(self._connection, self._note_texts)

    @cached_property
    def actuals(self) -> SqlFinishedJobs:
        return SqlFinishedJobs(self._connection)
