"""Leads, quotes and messages as the wire has them."""

from zoneinfo import ZoneInfo

from service.api import translate
from service.contract import bookings, talk
from service.contract import leads as wire
from service.leads import addresses
from service.leads.chats import InboxRow
from service.leads.lead import Client, Hold, Lead, NotFound, Quote, Window
from service.leads.messages import Button, Message, Picture, StoredMessage, Swatch
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import zone_of


def quote(work: UnitOfWork, ports: Ports, value: Quote) -> wire.Quote:
    """A sent quote with the newest addresses of its pages."""
    url, booking_url = addresses.of_lead(work, ports, value.lead_id)
    return wire.Quote(
        number=value.number,
        kind=value.kind.value,
        low=value.low,
        likely=value.likely,
        high=value.high,
        currency=value.currency,
        expires_at=value.expires_at,
        url=url,
        booking_url=booking_url,
    )


def status(work: UnitOfWork, ports: Ports, value: Lead) -> wire.LeadStatus:
    """How far a lead is, without anything personal."""
    sent = work.quotes.latest(value.id, sent=True)
    return wire.LeadStatus(
        lead_id=value.id,
        number=value.number,
        state=value.state.value,
        quote=None if sent is None else quote(work, ports, sent),
    )


def lead(work: UnitOfWork, ports: Ports, value: Lead) -> wire.Lead:
    """A whole lead."""
    newest = work.quotes.latest(value.id)
    return wire.Lead(
        **dict(status(work, ports, value)),
        channel=value.channel,
        chat_id=value.chat_id,
        language=value.language,
        client=wire.Client.model_validate(value.client),
        source=value.source,
        brief=translate.brief_to_wire(value.brief),
        review_reasons=list(value.review_reasons),
        created_at=value.created_at,
        estimate=None if newest is None else translate.estimate_to_wire(newest.estimate),
        basis=newest and newest.number,
        revision=value.revision,
        lost_because=value.lost_because,
        merged_into=value.merged_into,
    )


def client(value: wire.Client) -> Client:
    """A client from the wire."""
    return Client(name=value.name, email=value.email, phone=value.phone)


def window(ports: Ports, value: Window) -> bookings.Window:
    """A set-up window, in the shop's own time."""
    zone = _zone(ports)
    return bookings.Window(
        starts_at=value.starts_at.astimezone(zone), ends_at=value.ends_at.astimezone(zone)
    )


def hold(ports: Ports, value: Hold, sent: Quote | None) -> bookings.Hold:
    """A hold with what turns it into a booking."""
    if sent is None:
        raise NotFound("This lead has no quote yet.")
    return bookings.Hold(
        **dict(window(ports, value.window)),
        expires_at=value.expires_at.astimezone(_zone(ports)),
        deposit=sent.deposit,
        currency=sent.currency,
    )


def _zone(ports: Ports) -> ZoneInfo:
    return zone_of(ports.price_books.current())


def message_from_wire(value: talk.OutgoingMessage) -> Message:
    """A message that the dialogue wants to send."""
    return Message(
        kind=value.kind,
        text=value.text,
        buttons=tuple(Button(**dict(button)) for button in value.buttons),
        asks=value.asks,
        swatches=tuple(Swatch(**dict(swatch)) for swatch in value.swatches),
        edits=value.edits,
        picture=Picture(**dict(value.picture)) if value.picture else None,
    )


def message_to_wire(value: Message) -> talk.OutgoingMessage:
    """A message for a push channel."""
    return talk.OutgoingMessage.model_validate(value, from_attributes=True)


def pending(row: InboxRow) -> talk.PendingUpdate:
    """An update whose turn is open."""
    return talk.PendingUpdate(
        inbox_id=row.id,
        received_at=row.received_at,
        update=talk.Update.model_validate(row.payload),
    )


def stored(value: StoredMessage) -> talk.ChatMessage:
    """A message in its place in the conversation."""
    shown = message_to_wire(value.message) if value.direction == "out" else None
    return talk.ChatMessage(
        seq=value.seq,
        direction="out" if shown else "in",
        kind=shown.kind if shown else "say",
        text=value.message.text,
        buttons=shown.buttons if shown else [],
        asks=value.message.asks,
        at=value.at,
        update_id=value.update_id,
        swatches=shown.swatches if shown else [],
        edits=value.message.edits,
        photo_id=value.photo_id,
        picture=shown.picture if shown else None,
    )
