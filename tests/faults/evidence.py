"""What was seen from outside. Times are seconds of one monotonic clock, the harness's own."""

from dataclasses import dataclass, field


@dataclass(kw_only=True)
class Turn:
    """Something a client did that calls for an answer.

    `accepted` once the client was told that it arrived; `answered` once the client saw an answer.
    """

    what: str
    sent: float
    accepted: float | None = None
    answered: float | None = None


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A message as its reader has it. `key` tells two messages of one chat apart."""

    key: int
    text: str
    at: float
    #: Of what the client did; None where it is the shop's.
    update: str | None = None
    ours: bool = True


@dataclass(kw_only=True)
class Story:
    """All that one client did and saw. `asked` is when the request itself was accepted.

    `prices` are what each place told, as (low, high, likely) of every price seen there.
    `receipts` are the ids of requests that answers to the client named.
    """

    client: str
    channel: str
    chat_id: str | None = None
    turns: list[Turn] = field(default_factory=list)
    shown: list[Shown] = field(default_factory=list)
    confirmed: float | None = None
    priced: float | None = None
    prices: dict[str, list[tuple[int, ...]]] = field(default_factory=dict)
    receipts: set[str] = field(default_factory=set)
    odd: list[str] = field(default_factory=list)

    def price(self, place: str, amounts: tuple[int, ...]) -> None:
        """A price was seen at a place."""
        self.prices.setdefault(place, []).append(amounts)


@dataclass(frozen=True, kw_only=True)
class LeadSeen:
    """A request as the API tells the owner of it. `price` is low, high, likely."""

    lead_id: str
    state: str
    channel: str
    client: str | None
    price: tuple[int, ...] | None


@dataclass(frozen=True, kw_only=True)
class Posted:
    """A message that the Bot API server took; `answered` is False where its answer was lost."""

    chat_id: str
    text: str
    at: float
    answered: bool


@dataclass(frozen=True, kw_only=True)
class Cut:
    """A fault as it came to pass. `ended` equals `began` for what is over at once, as a kill.

    `hit`: its target was at work. Not `struck`: its target was between two lives just then.
    `back` is when the service answered again, where it or its database was killed.
    """

    number: int
    kind: str
    target: str
    began: float
    ended: float
    hit: bool = False
    struck: bool = True
    back: float = 0.0


@dataclass(kw_only=True)
class Evidence:
    """Everything that the checker may know.

    `hung` are the spans in which a call of the Bot API waited for long, `doubtful` the chats in
    which one waited in vain or was answered with nothing. `start_s` is what the whole shop took to
    start, `first_start_s` its service alone: how slow the machine was.
    """

    stories: list[Story] = field(default_factory=list)
    leads: list[LeadSeen] = field(default_factory=list)
    posted: list[Posted] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    hung: list[tuple[float, float]] = field(default_factory=list)
    doubtful: set[str] = field(default_factory=set)
    start_s: float = 0.0
    first_start_s: float = 0.0
