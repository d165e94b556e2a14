"""The quote that is put into words, and how it stands with its client."""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads.agreements import Clauses
from service.leads.lead import Hold, LeadState, Quote, QuoteKind
from service.leads.shop_time import zone_of
from service.leads.words import Words

_OPEN = (LeadState.QUOTED, LeadState.HELD)


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """How a quote stands with its client while it is read.

    `newer` is the number of the request that took its place, `canceled` says that its booking was
    called off. `strikes_at` is when it is taken down, as far as that is agreed; `clauses` is what
    was agreed on, or will be. Without a `link` the client cannot open it.
    """

    state: LeadState
    addressee: str | None = None
    newer: str | None = None
    canceled: bool = False
    hold: Hold | None = None
    strikes_at: datetime | None = None
    clauses: Clauses = field(default_factory=Clauses)
    link: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A quote, its standing, the language; the book that it was made by, and today's."""

    quote: Quote
    standing: Standing
    words: Words
    book: PriceBook
    today: PriceBook

    @property
    def firm(self) -> bool:
        """Whether the owner stands behind the price."""
        return self.quote.kind is QuoteKind.FIRM

    @property
    def sent(self) -> bool:
        """Whether the client has been sent it."""
        return self.quote.sent_at is not None

    @property
    def booked(self) -> bool:
        """Whether the deposit is in."""
        return self.standing.state in (LeadState.BOOKED, LeadState.DONE)

    @property
    def open(self) -> bool:
        """Whether the client can still say yes to it."""
        return self.sent and self.standing.state in _OPEN and self.standing.newer is None

    @property
    def owner(self) -> str:
        """The owner's name."""
        return self.today.shop.owner

    @property
    def zone(self) -> ZoneInfo:
        """The shop's time zone."""
        return zone_of(self.today)

    def local(self, moment: datetime) -> datetime:
        """A moment as the shop's clock has it."""
        return moment.astimezone(self.zone)

    def money(self, amount: Decimal) -> str:
        """An amount in the quote's currency."""
        return self.words.money(amount, self.quote.currency)

    @property
    def day(self) -> date | None:
        """The day that is kept, or that was asked for."""
        hold = self.standing.hold
        return self.local(hold.window.starts_at).date() if hold else self.quote.brief.event.date
