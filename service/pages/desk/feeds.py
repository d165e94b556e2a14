"""Calendar feeds: made, shown once, revoked."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import words
from service.leads.feeds import Feed
from service.leads.people import PersonRole
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter(prefix="/feeds")

_LONGEST_NAME = 80

_READS = {
    PersonRole.OWNER: "everything, with clients' names and the way to your desk",
    PersonRole.HELPER: "the work: when, where and what, no clients and no prices",
}


@router.get("")
def feeds_page(desk: SignedIn, done: str = "") -> Response:
    """Feeds that are in use, and a form for a new one."""
    gone = "That address opens nothing any more." if done == "revoked" else None
    return _page(desk, notice=gone)


@router.post("")
def make(desk: Confirmed, sent: Sent) -> Response:
    """A fresh feed, whose address is shown this once."""
    name, role = sent.text("name"), sent.text("role")
    if role not in tuple(PersonRole) or not 0 < len(name) <= _LONGEST_NAME:
        fault = f"Say on whose device it is, in up to {_LONGEST_NAME} characters."
        return _page(desk, fault=fault, name=name, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    ports = desk.visit.ports
    feed = Feed(id=ports.new_id(), role=PersonRole(role), name=name, made_at=desk.visit.now)
    with ports.work() as work:
        key = work.feeds.make(feed)
        work.commit()
    return _page(desk, address=f"{ports.public_url}/calendar/{key}.ics", made=feed)


@router.post("/{feed_id}/revoke")
def revoke(feed_id: str, desk: Confirmed) -> Response:
    """Its address opens nothing any more."""
    with desk.visit.ports.work() as work:
        work.feeds.revoke(feed_id, desk.visit.now)
        work.commit()
    return go_to("/desk/feeds?done=revoked")


def _page(
    desk: Desk,
    *,
    notice: str | None = None,
    fault: str | None = None,
    name: str = "",
    address: str | None = None,
    made: Feed | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    visit = desk.visit
    with visit.ports.read() as work:
        feeds = work.feeds.every()
    return desk.show(
        "desk/feeds.html",
        status=status,
        notice=notice,
        faults={"name": fault} if fault else {},
        name=name,
        address=address,
        made=made,
        reads=_READS,
        feeds=[(feed, words.day(feed.made_at.astimezone(visit.zone).date())) for feed in feeds],
    )
