"""What each reminder says, in the client's language."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from service.estimating import PriceBook, Setting
from service.leads.accounts import Account
from service.leads.follow_up import texts
from service.leads.lead import Hold, Lead, Quote
from service.leads.messages import Button, Message
from service.leads.phrasing import how_to_pay, last_day, to_date, ways_on
from service.leads.reminders import Kind
from service.leads.shop_time import zone_of
from service.leads.site_notes import SiteNotes
from service.leads.words import Words

# Where a client can write back, and send a picture, in the place where the reminder stands.
CHATS = frozenset({"telegram", "webchat"})


@dataclass(frozen=True, kw_only=True, slots=True)
class About:
    """Everything that a reminder may speak of; `url` and `booking_url` lead to the client's own
    pages, `stop_url` to the one on which reminders are stopped. `place` is what the shop knows of
    the way in."""

    lead: Lead
    quote: Quote
    hold: Hold | None
    account: Account
    due_on: date | None
    book: PriceBook
    words: Words
    today: date
    url: str
    booking_url: str
    stop_url: str
    place: SiteNotes

    @property
    def reach(self) -> str:
        """How the shop is reached."""
        return self.words.reached_by(self.book.shop.contact)

    @property
    def pay(self) -> str:
        """How to pay: the price book's own words, or how the shop is reached."""
        return how_to_pay(self.book, self.words)


def reminding(kind: Kind, about: About) -> Message:
    """The reminder for the client, with the way to stop them."""
    in_chat = about.lead.channel in CHATS
    parts = list(_parts(kind, about))
    buttons = _ways(kind, about)
    if in_chat:
        parts.append(about.words.say(texts.STOP_HERE.english))
    else:
        no_more = Button(label=about.words.say("No more reminders"), url=about.stop_url)
        buttons = (*buttons, no_more)
    return Message(kind="note", text="\n\n".join(parts), buttons=buttons)


def _ways(kind: Kind, about: About) -> tuple[Button, ...]:
    words = about.words
    match kind:
        case Kind.NUDGE:
            return ways_on(words, about.url, about.booking_url)
        case Kind.HOLD | Kind.BALANCE | Kind.DAY_BEFORE:
            return to_date(words, about.booking_url)
        case _:
            return ()


def _parts(kind: Kind, about: About) -> Iterator[str]:
    match kind:
        case Kind.NUDGE:
            until = last_day(about.quote, about.book, about.words)
            number = about.quote.number
            yield about.words.say(texts.NUDGE.english, number=number, until=until)
        case Kind.HOLD:
            yield _hold(about)
        case Kind.BALANCE:
            yield _balance(about)
        case Kind.DAY_BEFORE:
            yield from _day_before(about)
        case _:
            yield _thanks(about)


def _hold(about: About) -> str:
    hold, words = _kept(about), about.words
    zone = zone_of(about.book)
    return words.say(
        texts.HOLD.english,
        day=words.day(_day(about)),
        until=words.moment(hold.expires_at.astimezone(zone)),
        deposit=words.money(about.quote.deposit, about.quote.currency),
        pay=about.pay,
    )


def _balance(about: About) -> str:
    account, words = about.account, about.words
    due = about.due_on
    said = {
        "day": words.day(_day(about)),
        "amount": words.money(account.due, account.currency),
        "pay": about.pay,
    }
    if due is None or due <= about.today:
        return words.say(texts.BALANCE_TODAY.english, **said)
    return words.say(texts.BALANCE.english, due=words.day(due), **said)


def _day_before(about: About) -> Iterator[str]:
    hold, words, site = _kept(about), about.words, about.lead.brief.site
    zone = zone_of(about.book)
    yield words.say(
        texts.DAY_BEFORE.english,
        owner=about.book.shop.owner,
        arrive=words.clock(hold.window.starts_at, zone),
        ready=words.clock(hold.window.ends_at, zone),
        reach=about.reach,
    )
    if site.place:
        yield words.say(texts.PLACE.english, place=site.place)
    if not (about.place.access and about.place.parking):
        yield words.say(texts.ACCESS.english)
    if site.setting is Setting.OUTDOOR:
        yield words.say(texts.WEATHER.english)
        wind = about.quote.estimate.wind
        if wind is not None:
            speed = words.mph(wind.act_at_m_s)
            yield words.say(
                "In gusts of about %(speed)s or more it comes down, whatever the hour.", speed=speed
            )


def _thanks(about: About) -> str:
    if about.lead.channel in CHATS:
        return about.words.say(texts.THANKS.english)
    return about.words.say(texts.THANKS_ELSEWHERE.english, reach=about.reach)


def _day(about: About) -> date:
    zone = zone_of(about.book)
    return _kept(about).window.starts_at.astimezone(zone).date()


def _kept(about: About) -> Hold:
    if about.hold is None:
        raise ValueError("this reminder is about a date that is kept")
    return about.hold
