"""Sessions and the cookies they hang on; a device that was let in before is known by a cookie."""

import hashlib
import hmac
import secrets
from datetime import timedelta
from typing import Any

from fastapi import Request, Response

from service.leads.lead import NotFound
from service.leads.letting_in import Place, known_place, strange_place
from service.leads.people import SESSION_LASTS, DeskSession, Person, PersonRole
from service.leads.ports import UnitOfWork
from service.pages.desk.devices import device_name
from service.pages.desk.rooms import HELPERS, here
from service.pages.posted import Posted
from service.pages.visit import Visit, go_to

CSRF = "csrf"

_SESSION_COOKIE = "desk"
_FORM_COOKIE = "desk-form"
_DEVICE_COOKIE = "desk-device"
# Neither a page without TLS nor another host of the same name can set a cookie that begins so.
_OURS_ALONE = "__Host-"
_PATH = "/desk"
_FORM_LASTS = timedelta(hours=12)
_DEVICE_LASTS = timedelta(days=400)
_DEVICE = "known-device"

# Often enough to tell one's devices apart, seldom enough not to write at every look.
_SEEN_EVERY = timedelta(minutes=5)


def session_of(request: Request, visit: Visit) -> DeskSession | None:
    """The session that the request's cookie stands for, which is in use with that."""
    session_id = _shown(request, visit, _SESSION_COOKIE)
    if not session_id:
        return None
    with visit.ports.read() as work:
        session = work.people.session(session_id, visit.now)
    if session is not None and visit.now - session.seen_at >= _SEEN_EVERY:
        with visit.ports.work() as work:
            work.people.seen(session_id, visit.now)
            work.commit()
    return session


def open_session(work: UnitOfWork, request: Request, visit: Visit, person: Person) -> str:
    """The id of a fresh session, to be handed over by `let_in` once it is committed.

    What the same browser had open before ends.
    """
    earlier = _shown(request, visit, _SESSION_COOKIE)
    if earlier:
        work.people.close_session(earlier)
    session_id = secrets.token_urlsafe(32)
    work.people.open_session(
        session_id,
        person.id,
        csrf=secrets.token_urlsafe(32),
        device=device_name(request.headers.get("user-agent", "")),
        now=visit.now,
    )
    return session_id


def let_in(request: Request, visit: Visit, person: Person, session_id: str, to: str) -> Response:
    """Go to a page of the desk with the session's cookie; the device is known from now on."""
    response = go_to(page_for(person, to))
    _set_cookie(response, visit, _SESSION_COOKIE, session_id, SESSION_LASTS)
    device = _device_of(request, visit, person)
    if device is None:
        name = f"{person.id}.{secrets.token_urlsafe(12)}"
        device = visit.ports.signer.sign(name, purpose=_DEVICE)
    _set_cookie(response, visit, _DEVICE_COOKIE, device, _DEVICE_LASTS)
    _take_away(response, visit, _FORM_COOKIE)
    return response


def let_out(request: Request, visit: Visit) -> Response:
    """End the session."""
    with visit.ports.work() as work:
        work.people.close_session(_shown(request, visit, _SESSION_COOKIE) or "")
        work.commit()
    return out_at_the_door(visit)


def out_at_the_door(visit: Visit) -> Response:
    """Where somebody goes whose session has ended."""
    response = go_to(f"{_PATH}/sign-in")
    _take_away(response, visit, _SESSION_COOKIE)
    return response


def place_of(request: Request, visit: Visit, person: Person | None) -> Place:
    """Where somebody who says to be that person tries to sign in from."""
    device = None if person is None else _device_of(request, visit, person)
    if device is None:
        return strange_place(visit.visitor or "unknown")
    return known_place(hashlib.sha256(device.encode()).hexdigest())


def show_before_session(request: Request, visit: Visit, template: str, **values: Any) -> Response:
    """A page with a form for somebody who has no session yet.

    The form's token stands in a cookie as well, which other sites can neither read nor set.
    """
    token = _shown(request, visit, _FORM_COOKIE) or secrets.token_urlsafe(32)
    response = visit.show(template, csrf=token, **values)
    _set_cookie(response, visit, _FORM_COOKIE, token, _FORM_LASTS)
    return response


def is_our_form(request: Request, visit: Visit, sent: Posted) -> bool:
    """Whether a form for somebody without a session came from our own page."""
    expected = _shown(request, visit, _FORM_COOKIE) or ""
    return bool(expected) and hmac.compare_digest(sent.raw(CSRF).encode(), expected.encode())


def within_desk(path: str) -> str:
    """The path if it leads to the desk, the desk's first page otherwise."""
    inside = path == _PATH or path.startswith(f"{_PATH}/")
    return path if inside and "\\" not in path and "//" not in path else _PATH


def page_for(person: Person, to: str) -> str:
    """The page they asked for, unless it is the owner's and they are not."""
    if person.role is PersonRole.OWNER or here(to.partition("?")[0], HELPERS):
        return to
    return HELPERS[0].path


def _device_of(request: Request, visit: Visit, person: Person) -> str | None:
    """The cookie of a device on which that person was let in before."""
    device = _shown(request, visit, _DEVICE_COOKIE)
    if not device:
        return None
    try:
        name = visit.ports.signer.read(device, purpose=_DEVICE)
    except NotFound:
        return None
    return device if name.partition(".")[0] == person.id else None


def _by_tls(visit: Visit) -> bool:
    return visit.ports.public_url.startswith("https://")


def _cookie(visit: Visit, name: str) -> str:
    return f"{_OURS_ALONE}{name}" if _by_tls(visit) else name


def _shown(request: Request, visit: Visit, name: str) -> str | None:
    return request.cookies.get(_cookie(visit, name))


def _set_cookie(response: Response, visit: Visit, name: str, value: str, lasts: timedelta) -> None:
    response.set_cookie(
        _cookie(visit, name),
        value,
        max_age=int(lasts.total_seconds()),
        secure=_by_tls(visit),
        httponly=True,
        samesite="strict",
    )


def _take_away(response: Response, visit: Visit, name: str) -> None:
    response.delete_cookie(
        _cookie(visit, name), secure=_by_tls(visit), httponly=True, samesite="strict"
    )
