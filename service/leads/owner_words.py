"""How things are said to the owner, at the desk and in the owner's own chats."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from service.estimating import Brief, PriceBook, Setting
from service.leads import words
from service.leads.finding import ListedPrice
from service.leads.lead import (
    Hold,
    Lead,
    LeadError,
    LeadState,
    MoveRefused,
    Quote,
    QuoteKind,
    StaleDecision,
    WindowTaken,
)
from service.leads.messages import Button, Calling, Message
from service.leads.shop_time import zone_of

CHANNELS: Mapping[str, str] = {
    "telegram": "Telegram",
    "webchat": "the web chat",
    "form": "the website form",
    "api": "the website",
}

_ALREADY: Mapping[LeadState, str] = {
    LeadState.DECLINED: "This request has been declined already.",
    LeadState.BOOKED: "This is booked; its price stands.",
    LeadState.DONE: "This job is done.",
    LeadState.NEW: "Its estimate is not there yet. Wait a moment, or decline it.",
    LeadState.REVIEW: "It waits for your decision first.",
    LeadState.QUOTED: "No time is held for it any more.",
    LeadState.HELD: "A time is held for it.",
    LeadState.LAPSED: "Its price has run out.",
}

_SETTINGS = {Setting.INDOOR: "indoors", Setting.OUTDOOR: "outdoors"}

# Occasions whose word is not that of the wire.
_OCCASIONS = {"quinceanera": "quinceañera", "new_year": "New Year", "valentines": "Valentine's"}

_LAST_WORDS = 600


def why_not(error: LeadError) -> str:
    """Why a decision was not carried out, and that nothing has changed."""
    if isinstance(error, StaleDecision):
        return f"{error} Nothing was changed just now."
    if isinstance(error, MoveRefused):
        return f"{_ALREADY[error.state]} Nothing was changed just now."
    if isinstance(error, WindowTaken) and error.because:
        return f"That time is not free. {error.because} Nothing was changed just now."
    return str(error)


def cut(text: str, most: int) -> str:
    """The text on one line, with an ellipsis where it is longer than `most` characters."""
    line = " ".join(text.split())
    return line if len(line) <= most else f"{line[: most - 1]}…"


def summary_of(brief: Brief) -> str:
    """The pieces and what floats in one line."""
    return "; ".join(_wanted(brief))


def price_of(quote: Quote | ListedPrice) -> str:
    """ "$540 to $720", or the one price of a firm quote."""
    if quote.kind is QuoteKind.FIRM:
        return words.money(quote.likely, quote.currency)
    low, high = (words.money(amount, quote.currency) for amount in (quote.low, quote.high))
    return f"{low} to {high}"


def who(lead: Lead) -> str:
    """The client's name, or where they wrote from."""
    return lead.client.name or f"a client, by {CHANNELS.get(lead.channel, lead.channel)}"


def review(
    lead: Lead,
    quote: Quote | None,
    book: PriceBook,
    *,
    public_url: str,
    before: Quote | None = None,
) -> Message:
    """A request that waits: what is known, why the owner looks first, the price, the choices.

    `before` is a firm price that is out for the request which this one took the place of.
    """
    parts = [f"{lead.number} waits for you: {who(lead)}", "\n".join(_facts(lead, book))]
    if before is not None:
        parts.append(takes_the_place_of(before))
    if lead.brief.notes:
        parts.append(f"Notes: {cut(_in_one_line(lead.brief.notes), _LAST_WORDS)}")
    if lead.review_reasons:
        parts.append("Why you look first:\n" + _list(lead.review_reasons))
    if quote is None:
        parts.append("No estimate could be made.")
    else:
        likely = words.money(quote.likely, quote.currency)
        parts.append(f"Price: {price_of(quote)}, likely {likely}")
    return Message(
        kind="owner", text="\n\n".join(parts), buttons=_decisions(lead, quote, public_url)
    )


def takes_the_place_of(before: Quote) -> str:
    """That a firm price is out for what the client had asked before."""
    price = words.money(before.likely, before.currency)
    return f"It takes the place of your firm price of {price}, {before.number}."


def call(calling: Calling, leads: Sequence[Lead], *, public_url: str) -> Message:
    """A client who asks for the owner, with the words that called."""
    name = next((lead.client.name for lead in leads if lead.client.name), "A client")
    asked = f", with {words.listed([lead.number for lead in leads])}" if leads else ""
    where = CHANNELS.get(calling.channel, calling.channel)
    said = cut(calling.words, _LAST_WORDS)
    return Message(
        kind="owner",
        text=f"{name} asks for you, by {where}{asked}."
        + (f"\n\n“{said}”" if said else "\n\nNo words, only a picture or the like."),
        buttons=(
            Button(label="Answer", value=f"call:{calling.id}:answer", row=0),
            Button(label="Nothing to answer", value=f"call:{calling.id}:settle", row=0),
            # By its number: the id of a web chat is the key to it, and no business of Telegram's.
            Button(
                label="Open on the desk",
                url=f"{public_url}/desk/conversations/{calling.id}",
                row=1,
            ),
        ),
    )


def held(
    lead: Lead, hold: Hold, quote: Quote, book: PriceBook, *, moved: bool, public_url: str
) -> Message:
    """A client holds a set-up time, or has moved to another."""
    deposit = words.money(quote.deposit, quote.currency)
    verb = "has moved the held time to" if moved else "holds"
    text = (
        f"{lead.number}: {who(lead)} {verb} {_window(hold, book)}.\n\n{_until(hold, book)}; the "
        f"deposit of {deposit} is not recorded yet. The price is {price_of(quote)}."
    )
    return Message(
        kind="owner",
        text=text,
        buttons=(
            Button(label="Ask the client", value=f"lead:{lead.id}:ask:{lead.number}", row=0),
            Button(label="Open on the desk", url=f"{public_url}/desk/leads/{lead.id}", row=1),
        ),
    )


