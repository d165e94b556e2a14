"""Every page of the desk that a link leads to, looked at once."""

import asyncio
import re
from dataclasses import replace
from urllib.parse import parse_qs, urljoin, urlsplit

from tests.service.access_table import ROUTES
from tests.whole.visiting import Visitor

_WINDOWS = 2

# Pages that differ by what their address names, and not only in what they tell of.
_EACH = frozenset({"/desk/book/{page}"})

# No pages, or none that a link leads to while one is signed in.
_OTHERS = frozenset(
    {
        "/desk/sign-in",
        "/desk/welcome/{token}",
        "/desk/photos/{photo_id}",
        "/desk/conversations/{number}",
        "/desk/privacy/{lead_id}/file",
        "/desk/many/{chore_id}/progress",
        "/desk/leads/{lead_id}/actuals",
        "/desk/leads/{lead_id}/actuals/photos/{photo_id}",
    }
)

# The more exact one stands before the one that takes anything in its place.
_PAGES = {
    path: re.compile(re.sub(r"\{\w+\}", "[^/]+", path))
    for method, path in sorted(ROUTES, key=lambda route: route[1].count("{"))
    if method == "GET" and path.startswith("/desk") and "." not in path and path not in _OTHERS
}


async def see_every_page(owner: Visitor) -> None:
    """Follow the links from the desk's first page; of pages of one kind the first is looked at."""
    context = owner.page.context
    windows = [replace(owner, page=await context.new_page()) for _ in range(_WINDOWS)]
    base = owner.page.url
    seen: set[str] = set()
    ahead = {"/desk": "/desk"}
    while ahead:
        seen |= set(ahead)
        found: dict[str, str] = {}
        left = list(ahead.values())
        await asyncio.gather(*(_see(window, base, left, found) for window in windows))
        ahead = {kind: path for kind, path in found.items() if kind not in seen}
    for window in windows:
        await window.page.close()
    unseen = set(_PAGES) - {kind.partition(" ")[0] for kind in seen}
    assert unseen == set(), "no link leads there"


async def _see(window: Visitor, base: str, left: list[str], found: dict[str, str]) -> None:
    """Look at what is left, and note where its links lead."""
    while left:
        path = left.pop()
        answer = await window.page.goto(urljoin(base, path))
        assert answer is not None
        assert answer.ok, path
        await window.look("every" + re.sub(r"[^a-z]+", "-", _kind_of(path) or ""))
        links = "links => links.map(link => link.getAttribute('href'))"
        for href in await window.page.eval_on_selector_all("a[href]:not([download])", links):
            kind = _kind_of(href)
            if kind is not None:
                found.setdefault(kind, href)


def _kind_of(href: str) -> str | None:
    """What makes a page worth a look of its own: its route, and what its query asks."""
    parts = urlsplit(href)
    route = next((path for path, pattern in _PAGES.items() if pattern.fullmatch(parts.path)), None)
    if route is None or parts.netloc:
        return None
    asked = parse_qs(parts.query)
    named = (parts.path if route in _EACH else "", *asked.get("view", sorted(asked)))
    return " ".join((route, *filter(None, named)))
