"""Between the dialogue's values and the wire, one function for each direction of each."""

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from pydantic import ValidationError

from bot.dialogue.messages import (
    Button,
    Fault,
    Incoming,
    Message,
    Offer,
    ShopCard,
    Submission,
    Swatch,
)
from bot.gateway.values import LeadRefused, Pending, Picture, Shown, Standing
from service.contract import talk
from service.contract.brief import Brief
from service.contract.client import ServiceRefused
from service.contract.estimate import Channel
from service.contract.leads import Client, LeadRequest
from service.contract.options import Option
from service.contract.shop import Shop
from service.contract.talk import (
    ChatMessage,
    Conversation,
    OutgoingMessage,
    PendingUpdate,
    Update,
)

_CLIPPED = {"text": 20_000, "label": 200, "sender_name": 200, "locale": 35, "message_ref": 64}


def card(shop: Shop) -> ShopCard:
    """What the dialogue may say of the shop."""
    return ShopCard(
        name=shop.name,
        town=shop.town,
        owner_name=shop.owner_name,
        contact=shop.contact,
        contacts=shop.contacts,
        time_zone=shop.time_zone,
        currency=shop.currency,
        locale=shop.locale,
        colours=tuple(Swatch(name=c.name, hex=c.hex) for c in shop.colours),
        aliases=shop.aliases,
        answers=shop.answers,
        foil_shapes=tuple(shop.foil_shapes),
        privacy_url=shop.privacy_url,
    )


def update(channel: Channel, chat_id: str, update_id: str, incoming: Incoming) -> Update:
    """What a client did, to be committed; no text longer than the wire takes."""
    said = asdict(incoming)
    for name, most in _CLIPPED.items():
        said[name] = clipped(said[name], most)
    # A reference that was cut leads nowhere.
    if said["photo"] is not None and len(said["photo"]) > 256:
        said["photo"] = None
    return Update(channel=channel, chat_id=chat_id, update_id=update_id, **said)


def pending(value: PendingUpdate) -> Pending:
    """An update whose turn is open."""
    came = value.update
    return Pending(
        inbox_id=value.inbox_id,
        chat_id=came.chat_id,
        update_id=came.update_id,
        incoming=Incoming(
            kind=came.kind,
            text=came.text,
            label=came.label,
            sender_name=came.sender_name,
            locale=came.locale,
            message_ref=came.message_ref,
            photo=came.photo,
        ),
    )


def standing(value: Conversation) -> Standing:
    """Where a conversation stands."""
    return Standing(
        version=value.version,
        state=value.state,
        pending=tuple(pending(one) for one in value.pending),
        owner_spoke=value.owner_spoke,
        owner=value.owner,
        under_review=value.under_review,
        stopped=value.stopped,
        held=value.held,
    )


def outgoing(message: Message) -> OutgoingMessage:
    """What is to be said."""
    return OutgoingMessage.model_validate(message, from_attributes=True)


def message(value: OutgoingMessage) -> Message:
    """What the service wants said."""
    return Message(
        kind=value.kind,
        text=value.text,
        buttons=tuple(Button(**dict(button)) for button in value.buttons),
        asks=value.asks,
        swatches=tuple(Swatch(**dict(swatch)) for swatch in value.swatches),
        edits=value.edits,
    )


def shown(value: ChatMessage) -> Shown:
    """A message in its place in the conversation."""
    return Shown(
        seq=value.seq,
        direction=value.direction,
        kind=value.kind,
        text=value.text,
        buttons=tuple(Button(**dict(button)) for button in value.buttons),
        asks=value.asks,
        at=value.at,
        update_id=value.update_id,
        swatches=tuple(Swatch(**dict(swatch)) for swatch in value.swatches),
        edits=value.edits,
        photo_id=value.photo_id,
        picture=_picture(value.picture) if value.picture else None,
    )


def _picture(value: talk.Picture) -> Picture:
    return Picture(url=value.page_url, alt=value.alt)


def lead(channel: Channel, chat_id: str, submission: Submission) -> LeadRequest:
    """A brief that the client agreed to. Raises LeadRefused for one that no service could take."""
    try:
        return LeadRequest(
            brief=Brief.model_validate(submission.brief),
            client=Client(name=clipped(submission.name, 120), phone=clipped(submission.phone, 32)),
            channel=channel,
            chat_id=chat_id,
            language=submission.language,
            revises=submission.revises,
            source=clipped(submission.source, 64),
        )
    except ValidationError as error:
        # The same fault that the service would find, found one call earlier.
        raise LeadRefused([_fault(dict(detail)) for detail in error.errors()]) from error


def brief(value: Mapping[str, Any], budget: Decimal | None) -> Brief:
    """A brief in wire JSON, with this budget where there is one. Raises ValidationError."""
    return Brief.model_validate(value if budget is None else {**value, "budget": {"max": budget}})


def offer(option: Option) -> Offer:
    """What else could be built, and what it would cost."""
    pieces = option.brief.model_dump(mode="json", exclude_defaults=True)["pieces"]
    return Offer(
        pieces=tuple(pieces),
        low=option.price.low,
        likely=option.price.likely,
        high=option.price.high,
        fits=option.fits,
    )


def faults(refused: ServiceRefused) -> list[Fault]:
    """What the service found wrong, field by field."""
    problem = refused.problem
    if problem.errors:
        return [Fault(field=one.field, detail=one.detail) for one in problem.errors]
    return [Fault(field="", detail=problem.detail or problem.title)]


def clipped(text: str | None, most: int) -> str | None:
    """The text, cut to what the wire takes."""
    return text if text is None else text[:most]


def _fault(detail: dict[str, Any]) -> Fault:
    field = ".".join(str(part) for part in detail["loc"] if part != "brief")
    return Fault(field=field, detail=str(detail["msg"]))
