"""The shop's own data as CSV files, for the owner."""

from http import HTTPStatus
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends
from fastapi.responses import StreamingResponse
from pydantic import Field

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.rendering.sheets import all_sheets, sheet

router = APIRouter(prefix="/export", tags=["owner"], dependencies=[Depends(allow(Role.OWNER))])

Table = Annotated[
    Literal[
        "leads",
        "clients",
        "quotes",
        "bookings",
        "actuals",
        "payments",
        "history",
        "notes",
        "messages",
        "reminders",
        "stock",
        "price-books",
    ],
    Field(description="Which table."),
]


def _file(kind: str, what: str) -> dict[int | str, dict[str, Any]]:
    schema = {"schema": {"type": "string", "format": "binary"}}
    return {HTTPStatus.OK.value: {"description": what, "content": {kind: schema}}}


@router.get(
    "/all.zip",
    response_class=StreamingResponse,
    responses=_file("application/zip", "Every table as a CSV file."),
)
def export_everything(ports: Given) -> StreamingResponse:
    """All tables as they stand at one moment."""
    return StreamingResponse(all_sheets(ports), media_type="application/zip")


@router.get(
    "/{table}.csv",
    response_class=StreamingResponse,
    responses=_file("text/csv", "RFC 4180, UTF-8; times with their offset."),
)
def export_table(table: Table, ports: Given) -> StreamingResponse:
    """One table. Text that a spreadsheet would run as a formula stands behind an apostrophe."""
    return StreamingResponse(sheet(ports, table), media_type="text/csv; charset=utf-8")
