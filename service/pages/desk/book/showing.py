"""The pages that a change of the price book goes through: the form, and what it does to prices."""

from collections.abc import Iterator, Sequence
from http import HTTPStatus

from fastapi import Response

from service.estimating import BookError
from service.leads.book_forms import Form, Group, Part, Rows
from service.leads.price_books import BookVersion
from service.leads.shop_time import today_at
from service.leads.trying_out import tried_out
from service.pages.desk.access import Desk
from service.pages.desk.book.wording import fact_told, faults_of, told

LONGEST_NOTE = 200

# So few rows are shown open.
_FEW_ROWS = 3


def show_form(
    desk: Desk,
    form: Form,
    *,
    basis: str,
    all_open: bool = False,
    notice: str = "",
    trouble: str = "",
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    """The form; `basis` is the version that its changes begin with."""
    return desk.show(
        "desk/book/page.html",
        status=status,
        form=form,
        basis=basis,
        opened=frozenset(_opened(form)),
        summary={name: f"{_called(form, name)}: {text}" for name, text in form.faults.items()},
        few=_FEW_ROWS,
        told=fact_told,
        all_open=all_open,
        notice=notice,
        trouble=trouble,
    )


def changed_meanwhile(desk: Desk, newest: BookVersion) -> str:
    """What is said where somebody else was quicker."""
    by = told(desk.visit, newest)
    return (
        f"The price book was changed in the meantime ({by.who}, {by.when}). Nothing is saved yet, "
        "and what you typed is still here: look at what it changes now, then save it."
    )


def show_change(
    desk: Desk,
    text: str,
    *,
    basis: str,
    page: str = "",
    note: str = "",
    trouble: str = "",
) -> Response:
    """Usual jobs by the book in use and by the text, and the lines that differ."""
    visit, books = desk.visit, desk.visit.ports.price_books
    try:
        new = books.read(text)
    except BookError as error:
        return show_faults(desk, faults_of(error))
    calibration = visit.ports.calibrations.current()
    tried = tried_out(visit.book, new, calibration, today=today_at(visit.now, visit.book))
    return desk.show(
        "desk/book/change.html",
        status=HTTPStatus.CONFLICT if trouble else HTTPStatus.OK,
        tried=tried,
        changed=books.editor.compared(books.text_of(basis) or "", text),
        text=text,
        basis=basis,
        page=page,
        note=note,
        longest=LONGEST_NOTE,
        currency=new.shop.currency,
        trouble=trouble,
    )


def show_faults(desk: Desk, faults: tuple[str, ...]) -> Response:
    """What is wrong with a text that came as a whole."""
    return desk.show("desk/book/faults.html", status=HTTPStatus.UNPROCESSABLE_ENTITY, faults=faults)


def _called(form: Form, name: str) -> str:
    """Where a fault stands, in words: "Suppliers, 2, Delivery"."""
    said: list[str] = []
    parts: Sequence[Part] = form.parts
    while (at := _holding(parts, name)) is not None:
        number = at.name.rpartition(".")[2]
        said.append(str(int(number) + 1) if number.isdecimal() else at.label)
        parts = at.parts if isinstance(at, Group) else at.rows if isinstance(at, Rows) else ()
    return ", ".join(said)


def _holding(parts: Sequence[Part], name: str) -> Part | None:
    return next((each for each in parts if f"{name}.".startswith(f"{each.name}.")), None)


def _opened(form: Form) -> Iterator[str]:
    """Names of everything that a fault or a new row stands in."""
    for name in (*form.faults, *filter(None, [form.fresh])):
        steps = name.split(".")
        yield from (".".join(steps[:length]) for length in range(1, len(steps) + 1))
