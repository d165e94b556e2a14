"""The calendar as JSON, and the feeds that can be subscribed to."""

import datetime as dt
from datetime import timedelta
from http import HTTPStatus
from typing import Annotated
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends, Query

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import calendar as wire
from service.contract import times
from service.leads import agenda, conflicts
from service.leads.agenda import Job
from service.leads.feeds import Feed
from service.leads.people import PersonRole
from service.leads.shop_time import midnight, zone_of

router = APIRouter(tags=["calendar"], dependencies=[Depends(allow(Role.OWNER))])

_LONGEST = timedelta(days=400)

Since = Annotated[times.Day, Query(alias="from", ge=dt.date(2000, 1, 1), le=dt.date(2999, 1, 1))]
Until = Annotated[times.Day, Query(alias="to", ge=dt.date(2000, 1, 1), le=dt.date(2999, 1, 1))]


@router.get("/calendar")
def calendar(since: Since, until: Until, ports: Given) -> wire.Calendar:
    """Held and booked jobs between two days, both included, and what does not fit together."""
    if not timedelta(0) <= until - since <= _LONGEST:
        detail = f"Ask for up to {_LONGEST.days} days at once, from the earlier to the later."
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail)
    book = ports.price_books.current()
    zone = zone_of(book)
    begins, ends = midnight(since, book), midnight(until + timedelta(days=1), book)
    with ports.read() as work:
        jobs = agenda.jobs(work, book, begins, ends, ports.clock())
        closed = work.closed.between(since, until)
    names = wire.Closed.model_fields
    return wire.Calendar(
        jobs=[_job(each, zone) for each in jobs],
        closed=[wire.Closed(**{name: getattr(each, name) for name in names}) for each in closed],
        conflicts=[
            wire.Conflict(
                kind=each.kind.value,
                at=each.at.astimezone(zone),
                lead_ids=list(each.lead_ids),
                text=each.text,
            )
            for each in conflicts.among(jobs, book, closed)
        ],
    )


@router.get("/feeds")
def feeds(ports: Given) -> list[wire.Feed]:
    """Feeds in use, without their addresses."""
    with ports.read() as work:
        return [wire.Feed.model_validate(each) for each in work.feeds.every()]


@router.post("/feeds", status_code=HTTPStatus.CREATED)
def make_feed(body: wire.FeedRequest, ports: Given) -> wire.NewFeed:
    """A fresh feed. Its address is told this once."""
    feed = Feed(
        id=ports.new_id(), role=PersonRole(body.role), name=body.name, made_at=ports.clock()
    )
    with ports.work() as work:
        key = work.feeds.make(feed)
        work.commit()
    made = wire.Feed.model_validate(feed)
    return wire.NewFeed(**dict(made), url=f"{ports.public_url}/calendar/{key}.ics")


@router.post("/feeds/{feed_id}/revoke", status_code=HTTPStatus.NO_CONTENT)
def revoke_feed(feed_id: str, ports: Given) -> None:
    """Its address opens nothing any more."""
    with ports.work() as work:
        work.feeds.revoke(feed_id, ports.clock())
        work.commit()


def _job(job: Job, zone: ZoneInfo) -> wire.Job:
    return wire.Job(
        lead_id=job.lead.id,
        number=job.lead.number,
        booked=job.booked,
        held_until=None if job.booked else job.hold.expires_at.astimezone(zone),
        crew=job.hold.crew,
        revision=job.hold.revision,
        blocks=[
            wire.Block(
                part=block.part.value,
                starts_at=block.starts_at.astimezone(zone),
                ends_at=block.ends_at.astimezone(zone),
                open_end=block.open_end,
                assumed_over=block.assumed_over and block.assumed_over.astimezone(zone),
            )
            for block in job.blocks
        ],
        unmade_h=job.unmade.total_seconds() / 3600,
        kit=dict(job.kit),
    )