def given_back(
    lead: Lead, hold: Hold, book: PriceBook, because: str | None, *, public_url: str
) -> Message:
    """A client no longer needs the date."""
    why = f" Why: {because}." if because else ""
    return Message(
        kind="owner",
        text=f"{lead.number}: {who(lead)} gives back {_window(hold, book)}. It is free again.{why}",
        buttons=(
            Button(label="Open on the desk", url=f"{public_url}/desk/leads/{lead.id}", row=0),
        ),
    )


def stuck(*, public_url: str) -> Message:
    """That something waits at the desk because it did not go through."""
    desk = Button(label="See what is stuck", url=f"{public_url}/desk/stuck")
    text = "Something did not go through, or may not have arrived."
    return Message(kind="owner", text=text, buttons=(desk,))


def line(lead: Lead, quote: Quote | None) -> str:
    """A request in one line of a list."""
    day = lead.brief.event.date
    when = words.day(day) if day else "no date yet"
    price = f", likely {words.money(quote.likely, quote.currency)}" if quote else ""
    return f"{lead.number}, {who(lead)}: {cut(summary_of(lead.brief), 120)}; {when}{price}"


def calling_line(calling: Calling) -> str:
    """A client who asks for the owner, in one line of a list."""
    where = CHANNELS.get(calling.channel, calling.channel)
    return f"A client by {where}: “{cut(calling.words, 120)}”"


def running_out(lead: Lead, hold: Hold, book: PriceBook) -> str:
    """A hold that runs out soon, in one line of a list."""
    until = hold.expires_at.astimezone(zone_of(book))
    return f"{lead.number}, {who(lead)}: {_window(hold, book)}, until {words.moment(until)}"


def set_up(lead: Lead, hold: Hold, book: PriceBook) -> str:
    """A set-up in one line of a day's list."""
    starts, ends = _local(hold, book)
    place = f", {lead.brief.site.place}" if lead.brief.site.place else ""
    state = "booked" if lead.state is LeadState.BOOKED else "held, no deposit yet"
    return (
        f"{words.clock(starts.time())} to {words.clock(ends.time())}: {lead.number}, "
        f"{who(lead)}{place} ({state})"
    )


def listed(title: str, lines: Sequence[str]) -> str:
    """A title with its lines below."""
    return f"{title}\n{_list(lines)}"


def _decisions(lead: Lead, quote: Quote | None, public_url: str) -> tuple[Button, ...]:
    buttons = []
    if quote is not None:
        likely = words.money(quote.likely, quote.currency)
        send = f"lead:{lead.id}:send:{quote.number}"
        price = f"lead:{lead.id}:price:{quote.number}"
        buttons += [
            Button(label=f"Send {likely}", value=send, row=0),
            Button(label="Change the price", value=price, row=0),
        ]
    return (
        *buttons,
        Button(label="Ask the client", value=f"lead:{lead.id}:ask:{lead.number}", row=1),
        Button(label="Decline", value=f"lead:{lead.id}:decline:{lead.number}", row=1),
        Button(label="Open on the desk", url=f"{public_url}/desk/leads/{lead.id}", row=2),
    )


def _facts(lead: Lead, book: PriceBook) -> list[str]:
    brief = lead.brief
    colours = [share.colour for share in brief.palette]
    facts = [*(f"• {each}" for each in _wanted(brief)), _when(brief), _where(brief)]
    if colours:
        facts.append(f"Colors: {words.listed(colours)}")
    if brief.foils:
        facts.append(f"Foils: {' '.join(brief.foils)}")
    if brief.budget is not None and brief.budget.max is not None:
        facts.append(f"Budget: up to {words.money(brief.budget.max, book.shop.currency)}")
    facts.append(f"Came by {CHANNELS.get(lead.channel, lead.channel)}")
    return facts


def _wanted(brief: Brief) -> list[str]:
    return [*map(words.piece, brief.pieces), *map(words.floating, brief.floating)]


def _when(brief: Brief) -> str:
    event = brief.event
    parts = [words.day(event.date) if event.date else "no date yet"]
    if event.start_time:
        parts.append(words.clock(event.start_time))
    if event.guests:
        parts.append(f"{event.guests:,} guests")
    if event.occasion:
        parts.append(_OCCASIONS.get(event.occasion, event.occasion.replace("_", " ")))
    return ", ".join(parts)


def _where(brief: Brief) -> str:
    site = brief.site
    said = (site.place, site.postal_code, _SETTINGS.get(site.setting) if site.setting else None)
    return ", ".join(part for part in said if part) or "no place yet"


def _window(hold: Hold, book: PriceBook) -> str:
    starts, ends = _local(hold, book)
    return f"{words.day(starts.date())}, {words.clock(starts.time())} to {words.clock(ends.time())}"


def _local(hold: Hold, book: PriceBook) -> tuple[datetime, datetime]:
    zone = zone_of(book)
    return hold.window.starts_at.astimezone(zone), hold.window.ends_at.astimezone(zone)


def _until(hold: Hold, book: PriceBook) -> str:
    until = hold.expires_at.astimezone(zone_of(book))
    return f"It is kept until {words.moment(until)}"


def _in_one_line(notes: str) -> str:
    return " / ".join(filter(None, map(str.strip, notes.splitlines())))


def _list(lines: Sequence[str]) -> str:
    return "\n".join(f"• {each}" for each in lines)
