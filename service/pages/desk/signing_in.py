"""Choosing a password by a link, signing in and out."""

import math
from datetime import timedelta
from http import HTTPStatus

from fastapi import APIRouter, Request, Response

from service.leads import letting_in
from service.leads.lead import LeadError, LinkExpired
from service.leads.letting_in import Place
from service.leads.people import OWNER_ID, Person, PersonRole
from service.pages.desk import passwords
from service.pages.desk.access import AnyoneConfirmed
from service.pages.desk.sessions import (
    is_our_form,
    let_in,
    let_out,
    open_session,
    page_for,
    place_of,
    session_of,
    show_before_session,
    within_desk,
)
from service.pages.posted import Sent
from service.pages.visit import Visit, Visiting, go_to

router = APIRouter()

_RELOADED = "This page had been open for too long. Please try once more."
_WRONG = "That name and password don't go together."
_NOT_BEGUN = "No password has been chosen yet. Open the welcome link that the set-up printed."


@router.get("/welcome/{token}")
def welcome(token: str, request: Request, visit: Visiting) -> Response:
    """Choose a password; opening the link changes nothing."""
    try:
        with visit.ports.read() as work:
            person = letting_in.welcomed(work, visit.ports, token, now=visit.now)
    except LeadError as error:
        return _no_welcome(visit, error)
    return _choosing(request, visit, person, None)


@router.post("/welcome/{token}")
def choose_password(token: str, request: Request, visit: Visiting, sent: Sent) -> Response:
    """Keep the password's hash, and let whoever chose it in."""
    said = None if is_our_form(request, visit, sent) else _RELOADED
    said = said or passwords.fault_of(sent)
    try:
        # Hashing takes its time: a made-up link must not cost it.
        with visit.ports.read() as work:
            person = letting_in.welcomed(work, visit.ports, token, now=visit.now)
        if said:
            return _choosing(request, visit, person, said, HTTPStatus.UNPROCESSABLE_ENTITY)
        hashed = passwords.hashed(sent.raw("password"))
        with visit.ports.work() as work:
            person = letting_in.choose_password(work, visit.ports, token, hashed, now=visit.now)
            session_id = open_session(work, request, visit, person)
            work.commit()
    except LeadError as error:
        return _no_welcome(visit, error)
    return let_in(request, visit, person, session_id, "/desk")


@router.get("/sign-in")
def sign_in_page(request: Request, visit: Visiting, to: str = "/desk") -> Response:
    """Name and password, please; whoever is signed in goes straight on."""
    session = session_of(request, visit)
    if session is not None:
        return go_to(page_for(session.person, within_desk(to)))
    return _asking(request, visit, to, None)


@router.post("/sign-in")
def sign_in(request: Request, visit: Visiting, sent: Sent) -> Response:
    """Let somebody in, or say why not."""
    to, typed = within_desk(sent.text("to")), sent.text("name")
    if not is_our_form(request, visit, sent):
        return _asking(request, visit, to, _RELOADED, HTTPStatus.FORBIDDEN, name=typed)
    with visit.ports.work() as work:
        name = letting_in.who_is_called(work, typed, visit.shop.owner)
        person = work.people.named(name)
        place = place_of(request, visit, person)
        wait = letting_in.wait_before_trying(work, name, place, visit.now)
        if not wait:
            # Counted before it is looked at: guesses sent side by side do not slip through.
            work.people.record_guess(name, place.source, visit.now)
            work.commit()
    if wait:
        said, status = too_many(wait), HTTPStatus.TOO_MANY_REQUESTS
        return _asking(request, visit, to, said, status, name=typed)
    if person is None and name == OWNER_ID:
        return _asking(request, visit, to, _NOT_BEGUN, HTTPStatus.CONFLICT, name=typed)
    if not _may(visit, person, sent.raw("password")) or person is None:
        status = HTTPStatus.UNPROCESSABLE_ENTITY
        return _asking(request, visit, to, _WRONG, status, name=typed)
    return _opened(request, visit, person, place, name, to)


@router.post("/sign-out")
def sign_out(request: Request, desk: AnyoneConfirmed) -> Response:
    """End the session."""
    return let_out(request, desk.visit)


def too_many(wait: timedelta) -> str:
    """What is said to whoever has to wait before the next try."""
    minutes = math.ceil(wait.total_seconds() / 60)
    unit = "minute" if minutes == 1 else "minutes"
    return f"Too many wrong passwords. Wait {minutes} {unit}, then try again."


def _may(visit: Visit, person: Person | None, password: str) -> bool:
    with visit.ports.read() as work:
        password_hash = work.people.password_hash(person.id if person else "")
    # Compared outside of any transaction: nobody else's writing should wait for it.
    return passwords.fits(password_hash, password)


def _opened(
    request: Request, visit: Visit, person: Person, place: Place, name: str, to: str
) -> Response:
    with visit.ports.work() as work:
        work.people.forget_guesses(name, place.source)
        session_id = open_session(work, request, visit, person)
        work.commit()
    return let_in(request, visit, person, session_id, to)


def _no_welcome(visit: Visit, error: LeadError) -> Response:
    gone = isinstance(error, LinkExpired)
    return visit.show(
        "desk/no_welcome.html",
        status=HTTPStatus.GONE if gone else HTTPStatus.NOT_FOUND,
        gone=gone,
    )


def _choosing(
    request: Request,
    visit: Visit,
    person: Person,
    said: str | None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    owner = person.role is PersonRole.OWNER
    return show_before_session(
        request,
        visit,
        "desk/welcome.html",
        status=status,
        trouble=said,
        shortest=passwords.SHORTEST,
        called=visit.shop.owner if owner else person.name,
        owner=owner,
        anew=person.may_sign_in,
    )


def _asking(
    request: Request,
    visit: Visit,
    to: str,
    said: str | None,
    status: HTTPStatus = HTTPStatus.OK,
    *,
    name: str = "",
) -> Response:
    return show_before_session(
        request,
        visit,
        "desk/sign_in.html",
        status=status,
        trouble=said,
        to=within_desk(to),
        name=name,
    )
