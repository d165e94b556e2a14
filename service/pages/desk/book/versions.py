"""Versions of the price book: the list, two of them compared, and the way back to one."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.estimating import BookError
from service.leads.lead import NotFound, StaleDecision
from service.leads.shop_time import today_at
from service.leads.trying_out import tried_out
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.book.showing import changed_meanwhile, show_faults
from service.pages.desk.book.wording import faults_of, told
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter()

_MOST = 100
_NOWHERE = "There is no such version of the price book"


@router.get("/versions")
def list_page(desk: SignedIn) -> Response:
    """What was saved, newest first."""
    found = desk.visit.ports.price_books.versions(_MOST)
    return desk.show(
        "desk/book/versions.html",
        versions=[told(desk.visit, each) for each in found],
        most=_MOST if len(found) == _MOST else None,
    )


@router.get("/versions/{version}")
def version_page(version: str, desk: SignedIn, against: str = "") -> Response:
    """One version beside another, which is the one in use unless `against` names it."""
    return _page(desk, version, against=against)


@router.post("/versions/{version}/back")
def go_back(version: str, desk: Confirmed, sent: Sent) -> Response:
    """Make it the newest one again."""
    books = desk.visit.ports.price_books
    basis = sent.text("basis")
    try:
        books.back_to(version, by=desk.who, basis=basis)
    except NotFound:
        return desk.trouble(HTTPStatus.NOT_FOUND, _NOWHERE)
    except StaleDecision:
        return _page(desk, version, trouble=changed_meanwhile(desk, books.newest()))
    except BookError as error:
        return show_faults(desk, faults_of(error))
    return go_to(f"/desk/book?done={'same' if version == basis else 'saved'}")


def _page(desk: Desk, version: str, *, against: str = "", trouble: str = "") -> Response:
    visit, books = desk.visit, desk.visit.ports.price_books
    newest = books.newest()
    other = against or newest.version
    about, beside = books.about(version), books.about(other)
    text, other_text = books.text_of(version), books.text_of(other)
    if about is None or beside is None or text is None or other_text is None:
        return desk.trouble(HTTPStatus.NOT_FOUND, _NOWHERE)
    book = books.of(version)
    in_use = version == newest.version
    today, calibration = today_at(visit.now, visit.book), visit.ports.calibrations.current()
    tried = tried_out(visit.book, book, calibration, today=today) if book and not in_use else ()
    return desk.show(
        "desk/book/version.html",
        status=HTTPStatus.CONFLICT if trouble else HTTPStatus.OK,
        about=told(visit, about),
        beside=told(visit, beside),
        changed=books.editor.compared(other_text, text),
        versions=[told(visit, each) for each in books.versions(_MOST)],
        text=text,
        basis=newest.version,
        in_use=in_use,
        readable=book is not None,
        tried=tried,
        trouble=trouble,
    )
