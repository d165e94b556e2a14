"""One's own account: where one is signed in, signing out of there, another password."""

from dataclasses import dataclass
from http import HTTPStatus

from fastapi import APIRouter, Request, Response

from service.leads import letting_in, words
from service.leads.people import DeskSession, folded
from service.pages.desk import passwords
from service.pages.desk.access import AnyoneConfirmed, AnyoneIn, Desk
from service.pages.desk.sessions import let_in, open_session, out_at_the_door
from service.pages.desk.signing_in import too_many
from service.pages.posted import Posted, Sent
from service.pages.visit import go_to

router = APIRouter(prefix="/account")

_DONE = {
    "ended": "That device is signed out.",
    "password": "Your new password is in use. Every other device is signed out.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Device:
    """A place where one is signed in."""

    key: str
    name: str
    opened: str
    seen: str
    this: bool


@router.get("")
def account_page(desk: AnyoneIn, done: str = "") -> Response:
    """Where one is signed in. `done` names what has just been done."""
    return _page(desk, notice=_DONE.get(done))


@router.post("/sessions/{key}/end")
def end_session(key: str, desk: AnyoneConfirmed) -> Response:
    """Sign one of one's own devices out; a second press changes nothing."""
    with desk.visit.ports.work() as work:
        work.people.close_session_of(desk.person.id, key)
        work.commit()
    if key == desk.session.key:
        return out_at_the_door(desk.visit)
    return go_to("/desk/account?done=ended")


@router.post("/sign-out-everywhere")
def sign_out_everywhere(desk: AnyoneConfirmed) -> Response:
    """End all of one's sessions, this one too."""
    with desk.visit.ports.work() as work:
        work.people.close_sessions_of(desk.person.id)
        work.commit()
    return out_at_the_door(desk.visit)


@router.post("/password")
def change_password(request: Request, desk: AnyoneConfirmed, sent: Sent) -> Response:
    """Choose another password by the present one; every other session ends."""
    visit = desk.visit
    trouble = _refused(desk, sent)
    if trouble is not None:
        return trouble
    hashed = passwords.hashed(sent.raw("password"))
    with visit.ports.work() as work:
        work.people.set_password_hash(desk.person.id, hashed, visit.now)
        session_id = open_session(work, request, visit, desk.person)
        work.commit()
    return let_in(request, visit, desk.person, session_id, "/desk/account?done=password")


def _refused(desk: Desk, sent: Posted) -> Response | None:
    visit, name = desk.visit, folded(desk.person.name)
    # A stolen session is not a place to guess from either.
    place = letting_in.known_place(desk.session.key)
    fault = passwords.fault_of(sent)
    if fault:
        return _page(desk, faults={"password": fault})
    with visit.ports.work() as work:
        wait = letting_in.wait_before_trying(work, name, place, visit.now)
        if not wait:
            work.people.record_guess(name, place.source, visit.now)
            work.commit()
        password_hash = work.people.password_hash(desk.person.id)
    if wait:
        return _page(desk, faults={"present": too_many(wait)}, status=HTTPStatus.TOO_MANY_REQUESTS)
    if not passwords.fits(password_hash, sent.raw("present")):
        return _page(desk, faults={"present": "That is not your present password."})
    with visit.ports.work() as work:
        work.people.forget_guesses(name, place.source)
        work.commit()
    return None


def _page(
    desk: Desk,
    *,
    notice: str | None = None,
    faults: dict[str, str] | None = None,
    status: HTTPStatus | None = None,
) -> Response:
    visit = desk.visit
    with visit.ports.read() as work:
        sessions = work.people.sessions_of(desk.person.id, visit.now)
    good = HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK
    return desk.show(
        "desk/account.html",
        status=status or good,
        called=visit.shop.owner if desk.is_owner else desk.person.name,
        devices=[_device(desk, session) for session in sessions],
        notice=notice,
        faults=faults or {},
        shortest=passwords.SHORTEST,
    )


def _device(desk: Desk, session: DeskSession) -> Device:
    zone = desk.visit.zone
    return Device(
        key=session.key,
        name=session.device,
        opened=words.moment(session.opened_at.astimezone(zone)),
        seen=words.moment(session.seen_at.astimezone(zone)),
        this=session.key == desk.session.key,
    )
