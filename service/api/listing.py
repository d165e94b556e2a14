"""The owner's list of leads, and what needs the owner now."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query

from service.api.access import Role, allow
from service.api.dependencies import Day, Given
from service.api.stuck import stuck_to_wire
from service.contract import listing as wire
from service.contract.estimate import Problem
from service.contract.leads import Client, LeadState
from service.leads import lead as core
from service.leads.dues import Due
from service.leads.finding import Listed, Wanted, cursor_of, words_of
from service.leads.needs import Call, Ending, needs
from service.leads.owner_words import summary_of
from service.leads.stuck import concerning

router = APIRouter(tags=["leads"], dependencies=[Depends(allow(Role.OWNER))])


@router.get("/leads", responses={404: {"model": Problem, "description": "There is no such page."}})
def list_leads(
    ports: Given,
    q: Annotated[
        str,
        Query(
            max_length=200,
            description="Words of name, email, place, postal code, the phone's digits or the"
            " number; each must be found, the last may be only begun.",
        ),
    ] = "",
    state: Annotated[LeadState | None, Query()] = None,
    since: Annotated[Day | None, Query(alias="from", description="First event day.")] = None,
    until: Annotated[Day | None, Query(alias="to", description="Last event day.")] = None,
    untold: Annotated[
        bool, Query(description="Only jobs done of which nobody has told how they went.")
    ] = False,
    before: Annotated[str | None, Query(max_length=64, description="`next` of a page.")] = None,
    limit: Annotated[int, Query(ge=1, le=100)] = 50,
) -> wire.LeadPage:
    """Leads, a page at a time: newest first, or by event day where days and no words are given."""
    after = cursor_of(before)
    if before is not None and after is None:
        raise core.NotFound("There is no such page. Pass on what `next` said.")
    wanted = Wanted(
        words=words_of(q),
        state=None if state is None else core.LeadState(state),
        since=since,
        until=until,
        untold=untold,
    )
    with ports.read() as work:
        found = work.listing.find(wanted, after=after, limit=limit)
    return wire.LeadPage(leads=[_listed(row) for row in found.rows], next=found.next)


@router.get("/needs")
def what_needs_the_owner(ports: Given) -> wire.Needs:
    """What needs the owner now: calls, requests, dates, quotes, money, finished jobs, steps."""
    with ports.read() as work:
        found = needs(work, ports, now=ports.clock())
        stuck_steps = [stuck_to_wire(concerning(work, step)) for step in found.stuck]
        steps_in_doubt = [stuck_to_wire(concerning(work, step)) for step in found.in_doubt]
    return wire.Needs(
        calls=[_call(each) for each in found.calls],
        waiting=[_listed(row) for row in found.waiting],
        held_dates=[_ending(each) for each in found.ending],
        unanswered_quotes=[_listed(row) for row in found.fresh],
        overdue=[_overdue(due) for due in found.overdue],
        more_overdue=found.more_overdue,
        untold_jobs=[_listed(row) for row in found.untold],
        more_untold_jobs=found.more_untold,
        stuck_steps=stuck_steps,
        steps_in_doubt=steps_in_doubt,
        more_stuck_steps=found.more_stuck,
    )


def _listed(row: Listed) -> wire.ListedLead:
    lead = row.lead
    return wire.ListedLead(
        lead_id=lead.id,
        number=lead.number,
        state=lead.state.value,
        channel=lead.channel,
        client=Client.model_validate(lead.client),
        source=lead.source,
        created_at=lead.created_at,
        answered_at=lead.answered_at,
        event_date=lead.brief.event.date,
        place=lead.brief.site.place,
        wanted=summary_of(lead.brief),
        review_reasons=list(lead.review_reasons),
        lost_because=lead.lost_because,
        price=None if row.price is None else wire.ListedPrice.model_validate(row.price),
        replaced_by=row.newer,
    )


def _call(value: Call) -> wire.ClientCall:
    return wire.ClientCall(
        conversation_id=value.calling.id,
        channel=value.calling.channel,
        chat_id=value.calling.chat_id,
        since=value.calling.since,
        words=value.calling.words,
        leads=[lead.number for lead in value.leads],
    )


def _ending(value: Ending) -> wire.HeldDate:
    return wire.HeldDate(
        lead=_listed(value.row),
        starts_at=value.hold.window.starts_at,
        ends_at=value.hold.window.ends_at,
        expires_at=value.hold.expires_at,
    )


def _overdue(due: Due) -> wire.Overdue:
    return wire.Overdue(
        lead_id=due.lead.id,
        number=due.lead.number,
        client=Client.model_validate(due.lead.client),
        due=due.account.due,
        owed_back=due.account.owed_back,
        currency=due.account.currency,
        since=due.on,
    )
