"""Errors as RFC 9457 problem details, in words for the person who made the request."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse

# Long enough for a restart, short enough to wait for.
_RETRY_AFTER_S = 3


class Refusal(Exception):
    """A request that cannot be done. `detail` says what to do; `faults` are (field, detail)."""

    def __init__(
        self, status: HTTPStatus, detail: str, *, faults: Sequence[tuple[str, str]] = ()
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.faults = tuple(faults)


def refused(request: Request, error: Exception) -> JSONResponse:
    """The answer to a `Refusal`."""
    assert isinstance(error, Refusal)  # noqa: S101  the handler is registered for this type
    headers = {}
    if error.status is HTTPStatus.SERVICE_UNAVAILABLE:
        headers["Retry-After"] = str(_RETRY_AFTER_S)
    faults = [{"field": field, "detail": detail} for field, detail in error.faults]
    return _problem(request, error.status, error.detail, headers=headers, faults=faults)


def unroutable(request: Request, error: Exception) -> JSONResponse:
    """The answer where no route fits the path or the method."""
    assert isinstance(error, HTTPException)  # noqa: S101  as above
    detail = "There is nothing at this address. The chat is at /."
    return _problem(request, HTTPStatus(error.status_code), detail, headers=error.headers)


def broken(request: Request, error: Exception) -> JSONResponse:  # noqa: ARG001
    """The answer to a fault of ours. What went wrong is for the log, not for the client."""
    detail = "Something went wrong on our side. Please try again in a moment."
    return _problem(request, HTTPStatus.INTERNAL_SERVER_ERROR, detail)


def _problem(
    request: Request,
    status: HTTPStatus,
    detail: str,
    *,
    headers: Mapping[str, str] | None = None,
    faults: Sequence[Mapping[str, str]] = (),
) -> JSONResponse:
    body: dict[str, object] = {
        "type": "about:blank",
        "title": status.phrase,
        "status": status.value,
        "detail": detail,
        "instance": request.url.path,
    }
    if faults:
        body["errors"] = list(faults)
    return JSONResponse(
        body, status_code=status, headers=headers, media_type="application/problem+json"
    )
