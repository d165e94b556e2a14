"""Choosing the owner's password, signing in and out."""

import threading
from datetime import timedelta
from http import HTTPStatus

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError
from fastapi import APIRouter, Request, Response

from service.leads import handling
from service.leads.lead import LeadError, LinkExpired, NotFound
from service.leads.ports import UnitOfWork
from service.pages.desk.access import (
    Confirmed,
    is_our_form,
    let_in,
    let_out,
    open_session,
    session_of,
    show_before_session,
    within_desk,
)
from service.pages.posted import Posted, Sent
from service.pages.visit import Visit, Visiting, go_to

router = APIRouter()

_SHORTEST, _LONGEST = 12, 256
_MOST_FAILURES = 10
_FAILURES_COUNT_FOR = timedelta(minutes=15)

_hasher = PasswordHasher()

# One guess at a time: guesses sent side by side must not slip under the limit, and each one
# takes 64 MB of memory while it is hashed.
_one_at_a_time = threading.Lock()

_RELOADED = "This page had been open for too long. Please try once more."


@router.get("/welcome/{token}")
def welcome(token: str, request: Request, visit: Visiting) -> Response:
    """Choose the password; the link works until one has been chosen."""
    with visit.ports.read() as work:
        trouble = _unwelcome(work, visit, token)
    return trouble or _choosing(request, visit, None)


@router.post("/welcome/{token}")
def choose_password(token: str, request: Request, visit: Visiting, sent: Sent) -> Response:
    """Keep the password's hash and let the owner in."""
    said = None if is_our_form(request, sent) else _RELOADED
    said = said or _password_fault(sent)
    if said:
        return _choosing(request, visit, said, HTTPStatus.UNPROCESSABLE_ENTITY)
    hashed = _hasher.hash(sent.raw("password"))
    with visit.ports.work() as work:
        trouble = _unwelcome(work, visit, token)
        if trouble is not None:
            return trouble
        work.owners.set_password_hash(hashed, visit.now)
        session = open_session(work, visit)
        work.commit()
    return let_in(visit, session, "/desk")


@router.get("/sign-in")
def sign_in_page(request: Request, visit: Visiting, to: str = "/desk") -> Response:
    """The password, please; whoever is signed in goes straight on."""
    if session_of(request, visit) is not None:
        return go_to(within_desk(to))
    return _asking(request, visit, to, None)


@router.post("/sign-in")
def sign_in(request: Request, visit: Visiting, sent: Sent) -> Response:
    """Let the owner in, or say why not."""
    to = within_desk(sent.text("to"))
    if not is_our_form(request, sent):
        return _asking(request, visit, to, _RELOADED, HTTPStatus.FORBIDDEN)
    with _one_at_a_time:
        return _tried(request, visit, to, sent.raw("password"))


@router.post("/sign-out")
def sign_out(request: Request, desk: Confirmed) -> Response:
    """End the session."""
    return let_out(request, desk)


def _tried(request: Request, visit: Visit, to: str, password: str) -> Response:
    # By address: a stranger's guesses must not keep the owner out.
    address = request.client.host if request.client else "unknown"
    with visit.ports.read() as work:
        failures = work.owners.failures_since(visit.now - _FAILURES_COUNT_FOR, address)
        hashed = work.owners.password_hash()
    if failures >= _MOST_FAILURES:
        minutes = int(_FAILURES_COUNT_FOR.total_seconds() / 60)
        said = f"Too many wrong passwords. Wait {minutes} minutes, then try again."
        return _asking(request, visit, to, said, HTTPStatus.TOO_MANY_REQUESTS)
    if hashed is None:
        said = "No password has been chosen yet. Open the welcome link that the set-up printed."
        return _asking(request, visit, to, said, HTTPStatus.CONFLICT)
    # Hashing takes its time: nobody else's writing should wait for it.
    fits = _fits(hashed, password)
    with visit.ports.work() as work:
        if not fits:
            work.owners.record_failure(visit.now, address)
            work.commit()
            said = "That is not the password."
            return _asking(request, visit, to, said, HTTPStatus.UNPROCESSABLE_ENTITY)
        session = open_session(work, visit)
        work.commit()
    return let_in(visit, session, to)


def _fits(hashed: str, password: str) -> bool:
    try:
        return _hasher.verify(hashed, password[:_LONGEST])
    except (Argon2Error, InvalidHashError):
        return False


def _password_fault(sent: Posted) -> str | None:
    password = sent.raw("password")
    if len(password) < _SHORTEST:
        return f"Make it at least {_SHORTEST} characters; a short sentence is easy to remember."
    if len(password) > _LONGEST:
        return f"Keep it to {_LONGEST} characters, please."
    if password != sent.raw("again"):
        return "The two passwords differ. Please type them once more."
    return None


def _unwelcome(work: UnitOfWork, visit: Visit, token: str) -> Response | None:
    try:
        link_id = visit.ports.signer.read(token, purpose=handling.WELCOME_LINK)
        subject = work.links.find(link_id, purpose=handling.WELCOME_LINK, now=visit.now)
        if subject != "owner":
            raise NotFound("This link is not for the owner.")
        if work.owners.password_hash() is not None:
            raise LinkExpired("A password has been chosen.")
    except LeadError as error:
        return _no_welcome(visit, error)
    return None


def _no_welcome(visit: Visit, error: LeadError) -> Response:
    gone = isinstance(error, LinkExpired)
    return visit.show(
        "desk/no_welcome.html",
        status=HTTPStatus.GONE if gone else HTTPStatus.NOT_FOUND,
        gone=gone,
    )


def _choosing(
    request: Request, visit: Visit, said: str | None, status: HTTPStatus = HTTPStatus.OK
) -> Response:
    return show_before_session(
        request, visit, "desk/welcome.html", status=status, trouble=said, shortest=_SHORTEST
    )


def _asking(
    request: Request,
    visit: Visit,
    to: str,
    said: str | None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    return show_before_session(
        request, visit, "desk/sign_in.html", status=status, trouble=said, to=within_desk(to)
    )
