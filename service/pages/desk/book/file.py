"""The whole price book as one file: down, and up again."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.book.showing import show_change
from service.pages.desk.book.wording import told
from service.pages.posted import Sent

router = APIRouter()

_LARGEST = 1024 * 1024
_NAME = "price_book.yaml"

_NOTHING = "Pick a file first."
_TOO_LARGE = "That file is larger than 1 MB. A price book is a small part of that."
_NO_TEXT = "That file is not a text in UTF-8. Save it as plain text and send it again."
_SAME = "That file says what the book says already."


@router.get("/file")
def file_page(desk: SignedIn) -> Response:
    """Both ways, to choose from."""
    return _page(desk)


@router.get("/file/price_book.yaml")
def download(desk: SignedIn) -> Response:
    """The text as it stands, with its comments."""
    books = desk.visit.ports.price_books
    return Response(
        books.text_of(books.newest().version) or "",
        media_type="application/yaml",
        headers={
            "Content-Disposition": f'attachment; filename="{_NAME}"',
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )


@router.post("/file")
def upload(desk: Confirmed, sent: Sent) -> Response:
    """Look at what a file would change. Nothing is kept here."""
    books = desk.visit.ports.price_books
    text, basis = sent.raw("book"), sent.text("basis")
    fault = _fault(text)
    if fault:
        return _page(desk, fault=fault, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    text = text.replace("\r\n", "\n").rstrip() + "\n"
    if text == books.text_of(books.newest().version):
        return _page(desk, fault=_SAME, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    return show_change(desk, text, basis=basis)


def _fault(text: str) -> str:
    if not text.strip():
        return _NOTHING
    if len(text.encode()) > _LARGEST:
        return _TOO_LARGE
    return _NO_TEXT if "\N{REPLACEMENT CHARACTER}" in text or "\0" in text else ""


def _page(desk: Desk, *, fault: str = "", status: HTTPStatus = HTTPStatus.OK) -> Response:
    newest = desk.visit.ports.price_books.newest()
    return desk.show(
        "desk/book/file.html",
        status=status,
        newest=told(desk.visit, newest),
        basis=newest.version,
        name=_NAME,
        faults={"book": fault} if fault else {},
    )
