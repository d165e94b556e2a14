"""What the life of a lead needs from the world outside, as small protocols.

Storage, signing and the queue implement these; `Ports` is what the edges are handed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from types import TracebackType
from typing import Any, Protocol, Self

from service.estimating import PriceBook
from service.leads.lead import Change, Hold, Lead, LeadState, Quote
from service.leads.messages import (
    Attention,
    Calling,
    Delivery,
    Message,
    OwnerChat,
    Photo,
    StoredMessage,
)
from service.leads.steps import Step, StepKind, StepState
from service.leads.words import Wording


class Leads(Protocol):
    """Leads and their history."""

    def add(self, lead: Lead) -> Lead:
        """Store a new lead and give it its number."""
        ...

    def get(self, lead_id: str, *, lock: bool = False) -> Lead:
        """One lead; NotFound otherwise. `lock` keeps others from changing it meanwhile."""
        ...

    def save(self, lead: Lead) -> None:
        """Store the lead's state, review reasons and client."""
        ...

    def page(self, *, before: str | None, limit: int, state: LeadState | None) -> list[Lead]:
        """Leads newest first, beyond the lead numbered `before`."""
        ...

    def of_chat(self, channel: str, chat_id: str) -> list[Lead]:
        """Every lead that came from a conversation, newest first."""
        ...

    def with_expired_quotes(self, now: datetime) -> list[str]:
        """Ids of quoted leads none of whose sent quotes is good any more."""
        ...

    def count_by_state(self) -> dict[LeadState, int]:
        """How many leads are in each state."""
        ...

    def note(self, lead_id: str, change: Change) -> None:
        """Add to a lead's history."""
        ...

    def history(self, lead_id: str) -> list[Change]:
        """A lead's history, oldest first."""
        ...


class Quotes(Protocol):
    """Frozen quotes."""

    def add(self, quote: Quote) -> Quote:
        """Store a quote and give it its number."""
        ...

    def get(self, quote_id: str) -> Quote:
        """One quote; NotFound otherwise."""
        ...

    def latest(self, lead_id: str, *, sent: bool = False) -> Quote | None:
        """The newest quote of a lead; with `sent`, the newest the client may see."""
        ...

    def mark_sent(self, quote_id: str, at: datetime, expires_at: datetime) -> None:
        """Let the client see it from now on."""
        ...


class Links(Protocol):
    """Purposes that a signed link may serve, revocable one by one."""

    def add(self, *, purpose: str, subject_id: str, expires_at: datetime) -> str:
        """A fresh opaque id of at least 128 bits."""
        ...

    def find(self, link_id: str, *, purpose: str, now: datetime) -> str:
        """The link's subject. NotFound for another purpose, LinkExpired when over."""
        ...

    def of(self, subject_id: str, purpose: str) -> str | None:
        """The newest link made for a subject."""
        ...

    def use(self, link_id: str, *, purpose: str, now: datetime) -> str:
        """As `find`, for a link that works once: from now on it is over."""
        ...


class Holds(Protocol):
    """Held set-up windows. The store itself guarantees that no two overlap."""

    def add(self, hold: Hold, *, slots: Sequence[int], crew: int) -> None:
        """Keep a crew's slots for this hold; WindowTaken when one is kept already."""
        ...

    def taken(
        self, slots: Sequence[int], *, crew: int, now: datetime, but: Hold | None = None
    ) -> bool:
        """Whether a hold that has not run out, other than `but`, keeps any of a crew's slots."""
        ...

    def of_lead(self, lead_id: str) -> Hold | None:
        """The lead's active hold or booking."""
        ...

    def release(self, hold_id: str) -> None:
        """Give a hold's slots back."""
        ...

    def book(self, hold_id: str) -> None:
        """The hold no longer runs out."""
        ...

    def expired(self, moment: datetime) -> list[Hold]:
        """Holds without a deposit whose time is over at that moment, the earliest first."""
        ...

    def starting(self, since: datetime, until: datetime) -> list[Hold]:
        """Holds and bookings whose set-up begins from `since` on and before `until`, in order."""
        ...


