"""Who sits at the desk: the owner and helpers, and forms that only our own pages can send."""

import hmac
from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Depends, Request, Response

from service.leads.lead import Lead, NotFound
from service.leads.people import DeskSession, Person, PersonRole
from service.leads.ports import UnitOfWork
from service.pages.desk.rooms import FRONT, FURTHER, HELPERS, MORE, here
from service.pages.desk.sessions import CSRF, session_of
from service.pages.posted import Sent
from service.pages.visit import Instead, Visit, Visiting, go_to

_OLD_PAGE = (
    "This page was open for too long, or you signed in again elsewhere. Nothing was changed. Go "
    "back, load the page afresh and press the button once more."
)
_OWNERS_PAGE = "Prices, messages and the rest of the desk are the owner's."


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """A visit by somebody who is signed in."""

    visit: Visit
    session: DeskSession

    @property
    def person(self) -> Person:
        """Who it is."""
        return self.session.person

    @property
    def who(self) -> str:
        """How histories name them: "owner", or the helper's name."""
        return self.person.who

    @property
    def is_owner(self) -> bool:
        """Whether everything may be seen and done."""
        return self.person.role is PersonRole.OWNER

    def show(self, template: str, **values: Any) -> Response:
        """A page of the desk, whose forms carry the session's token."""
        rooms = FRONT if self.is_owner else HELPERS
        return self.visit.show(
            template,
            csrf=self.session.csrf,
            rooms=rooms,
            home=rooms[0].path,
            here=self._room(),
            **values,
        )

    def _room(self) -> str | None:
        """The room of the bar that the page belongs to."""
        if not self.is_owner:
            return here(self.visit.path, HELPERS)
        room = here(self.visit.path, (*FRONT, *FURTHER))
        return MORE if room in {each.path for each in FURTHER} else room

    def trouble(self, status: HTTPStatus, title: str, *paragraphs: str) -> Response:
        """A page that says what went wrong, with the way back to the desk."""
        return self.show("desk/trouble.html", status=status, title=title, paragraphs=paragraphs)

    def lead(self, work: UnitOfWork, lead_id: str) -> Lead:
        """The request of an address; where there is none, a page says so instead."""
        try:
            return work.leads.get(lead_id)
        except NotFound as gone:
            raise Instead(self.no_request()) from gone

    def no_request(self) -> Response:
        """The page for the address of a request that there is not."""
        return self.trouble(HTTPStatus.NOT_FOUND, "There is no such request")


def _anyone(request: Request, visit: Visiting) -> Desk:
    session = session_of(request, visit)
    if session is None:
        back = request.url.path if request.method == "GET" else "/desk"
        raise Instead(go_to(f"/desk/sign-in?to={quote(back)}"))
    return Desk(visit=visit, session=session)


AnyoneIn = Annotated[Desk, Depends(_anyone)]
"""The owner or a helper."""


def _owner(desk: AnyoneIn) -> Desk:
    if not desk.is_owner:
        raise Instead(
            desk.trouble(HTTPStatus.FORBIDDEN, "This page is for the owner", _OWNERS_PAGE)
        )
    return desk


SignedIn = Annotated[Desk, Depends(_owner)]
"""The owner; helpers are told that the page is not for them."""


def _with_token(desk: Desk, sent: Sent) -> Desk:
    if not hmac.compare_digest(sent.raw(CSRF).encode(), desk.session.csrf.encode()):
        raise Instead(desk.trouble(HTTPStatus.FORBIDDEN, "Please press that again", _OLD_PAGE))
    return desk


def _confirmed(desk: SignedIn, sent: Sent) -> Desk:
    return _with_token(desk, sent)


Confirmed = Annotated[Desk, Depends(_confirmed)]
"""The owner, by a form of this session."""


def _anyone_confirmed(desk: AnyoneIn, sent: Sent) -> Desk:
    return _with_token(desk, sent)


AnyoneConfirmed = Annotated[Desk, Depends(_anyone_confirmed)]
"""The owner or a helper, by a form of this session."""
