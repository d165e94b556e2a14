"""What the life of a lead needs from the world outside, as small protocols.

Storage, signing and the queue implement these; `Ports` is what the edges are handed.
"""

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime, timedelta
from types import TracebackType
from typing import Protocol, Self

from service.leads.actuals import FinishedJobs
from service.leads.agreements import Agreements
from service.leads.calibrations import Calibrations, CalibrationVersions
from service.leads.chats import Chats, Inbox, OwnerChats
from service.leads.chores import Chores
from service.leads.clients import Clients
from service.leads.closing import ClosedTimes
from service.leads.exports import Exports
from service.leads.feeds import Feeds
from service.leads.figures import Counting
from service.leads.finding import Listing
from service.leads.locating import Places
from service.leads.own_texts import OwnTexts
from service.leads.past import Past
from service.leads.payments import Payments
from service.leads.people import People
from service.leads.price_books import PriceBooks
from service.leads.purchases import Purchases
from service.leads.reminders import Reminders
from service.leads.repositories import Answers, Holds, Leads, Links, Notes, Outbox, Quotes
from service.leads.site_notes import Sites
from service.leads.steps import Step
from service.leads.stock import Stock
from service.leads.vitals import Vitals
from service.leads.words import Wording


class UnitOfWork(Protocol):
    """One transaction over all repositories; leaving it without `commit` undoes everything.

    After the commit, steps that became owed go to the queue and waiting readers of the
    touched conversations are woken.
    """

    @property
    def leads(self) -> Leads: ...

    @property
    def listing(self) -> Listing: ...

    @property
    def figures(self) -> Counting: ...

    @property
    def exports(self) -> Exports: ...

    @property
    def quotes(self) -> Quotes: ...

    @property
    def links(self) -> Links: ...

    @property
    def holds(self) -> Holds: ...

    @property
    def closed(self) -> ClosedTimes: ...

    @property
    def chats(self) -> Chats: ...

    @property
    def inbox(self) -> Inbox: ...

    @property
    def outbox(self) -> Outbox: ...

    @property
    def answers(self) -> Answers: ...

    @property
    def people(self) -> People: ...

    @property
    def owner_chats(self) -> OwnerChats: ...

    @property
    def notes(self) -> Notes: ...

    @property
    def stock(self) -> Stock: ...

    @property
    def calibrations(self) -> CalibrationVersions: ...

    @property
    def purchases(self) -> Purchases: ...

    @property
    def past(self) -> Past: ...

    @property
    def clients(self) -> Clients: ...

    @property
    def payments(self) -> Payments: ...

    @property
    def agreements(self) -> Agreements: ...

    @property
    def feeds(self) -> Feeds: ...

    @property
    def reminders(self) -> Reminders: ...

    @property
    def sites(self) -> Sites: ...

    @property
    def chores(self) -> Chores: ...

    @property
    def texts(self) -> OwnTexts: ...

    @property
    def actuals(self) -> FinishedJobs: ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None: ...

    def commit(self) -> None:
        """Make it so."""
        ...


class JobQueue(Protocol):
    """Hands steps to workers. It may forget them: the sweep hands them over again."""

    def enqueue(self, steps: Sequence[Step]) -> bool:
        """Queue the steps for when they are due; False when the queue cannot be reached."""
        ...

    def bring_back(self, steps: Iterable[Step]) -> int:
        """Queue those of these due steps that the queue does not have; how many they were.

        Of very many the first ones of each kind: the others are for the next time.
        """
        ...


class Signer(Protocol):
    """Signs opaque ids into tokens for one purpose each."""

    def sign(self, link_id: str, *, purpose: str) -> str:
        """A URL-safe token."""
        ...

    def read(self, token: str, *, purpose: str) -> str:
        """The id inside; NotFound when the signature does not fit the purpose."""
        ...


class News(Protocol):
    """What comes in one conversation."""

    async def come(self, *, within: timedelta) -> None:
        """Return when the conversation may have changed, or after `within`."""
        ...


class Watch(Protocol):
    """Notices news in a conversation."""

    def news(self, channel: str, chat_id: str) -> AbstractContextManager[News]:
        """News from here on. Whoever looks does so within, so that nothing comes unnoticed
        between looking and waiting."""
        ...

    @property
    def closing(self) -> bool:
        """Whether nobody should wait any more, because the process stops."""
        ...


class Claims(Protocol):
    """Who takes the turns of a conversation now. A hint: its version is what decides."""

    def claim(self, channel: str, chat_id: str, holder: str) -> bool:
        """Make the turns `holder`'s for a few seconds; False while they are another's."""
        ...

    def let_go(self, channel: str, chat_id: str, holder: str) -> None:
        """Leave the turns to others, where they were `holder`'s."""
        ...


class RateLimit(Protocol):
    """Counts what strangers do, so that one of them cannot crowd out the others."""

    def wait(self, what: str, who: str, *, most: int, per: timedelta) -> timedelta:
        """Count one `what` by `who`. Zero: within `most` in any `per`; else how long to wait.

        What was refused is not counted.
        """
        ...

    def is_used_up(self, what: str, who: str, *, most: int, per: timedelta) -> bool:
        """Whether one more would have to wait. Counts nothing."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Ports:
    """Everything that the edges of the service are given.

    `passing` is as `work`, for what is as good as undone when the machine loses its power.
    `telegram_bot` is the bot's name there, without the @, where it is known.
    """

    work: Callable[[], UnitOfWork]
    read: Callable[[], UnitOfWork]
    passing: Callable[[], UnitOfWork]
    price_books: PriceBooks
    calibrations: Calibrations
    queue: JobQueue
    signer: Signer
    watch: Watch
    claims: Claims
    limits: RateLimit
    vitals: Vitals
    places: Places
    wording: Wording
    clock: Callable[[], datetime]
    new_id: Callable[[], str]
    public_url: str
    chat_url: str
    website_origins: tuple[str, ...]
    telegram_bot: str | None = None
