"""The price book's first page: what it consists of, and which version is in use."""

from fastapi import APIRouter, Response

from service.pages.desk.access import SignedIn
from service.pages.desk.book.wording import path_of_page, told

router = APIRouter()

_DONE = {
    "saved": "Saved. New prices are made by it from now on; quotes that are out keep theirs.",
    "same": "That is what the book says already, so nothing was saved.",
}


@router.get("")
def book_page(desk: SignedIn, done: str = "") -> Response:
    """A list of the pages. `done` says what has just happened."""
    books = desk.visit.ports.price_books
    return desk.show(
        "desk/book/index.html",
        pages=[(page, path_of_page(page)) for page in books.editor.pages()],
        newest=told(desk.visit, books.newest()),
        problem=books.problem,
        notice=_DONE.get(done),
    )
