"""Who sits at the desk: sessions, and forms that only our own pages can send."""

import hmac
import secrets
from dataclasses import dataclass
from datetime import timedelta
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Depends, Request, Response

from service.leads.ports import UnitOfWork
from service.leads.repositories import DeskSession
from service.pages.desk.rooms import FRONT, here
from service.pages.posted import Posted, Sent
from service.pages.visit import Instead, Visit, Visiting, go_to

_SESSION_COOKIE = "desk"
_FORM_COOKIE = "desk-form"
_PATH = "/desk"
_SESSION_LASTS = timedelta(days=14)
_FORM_LASTS = timedelta(hours=12)
CSRF = "csrf"

_OLD_PAGE = (
    "This page was open for too long, or you signed in again elsewhere. Nothing was changed. Go "
    "back, load the page afresh and press the button once more."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """A visit by the signed-in owner."""

    visit: Visit
    session: DeskSession

    def show(self, template: str, **values: Any) -> Response:
        """A page of the desk, whose forms carry the session's token."""
        return self.visit.show(
            template,
            csrf=self.session.csrf,
            rooms=FRONT,
            here=here(self.visit.path, FRONT),
            **values,
        )

    def trouble(self, status: HTTPStatus, title: str, *paragraphs: str) -> Response:
        """A page that says what went wrong, with the way back to the desk."""
        return self.show("desk/trouble.html", status=status, title=title, paragraphs=paragraphs)


def session_of(request: Request, visit: Visit) -> DeskSession | None:
    """The session that the request's cookie stands for."""
    session_id = request.cookies.get(_SESSION_COOKIE)
    if not session_id:
        return None
    with visit.ports.read() as work:
        return work.owners.session(session_id, visit.now)


def _signed_in(request: Request, visit: Visiting) -> Desk:
    session = session_of(request, visit)
    if session is None:
        back = request.url.path if request.method == "GET" else _PATH
        raise Instead(go_to(f"{_PATH}/sign-in?to={quote(back)}"))
    return Desk(visit=visit, session=session)


SignedIn = Annotated[Desk, Depends(_signed_in)]


def _confirmed(desk: SignedIn, sent: Sent) -> Desk:
    if not hmac.compare_digest(sent.raw(CSRF).encode(), desk.session.csrf.encode()):
        raise Instead(desk.trouble(HTTPStatus.FORBIDDEN, "Please press that again", _OLD_PAGE))
    return desk


Confirmed = Annotated[Desk, Depends(_confirmed)]


def open_session(work: UnitOfWork, visit: Visit) -> DeskSession:
    """A fresh session, to be handed over by `let_in` once it is committed."""
    session = DeskSession(
        id=secrets.token_urlsafe(32),
        csrf=secrets.token_urlsafe(32),
        expires_at=visit.now + _SESSION_LASTS,
    )
    work.owners.open_session(session)
    return session


def let_in(visit: Visit, session: DeskSession, to: str) -> Response:
    """Go to a page of the desk with the session's cookie."""
    response = go_to(to)
    _set_cookie(response, visit, _SESSION_COOKIE, session.id, _SESSION_LASTS)
    response.delete_cookie(_FORM_COOKIE, path=_PATH)
    return response


def let_out(request: Request, desk: Desk) -> Response:
    """End the session."""
    with desk.visit.ports.work() as work:
        work.owners.close_session(request.cookies[_SESSION_COOKIE])
        work.commit()
    response = go_to(f"{_PATH}/sign-in")
    response.delete_cookie(_SESSION_COOKIE, path=_PATH)
    return response


def show_before_session(request: Request, visit: Visit, template: str, **values: Any) -> Response:
    """A page with a form for somebody who has no session yet.

    The form's token stands in a cookie as well, which other sites can neither read nor set.
    """
    token = request.cookies.get(_FORM_COOKIE) or secrets.token_urlsafe(32)
    response = visit.show(template, csrf=token, **values)
    _set_cookie(response, visit, _FORM_COOKIE, token, _FORM_LASTS)
    return response


def is_our_form(request: Request, sent: Posted) -> bool:
    """Whether a form for somebody without a session came from our own page."""
    expected = request.cookies.get(_FORM_COOKIE, "")
    return bool(expected) and hmac.compare_digest(sent.raw(CSRF).encode(), expected.encode())


def within_desk(path: str) -> str:
    """The path if it leads to the desk, the desk's first page otherwise."""
    inside = path == _PATH or path.startswith(f"{_PATH}/")
    return path if inside and "\\" not in path and "//" not in path else _PATH


def _set_cookie(response: Response, visit: Visit, name: str, value: str, lasts: timedelta) -> None:
    response.set_cookie(
        name,
        value,
        max_age=int(lasts.total_seconds()),
        path=_PATH,
        secure=visit.ports.public_url.startswith("https://"),
        httponly=True,
        samesite="strict",
    )
