"""Keeping a change of the price book that has been looked at."""

from fastapi import APIRouter, Response

from service.estimating import BookError
from service.leads.lead import NotFound, StaleDecision
from service.pages.desk.access import Confirmed, Desk
from service.pages.desk.book.showing import (
    LONGEST_NOTE,
    changed_meanwhile,
    show_change,
    show_faults,
    show_form,
)
from service.pages.desk.book.wording import faults_of
from service.pages.posted import Sent
from service.pages.visit import go_to

router = APIRouter()


@router.post("/save")
def save(desk: Confirmed, sent: Sent) -> Response:
    """Keep the text as the newest version, or go back to its form with nothing lost."""
    books = desk.visit.ports.price_books
    text, basis, page = sent.raw("text"), sent.text("basis"), sent.text("page")
    if sent.text("do") == "back":
        return _form_again(desk, text, basis=basis, page=page)
    note = sent.text("note")[:LONGEST_NOTE]
    try:
        version = books.save(text, by=desk.who, note=note, basis=basis)
    except StaleDecision:
        newest = books.newest()
        trouble = changed_meanwhile(desk, newest)
        return show_change(desk, text, basis=newest.version, page=page, note=note, trouble=trouble)
    except BookError as error:
        return show_faults(desk, faults_of(error))
    return go_to(f"/desk/book?done={'same' if version == basis else 'saved'}")


def _form_again(desk: Desk, text: str, *, basis: str, page: str) -> Response:
    if not page:
        return go_to("/desk/book/file")
    try:
        form = desk.visit.ports.price_books.editor.form(text.replace("\r\n", "\n"), page)
    except (NotFound, BookError):
        return go_to("/desk/book")
    return show_form(desk, form, basis=basis)
