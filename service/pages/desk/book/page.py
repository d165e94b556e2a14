"""One page of the price book as a form."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads.lead import NotFound
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.book.showing import changed_meanwhile, show_change, show_form
from service.pages.posted import Posted, Sent

router = APIRouter()

_NOWHERE = "There is no such page of the price book"
_SAME = "Nothing is different yet. Change a figure first."


@router.get("/{page}")
def section_page(page: str, desk: SignedIn) -> Response:
    """The page as the book says."""
    books = desk.visit.ports.price_books
    version = books.newest().version
    try:
        form = books.editor.form(books.text_of(version) or "", page)
    except NotFound:
        return desk.trouble(HTTPStatus.NOT_FOUND, _NOWHERE)
    return show_form(desk, form, basis=version)


@router.post("/{page}")
def change_section(page: str, desk: Confirmed, sent: Sent) -> Response:
    """A row more or less, or a look at what the change does. Nothing is kept here."""
    try:
        return _changed(desk, page, sent)
    except NotFound:
        return desk.trouble(HTTPStatus.NOT_FOUND, _NOWHERE)


def _changed(desk: Desk, page: str, sent: Posted) -> Response:
    books = desk.visit.ports.price_books
    basis, typed = sent.text("basis"), dict(sent.items())
    act, _, name = sent.text("do").partition(" ")
    if act in ("add", "remove", "open"):
        form = books.editor.reshaped(page, typed, **({act: name} if name else {}))
        return show_form(desk, form, basis=basis, all_open=act == "open")
    newest = books.newest()
    form, text = books.editor.entered(books.text_of(newest.version) or "", page, typed)
    if text is None:
        return show_form(desk, form, basis=basis, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    if newest.version != basis:
        trouble = changed_meanwhile(desk, newest)
        return show_form(
            desk, form, basis=newest.version, trouble=trouble, status=HTTPStatus.CONFLICT
        )
    if text == books.text_of(newest.version):
        return show_form(desk, form, basis=basis, notice=_SAME)
    return show_change(desk, text, basis=basis, page=page)
