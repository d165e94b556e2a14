"""The owner's helpers, and the set-ups that they see, as JSON."""

from http import HTTPStatus

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import people as wire
from service.contract.estimate import Problem
from service.leads import letting_in
from service.leads.people import Person
from service.workshop import set_ups, sheet

_OWNER = Depends(allow(Role.OWNER))
_NOBODY: dict[int | str, dict[str, object]] = {
    404: {"model": Problem, "description": "There is no such helper."}
}

router = APIRouter(tags=["people"], dependencies=[_OWNER])


@router.get("/people")
def list_people(ports: Given) -> list[wire.Person]:
    """Everybody who has, or had, an account at the desk."""
    with ports.read() as work:
        return [_person(each) for each in work.people.every()]


@router.post(
    "/people",
    status_code=HTTPStatus.CREATED,
    responses={409: {"model": Problem, "description": "There is somebody of that name."}},
)
def invite(body: wire.NewHelper, ports: Given) -> wire.Welcome:
    """Invite a helper; the answer has the link to pass on, good once and for three days."""
    with ports.work() as work:
        welcome = letting_in.invite(work, ports, body.name, now=ports.clock())
        work.commit()
    return _welcome(welcome)


@router.post("/people/{person_id}/invitations", status_code=HTTPStatus.CREATED, responses=_NOBODY)
def invite_again(person_id: str, ports: Given) -> wire.Welcome:
    """A fresh link to a password; one that was made before no longer works."""
    with ports.work() as work:
        welcome = letting_in.invite_again(work, ports, person_id, now=ports.clock())
        work.commit()
    return _welcome(welcome)


@router.post("/people/{person_id}/end", responses=_NOBODY)
def end(person_id: str, ports: Given) -> wire.Person:
    """End a helper's access; their sessions end at once. Again, nothing changes."""
    with ports.work() as work:
        letting_in.end(work, person_id, now=ports.clock())
        person = _person(work.people.get(person_id))
        work.commit()
    return person


@router.get("/jobs")
def list_jobs(ports: Given) -> list[wire.Job]:
    """Coming set-ups, the next one first."""
    book = ports.price_books.current()
    with ports.read() as work:
        coming = set_ups.coming(work, book, now=ports.clock())
    return [wire.Job.model_validate(set_ups.listed(each)) for each in coming]


@router.get(
    "/jobs/{hold_id}",
    responses={404: {"model": Problem, "description": "It is not among those that are coming."}},
)
def read_job(hold_id: str, ports: Given) -> wire.Sheet:
    """The sheet of one coming set-up."""
    books, now = ports.price_books, ports.clock()
    with ports.read() as work:
        found = set_ups.find(work, books.current(), hold_id, now=now)
    return wire.Sheet.model_validate(sheet.sheet(found, books, now=now))


def _person(person: Person) -> wire.Person:
    begun = "active" if person.may_sign_in else "invited"
    return wire.Person(
        id=person.id,
        role=person.role.value,
        name=person.name,
        state="ended" if person.ended_at else begun,
        since=person.since,
    )


def _welcome(welcome: letting_in.Welcome) -> wire.Welcome:
    return wire.Welcome(
        person=_person(welcome.person), url=welcome.url, expires_at=welcome.expires_at
    )
