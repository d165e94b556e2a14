"""Errors as RFC 9457 problem details, in words for the person who made the request."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from math import ceil

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse

# Long enough for a restart, short enough to wait for.
_RETRY_AFTER_S = 3


class Refusal(Exception):
    """A request that cannot be done. `detail` says what to do; `faults` are (field, detail).

    `retry_after_s` tells when it is worth trying again.
    """

    def __init__(
        self,
        status: HTTPStatus,
        detail: str,
        *,
        faults: Sequence[tuple[str, str]] = (),
        retry_after_s: float | None = None,
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.faults = tuple(faults)
        if retry_after_s is None and status is HTTPStatus.SERVICE_UNAVAILABLE:
            retry_after_s = _RETRY_AFTER_S
        self.retry_after_s = retry_after_s


def refused(request: Request, error: Exception) -> JSONResponse:
    """The answer to a `Refusal`."""
    assert isinstance(error, Refusal)  # noqa: S101  the handler is registered for this type
    headers = {}
    if error.retry_after_s is not None:
        headers["Retry-After"] = str(ceil(error.retry_after_s))
    faults = [{"field": field, "detail": detail} for field, detail in error.faults]
    return problem(request, error.status, error.detail, headers=headers, faults=faults)


def unroutable(request: Request, error: HTTPException) -> JSONResponse:
    """The answer where no route fits the path or the method."""
    detail = "There is nothing at this address. The chat is at /."
    return problem(request, HTTPStatus(error.status_code), detail, headers=error.headers)


def problem(
    request: Request,
    status: HTTPStatus,
    detail: str,
    *,
    headers: Mapping[str, str] | None = None,
    faults: Sequence[Mapping[str, str]] = (),
) -> JSONResponse:
    """Problem details of a request."""
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
