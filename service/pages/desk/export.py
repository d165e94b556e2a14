"""Taking the shop's own data out, as tables for a spreadsheet."""

from collections.abc import Iterator
from http import HTTPStatus

from fastapi import APIRouter, Response
from fastapi.responses import StreamingResponse

from service.leads.exports import TABLES
from service.pages.desk.access import SignedIn
from service.rendering.sheets import all_sheets, sheet

router = APIRouter(prefix="/export")


@router.get("")
def export_page(desk: SignedIn) -> Response:
    """What can be taken out."""
    return desk.show("desk/export.html", tables=TABLES)


@router.get("/all.zip")
def everything(desk: SignedIn) -> Response:
    """A zip of every table."""
    day = desk.visit.now.date().isoformat()
    return _download(all_sheets(desk.visit.ports), "application/zip", f"everything-{day}.zip")


@router.get("/{table}.csv")
def one_table(table: str, desk: SignedIn) -> Response:
    """One table."""
    if table not in TABLES:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such table")
    day = desk.visit.now.date().isoformat()
    parts = sheet(desk.visit.ports, table)
    return _download(parts, "text/csv; charset=utf-8", f"{table}-{day}.csv")


def _download(parts: Iterator[bytes], kind: str, name: str) -> Response:
    return StreamingResponse(
        parts,
        media_type=kind,
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "Cache-Control": "no-store",
            "X-Content-Type-Options": "nosniff",
        },
    )