class Chats(Protocol):
    """Conversations: the dialogue's state and every message, in order."""

    def state(self, channel: str, chat_id: str) -> tuple[int, dict[str, Any]]:
        """Version and state; (0, {}) for a new conversation."""
        ...

    def advance(
        self, channel: str, chat_id: str, *, version: int, state: dict[str, Any], now: datetime
    ) -> bool:
        """Move from `version` to the next; False when another turn came first."""
        ...

    def say(self, channel: str, chat_id: str, message: Message, *, now: datetime) -> StoredMessage:
        """Append a message to the client. The conversation is made if it is new."""
        ...

    def hear(
        self,
        channel: str,
        chat_id: str,
        text: str,
        *,
        update_id: str,
        now: datetime,
        photo_id: str | None = None,
    ) -> StoredMessage:
        """Append what the client said, or the photo they sent."""
        ...

    def keep_photo(
        self, photo_id: str, channel: str, chat_id: str, jpeg: bytes, *, now: datetime
    ) -> None:
        """Keep a photo of a conversation once. Raises PhotoTaken for one of another."""
        ...

    def has_photo(self, photo_id: str, channel: str, chat_id: str) -> bool:
        """Whether the conversation has that photo."""
        ...

    def photo(self, photo_id: str) -> Photo | None:
        """The photo of that name."""
        ...

    def messages(self, channel: str, chat_id: str, *, after: int = 0) -> list[StoredMessage]:
        """Messages beyond `after`, in order."""
        ...

    def delivery(self, message_id: str) -> Delivery:
        """One message with its chat; NotFound otherwise."""
        ...

    def attention(self, channel: str, chat_id: str, *, lock: bool = False) -> Attention:
        """What it wants of the owner. `lock` keeps others from writing in it meanwhile."""
        ...

    def chat_of(self, conversation_id: int) -> tuple[str, str]:
        """Channel and chat id of a conversation; NotFound otherwise."""
        ...

    def call_owner(self, channel: str, chat_id: str, *, now: datetime) -> None:
        """The client waits for the owner from now on, or has been waiting already."""
        ...

    def calling(self, *, limit: int) -> list[Calling]:
        """Conversations in which the client waits for the owner, the longest wait first."""
        ...

    def answered(self, channel: str, chat_id: str, *, in_words: bool) -> None:
        """Nobody waits for the owner any more; `in_words` when the owner wrote to them."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class InboxRow:
    """A committed update. `payload` is the channel-neutral update as it came."""

    id: int
    channel: str
    chat_id: str
    update_id: str
    payload: dict[str, Any]
    received_at: datetime
    handled: bool


class Inbox(Protocol):
    """Incoming updates, committed before their channel is told that they arrived."""

    def receive(
        self, channel: str, chat_id: str, update_id: str, payload: dict[str, Any], now: datetime
    ) -> tuple[InboxRow, bool]:
        """Store an update once; the flag is True when it was there before."""
        ...

    def get(self, inbox_id: int, *, lock: bool = False) -> InboxRow:
        """One row; NotFound otherwise."""
        ...

    def mark_handled(self, inbox_id: int, now: datetime) -> None:
        """Its turn is stored."""
        ...

    def pending(
        self, channel: str, *, received_before: datetime, chat_id: str | None = None
    ) -> list[InboxRow]:
        """Updates without a turn, oldest first; of one chat, if one is named."""
        ...


class Outbox(Protocol):
    """Steps of work that are owed."""

    def owe(self, kind: StepKind, subject_id: str, *, lane: str, now: datetime) -> None:
        """Add a step; it is handed to the queue after the commit."""
        ...

    def get(self, step_id: str, *, lock: bool = False) -> Step:
        """One step; NotFound otherwise."""
        ...

    def save(self, step: Step) -> None:
        """Store a step's state, attempts, fence, lease and times."""
        ...

    def first_owed(self, lane: str) -> Step | None:
        """The oldest owed step of a lane."""
        ...

    def hand_over(self, step: Step) -> None:
        """Give an owed step to the queue after the commit."""
        ...

    def due(self, now: datetime, *, limit: int) -> list[Step]:
        """Owed steps that are due and under no lease, oldest first."""
        ...

    def count_open(self) -> dict[StepState, int]:
        """How many steps are owed and how many were given up."""
        ...

    def dead(self, *, limit: int) -> list[Step]:
        """Steps that only the owner can help with, newest first."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Answered:
    """The answer that an idempotency key got the first time."""

    fingerprint: str
    status: int
    body: str


class Answers(Protocol):
    """Answers by idempotency key."""

    def find(self, scope: str, key: str) -> Answered | None:
        """The stored answer, if any."""
        ...

    def store(self, scope: str, key: str, answered: Answered, now: datetime) -> bool:
        """Store an answer; False when the key has one already."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class DeskSession:
    """A signed-in owner's session; `csrf` must come back with every form."""

    id: str
    csrf: str
    expires_at: datetime


