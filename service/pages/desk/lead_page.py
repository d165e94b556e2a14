"""What the page of one request shows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from http import HTTPStatus
from typing import Any

from fastapi import Response

from service.leads import (
    asking,
    cancelling,
    editing,
    handling,
    merging,
    owner_words,
    stuck,
    wording,
    words,
)
from service.leads.lead import Hold, Lead, LeadState, Quote
from service.leads.owner_words import CHANNELS, price_of
from service.leads.ports import UnitOfWork
from service.leads.price_books import book_of, dated
from service.leads.recording import may_tell
from service.leads.task_words import task_name
from service.pages.desk import reminders
from service.pages.desk.access import Desk
from service.pages.desk.chat import Chat
from service.pages.desk.conversation import talk_of
from service.pages.desk.costs import cost_rows, steps_to_price
from service.pages.desk.history import history_of
from service.pages.desk.making import made_of
from service.pages.desk.stuck_rows import row_of_stuck
from service.pages.desk.wording import BECAUSE, state_of
from service.pages.newer import newer_than
from service.pages.pictures import framed
from service.workshop.quote_document import piece_views

_DATED = (LeadState.HELD, LeadState.BOOKED, LeadState.DONE)


@dataclass(frozen=True, kw_only=True, slots=True)
class Entered:
    """What was typed into the decision forms, and by field what is wrong with it."""

    price: str = ""
    reason: str = ""
    text: str = ""
    kind_no: str | None = None
    because: str = ""
    why: str = ""
    note: str = ""
    sure: Decimal | None = None
    faults: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Sent:
    """A quote that the client was sent."""

    number: str
    what: str
    when: str
    until: str
    note: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class NoteView:
    """A note, with who wrote it and when."""

    text: str
    by: str


def show_lead(
    desk: Desk,
    lead_id: str,
    *,
    notice: str | None = None,
    trouble: str | None = None,
    entered: Entered | None = None,
    ask: Sequence[str] = (),
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    """The request. `ask` names what the answer is to ask the client about."""
    with desk.visit.ports.read() as work:
        lead = desk.lead(work, lead_id)
        if lead.erased_at is not None:
            day = words.day(lead.erased_at.astimezone(desk.visit.zone).date())
            return desk.show("desk/erased.html", status=status, number=lead.number, day=day)
        quotes = work.quotes.of_lead(lead.id)
        quote = quotes[-1] if quotes else None
        return desk.show(
            "desk/lead.html",
            status=status,
            lead=lead,
            entered=entered or Entered(),
            faults=entered.faults if entered else {},
            stuck=[row_of_stuck(each) for each in stuck.of_lead(work, lead)],
            notice=notice,
            trouble=trouble,
            **_head(desk, work, lead),
            **_price(desk, work, lead, quote),
            **_decisions(desk, work, lead, quote),
            **_asked(desk, lead, quote, ask),
            sent=[_sent(desk, each) for each in reversed(quotes) if each.sent_at],
            notes=_notes(desk, work, lead),
            reminders=reminders.of_lead(desk, work, lead),
            history=history_of(desk, work, lead.id),
            **talk_of(desk, work, Chat(channel=lead.channel, chat_id=lead.chat_id)),
        )


def _head(desk: Desk, work: UnitOfWork, lead: Lead) -> dict[str, Any]:
    visit = desk.visit
    newer = newer_than(work, visit.ports, lead)
    hold = work.holds.of_lead(lead.id)
    before = handling.firm_before(work, lead)
    chat_leads = work.leads.of_chat(lead.channel, lead.chat_id)
    canceled = lead.state is LeadState.DECLINED and cancelling.cancelled(work, lead.id)
    return {
        "state": state_of(lead, newer),
        "newer": newer,
        "before": before and owner_words.takes_the_place_of(before),
        "parts_taken_in": merging.parts_of(work, lead),
        "twins": merging.twins(work, lead),
        "others": [other for other in chat_leads if other.id != lead.id],
        "channel": CHANNELS.get(lead.channel, lead.channel),
        "asked": words.moment(lead.created_at.astimezone(visit.zone)),
        "conditions": words.conditions(lead.brief.site),
        "hold": hold and words.moment(hold.window.starts_at.astimezone(visit.zone)),
        "hold_until": hold and words.moment(hold.expires_at.astimezone(visit.zone)),
        "misfits": _misfits(desk, lead, hold),
        "dated": lead.state in _DATED or bool(canceled),
        "how_it_went": _how_it_went(desk, work, lead, hold),
    }


def _how_it_went(desk: Desk, work: UnitOfWork, lead: Lead, hold: Hold | None) -> str | None:
    """What leads to where that is told, once it can be."""
    if not may_tell(lead, hold, desk.visit.now):
        return None
    finished = work.actuals.of(lead.id)
    if finished is None:
        return "Tell how it went"
    return f"How it went: it cost {words.money(finished.real_cost, finished.currency)}"


def _misfits(desk: Desk, lead: Lead, hold: Hold | None) -> str | None:
    """Where the kept time is no longer on the day of the brief."""
    if hold is None or lead.brief.event.date is None:
        return None
    kept = hold.window.starts_at.astimezone(desk.visit.zone).date()
    return None if kept == lead.brief.event.date else words.day(kept)


def _price(desk: Desk, work: UnitOfWork, lead: Lead, quote: Quote | None) -> dict[str, Any]:
    if quote is None:
        return {"quote": None, "estimate": None}
    visit = desk.visit
    book, hold = book_of(visit.ports.price_books, quote), work.holds.of_lead(lead.id)
    window, brief = hold.window if hold else None, quote.brief
    return {
        "quote": quote,
        "estimate": quote.estimate,
        "price": price_of(quote),
        "picture": framed(
            quote,
            words.ENGLISH,
            owner=visit.shop.owner,
            path=f"/desk/leads/{lead.id}/picture.webp?of={quote.number}",
        ),
        "pieces": piece_views(brief, quote.estimate, book),
        "costs": cost_rows(quote.estimate),
        "steps": steps_to_price(quote.estimate, book, day=brief.event.date),
        "likely_cost": quote.estimate.cost.likely,
        "hours": {task_name(task): spent for task, spent in quote.estimate.hours.items() if spent},
        "made": made_of(quote.estimate, brief, window, visit.zone),
        "book": dated(visit.ports.price_books, quote.book_version, visit.zone),
        "expires": words.day(quote.expires_at.astimezone(visit.zone).date()),
    }


def _decisions(desk: Desk, work: UnitOfWork, lead: Lead, quote: Quote | None) -> dict[str, Any]:
    newer = newer_than(work, desk.visit.ports, lead)
    said = desk.visit.ports.wording.in_language(lead.language)
    sendable = lead.can_become(LeadState.QUOTED) or lead.state is LeadState.BOOKED
    return {
        "can_send": quote is not None and newer is None and sendable,
        "can_decline": newer is None
        and lead.can_become(LeadState.DECLINED)
        and lead.state is not LeadState.BOOKED,
        "can_edit": newer is None and editing.may_edit(lead),
        "can_merge": editing.may_edit(lead),
        "because": BECAUSE,
        "kind_no": wording.declined(desk.visit.book, text=None, words=said).text,
    }


def _asked(desk: Desk, lead: Lead, quote: Quote | None, ask: Sequence[str]) -> dict[str, Any]:
    said = desk.visit.ports.wording.in_language(lead.language)
    found = asking.questions(lead, quote.estimate if quote else None, said)
    chosen = [each for each in found if each.about in ask]
    return {
        "questions": found,
        "chosen": {each.about for each in chosen},
        "prefilled": asking.put_together(chosen) if chosen else "",
    }


def _sent(desk: Desk, quote: Quote) -> Sent:
    sent_at = quote.sent_at or quote.created_at
    return Sent(
        number=quote.number,
        what=f"{'firm price' if quote.kind == 'firm' else 'ballpark'} of {price_of(quote)}",
        when=words.moment(sent_at.astimezone(desk.visit.zone)),
        until=words.day(quote.expires_at.astimezone(desk.visit.zone).date()),
        note=quote.note,
    )


def _notes(desk: Desk, work: UnitOfWork, lead: Lead) -> list[NoteView]:
    return [
        NoteView(
            text=note.text,
            by=f"{'you' if note.who == desk.who else note.who},"
            f" {words.moment(note.at.astimezone(desk.visit.zone))}",
        )
        for note in work.notes.of_lead(lead.id)
    ]
