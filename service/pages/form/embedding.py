"""The one script tag that puts the form on the owner's own website."""

from fastapi import APIRouter
from fastapi.responses import FileResponse

from service.pages.templates import STATIC

router = APIRouter()


@router.get("/form/embed.js")
def embed() -> FileResponse:
    """The script. Which sites may show the form is decided by the form's own page."""
    return FileResponse(
        STATIC / "embed.js",
        media_type="text/javascript",
        headers={
            "Cache-Control": "public, max-age=3600",
            "Cross-Origin-Resource-Policy": "cross-origin",
            "X-Content-Type-Options": "nosniff",
        },
    )
