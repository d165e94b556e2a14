"""Who helps: inviting somebody, passing the link on, ending their access."""

from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import letting_in, words
from service.leads.lead import NotFound
from service.leads.letting_in import Welcome
from service.leads.people import BadName, Person, PersonRole
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter(prefix="/people")

_NOBODY = "There is no such helper"


@dataclass(frozen=True, kw_only=True, slots=True)
class Helper:
    """A helper as the page lists them."""

    id: str
    name: str
    state: str
    ended: bool
    again: str


@router.get("")
def people_page(desk: SignedIn, ended: str = "") -> Response:
    """Who helps. `ended` says that somebody's access has just been ended."""
    said = "Their access has ended, and they are signed out everywhere." if ended else None
    return _page(desk, notice=said)


@router.post("")
def invite(desk: Confirmed, sent: Sent) -> Response:
    """A link for a new helper, shown this once."""
    name = sent.text("name")
    try:
        with desk.visit.ports.work() as work:
            welcome = letting_in.invite(work, desk.visit.ports, name, now=desk.visit.now)
            work.commit()
    except BadName as error:
        return _page(desk, name=name, faults={"name": str(error)})
    return _page(desk, welcome=welcome)


@router.post("/{person_id}/invitation")
def invite_again(person_id: str, desk: Confirmed) -> Response:
    """A fresh link; one that was made before no longer works."""
    try:
        with desk.visit.ports.work() as work:
            welcome = letting_in.invite_again(work, desk.visit.ports, person_id, now=desk.visit.now)
            work.commit()
    except NotFound:
        return desk.trouble(HTTPStatus.NOT_FOUND, _NOBODY)
    return _page(desk, welcome=welcome)


@router.post("/{person_id}/end")
def end(person_id: str, desk: Confirmed) -> Response:
    """Their access is over at once; a second press changes nothing."""
    try:
        with desk.visit.ports.work() as work:
            letting_in.end(work, person_id, now=desk.visit.now)
            work.commit()
    except NotFound:
        return desk.trouble(HTTPStatus.NOT_FOUND, _NOBODY)
    return go_to("/desk/people?ended=1")


def _page(
    desk: Desk,
    *,
    notice: str | None = None,
    welcome: Welcome | None = None,
    name: str = "",
    faults: dict[str, str] | None = None,
) -> Response:
    with desk.visit.ports.read() as work:
        people = work.people.every()
    return desk.show(
        "desk/people.html",
        status=HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK,
        helpers=[_helper(desk, each) for each in people if each.role is PersonRole.HELPER],
        notice=notice,
        welcome=welcome,
        until=welcome and words.moment(welcome.expires_at.astimezone(desk.visit.zone)),
        name=name,
        faults=faults or {},
        longest=letting_in.LONGEST_NAME,
    )


def _helper(desk: Desk, person: Person) -> Helper:
    since = person.ended_at or person.since
    day = words.day(since.astimezone(desk.visit.zone).date())
    ended = person.ended_at is not None
    if ended:
        state, again = f"access ended {day}", "Let them in again"
    elif person.may_sign_in:
        state, again = f"helps since {day}", "Link to a new password"
    else:
        state, again = f"invited {day}, has not chosen a password yet", "A fresh link"
    return Helper(id=person.id, name=person.name, state=state, ended=ended, again=again)