class Owners(Protocol):
    """The owner's account."""

    def password_hash(self) -> str | None:
        """None until a password has been chosen."""
        ...

    def set_password_hash(self, value: str, now: datetime) -> None:
        """Choose a password; every session ends."""
        ...

    def open_session(self, session: DeskSession) -> None:
        """Store a session under the digest of its id."""
        ...

    def session(self, session_id: str, now: datetime) -> DeskSession | None:
        """The session, unless it is over."""
        ...

    def close_session(self, session_id: str) -> None:
        """Sign out."""
        ...

    def failures_since(self, since: datetime, address: str) -> int:
        """How many sign-ins from an address failed since then."""
        ...

    def record_failure(self, now: datetime, address: str) -> None:
        """A sign-in from an address failed."""
        ...


class OwnerChats(Protocol):
    """The owner's own chats."""

    def pair(self, chat: OwnerChat) -> None:
        """From now on the chat is the owner's; nothing happens where it is already."""
        ...

    def has(self, channel: str, chat_id: str) -> bool:
        """Whether the chat is the owner's."""
        ...

    def every(self) -> list[OwnerChat]:
        """All of them, in the order in which they were paired."""
        ...

    def unpair(self, channel: str, chat_id: str) -> None:
        """The chat is nobody's special any more."""
        ...

    def take_digest(self, channel: str, chat_id: str, day: date) -> bool:
        """Deal with the day's digest: True for the one caller who is to do it."""
        ...


class UnitOfWork(Protocol):
    """One transaction over all repositories; leaving it without `commit` undoes everything.

    After the commit, steps that became owed go to the queue and waiting readers of the
    touched conversations are woken.
    """

    @property
    def leads(self) -> Leads: ...

    @property
    def quotes(self) -> Quotes: ...

    @property
    def links(self) -> Links: ...

    @property
    def holds(self) -> Holds: ...

    @property
    def chats(self) -> Chats: ...

    @property
    def inbox(self) -> Inbox: ...

    @property
    def outbox(self) -> Outbox: ...

    @property
    def answers(self) -> Answers: ...

    @property
    def owners(self) -> Owners: ...

    @property
    def owner_chats(self) -> OwnerChats: ...

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
        """Queue the steps; False when the queue cannot be reached."""
        ...

    def reachable(self) -> bool:
        """Whether the queue answers."""
        ...


class Signer(Protocol):
    """Signs opaque ids into tokens for one purpose each."""

    def sign(self, link_id: str, *, purpose: str) -> str:
        """A URL-safe token."""
        ...

    def read(self, token: str, *, purpose: str) -> str:
        """The id inside; NotFound when the signature does not fit the purpose."""
        ...


class PriceBooks(Protocol):
    """The owner's price book as it stands."""

    def current(self) -> PriceBook:
        """The newest valid price book."""
        ...

    @property
    def problem(self) -> str | None:
        """Why a newer edit is not in use, if so."""
        ...


class Watch(Protocol):
    """Waits for news in a conversation."""

    async def news(self, channel: str, chat_id: str, *, timeout: timedelta) -> None:
        """Return when the conversation may have changed, or after `timeout`."""
        ...


class RateLimit(Protocol):
    """Counts what strangers do, so that one of them cannot crowd out the others."""

    def wait(self, what: str, who: str, *, most: int, per: timedelta) -> timedelta:
        """Count one `what` by `who`. Zero: within `most` in any `per`; else how long to wait.

        What was refused is not counted.
        """
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Ports:
    """Everything that the edges of the service are given.

    `telegram_bot` is the bot's name there, without the @, where it is known.
    """

    work: Callable[[], UnitOfWork]
    read: Callable[[], UnitOfWork]
    price_books: PriceBooks
    queue: JobQueue
    signer: Signer
    watch: Watch
    limits: RateLimit
    wording: Wording
    clock: Callable[[], datetime]
    new_id: Callable[[], str]
    public_url: str
    chat_url: str
    website_origins: tuple[str, ...]
    telegram_bot: str | None = None
