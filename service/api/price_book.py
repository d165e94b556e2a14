"""The owner's price book: the text in use, its versions, what a change would do, a new text."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Header, Path, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import ValidationError

from service.api.access import Role, allow
from service.api.dependencies import Given, today
from service.api.problems import Refusal
from service.contract import price_book as wire
from service.contract.estimate import FieldProblem, Problem
from service.estimating import BookError, PriceBook
from service.leads.lead import OWNER, NotFound, StaleDecision
from service.leads.ports import Ports
from service.leads.trying_out import tried_out

router = APIRouter(
    prefix="/price-book", tags=["owner's desk"], dependencies=[Depends(allow(Role.OWNER))]
)

_UNKNOWN = "There is no such version of the price book."
_CANNOT_BE = "The price book cannot be used as it stands."
_NO_BASIS = 'Send If-Match with the version that the change begins with, such as "8736c5c7d658".'
_NO_UTF8 = "Send the text in UTF-8."

_WRONG: dict[int | str, dict[str, object]] = {
    422: {"model": Problem, "description": "What to correct, line by line."}
}

Version = Annotated[str, Path(pattern="^[0-9a-f]{12}$")]


async def _sent(request: Request) -> wire.NewPriceBook:
    """JSON with the text in it, or the text itself."""
    body = await request.body()
    try:
        if request.headers.get("content-type", "").startswith("application/json"):
            return wire.NewPriceBook.model_validate_json(body)
        return wire.NewPriceBook(text=body.decode())
    except ValidationError as error:
        raise RequestValidationError(error.errors(include_url=False)) from None
    except UnicodeDecodeError:
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, _NO_UTF8) from None


Sent = Annotated[wire.NewPriceBook, Depends(_sent)]

_BODY = {
    "requestBody": {
        "required": True,
        "content": {
            "application/json": {"schema": wire.NewPriceBook.model_json_schema()},
            "application/yaml": {"schema": {"type": "string"}},
        },
    }
}

# Asked for by the route itself, with 428: to FastAPI it is optional.
_BASIS = {
    "parameters": [
        {
            "name": "If-Match",
            "in": "header",
            "required": True,
            "description": "The version that the change begins with.",
            "schema": {"type": "string", "minLength": 1},
        }
    ]
}


@router.get("")
def read_price_book(ports: Given, response: Response) -> wire.PriceBookText:
    """The version in use; its name is the ETag too."""
    found = _text(ports, ports.price_books.newest().version)
    response.headers["ETag"] = f'"{found.version}"'
    return found


@router.put(
    "",
    openapi_extra=_BODY | _BASIS,
    responses=_WRONG
    | {
        412: {"model": Problem, "description": "Another version is the newest by now."},
        428: {"model": Problem, "description": "If-Match is missing."},
    },
)
def replace_price_book(
    sent: Sent,
    ports: Given,
    response: Response,
    if_match: Annotated[str | None, Header(include_in_schema=False)] = None,
) -> wire.PriceBookVersion:
    """Make a text the version in use. The same text again changes nothing."""
    if not if_match:
        raise Refusal(HTTPStatus.PRECONDITION_REQUIRED, _NO_BASIS)
    books, basis = ports.price_books, if_match.removeprefix("W/").strip('"')
    try:
        version = books.save(sent.text, by=OWNER, note=sent.note, basis=basis)
    except StaleDecision as error:
        raise Refusal(HTTPStatus.PRECONDITION_FAILED, str(error)) from None
    except BookError as error:
        raise _refusal(error) from None
    response.headers["ETag"] = f'"{version}"'
    return wire.PriceBookVersion.model_validate(books.newest())


@router.get("/versions")
def list_versions(
    ports: Given, limit: Annotated[int, Query(ge=1, le=200)] = 50
) -> list[wire.PriceBookVersion]:
    """What was saved, newest first."""
    found = ports.price_books.versions(limit)
    return [wire.PriceBookVersion.model_validate(each) for each in found]


@router.get(
    "/versions/{version}",
    responses={404: {"model": Problem, "description": "There is no such version."}},
)
def read_version(version: Version, ports: Given) -> wire.PriceBookText:
    """One version with its text."""
    return _text(ports, version)


@router.post("/preview", openapi_extra=_BODY, responses=_WRONG)
def preview_price_book(sent: Sent, ports: Given) -> wire.PriceBookPreview:
    """Usual jobs by the book in use and by the text, and the lines that differ. Nothing is kept."""
    books = ports.price_books
    new = _read(ports, sent.text)
    tried = tried_out(books.current(), new, ports.calibrations.current(), today=today(ports))
    old_text = books.text_of(books.newest().version) or ""
    changed = books.editor.compared(old_text, sent.text)
    return wire.PriceBookPreview(
        version=new.version,
        currency=new.shop.currency,
        jobs=[wire.TriedJob.model_validate(each) for each in tried],
        changed=[wire.ChangedLines.model_validate(each) for each in changed],
    )


def _read(ports: Ports, text: str) -> PriceBook:
    try:
        return ports.price_books.read(text)
    except BookError as error:
        raise _refusal(error) from None


def _refusal(error: BookError) -> Refusal:
    errors = [FieldProblem(field=each.field, detail=each.detail) for each in error.problems]
    return Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, _CANNOT_BE, errors=errors)


def _text(ports: Ports, version: str) -> wire.PriceBookText:
    books = ports.price_books
    about, text = books.about(version), books.text_of(version)
    if about is None or text is None:
        raise NotFound(_UNKNOWN)
    return wire.PriceBookText(
        version=about.version,
        made_at=about.made_at,
        made_by=about.made_by,
        note=about.note,
        text=text,
    )
