"""Who a request comes from.

The cookie `chat` is the chat's identity and its only key: whoever holds it reads and continues
the conversation, so it is random, out of scripts' reach, and never in an address or a log.
"""

import re
import secrets
from http import HTTPStatus
from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.responses import Response

from bot.webchat.problems import Refusal

COOKIE = "chat"
# Neither a page without TLS nor another host of the same name can set a cookie that begins so.
_OURS_ALONE = "__Host-"
# Together with the page's own id of an update it has to fit into the inbox's 128 characters.
_CHAT_ID = re.compile(r"[A-Za-z0-9_-]{22,63}")
_CHAT_ID_BYTES = 24
_LASTS_S = 180 * 24 * 3600


def keep_chat(request: Request, response: Response, *, secure: bool) -> None:
    """Give the visitor a chat, or let it keep the one that it has."""
    chat_id = _presented(request) or secrets.token_urlsafe(_CHAT_ID_BYTES)
    set_cookie(response, COOKIE, chat_id, framed=is_framed(request), secure=secure)


def set_cookie(response: Response, name: str, value: str, *, framed: bool, secure: bool) -> None:
    """A cookie that scripts cannot read; `secure` for https only.

    Inside another website's frame browsers only keep a cookie that says so, is secure, and is
    content with a jar of that website's own. Without https there is no such cookie.
    """
    parts = [
        f"{cookie_name(name, secure=secure)}={value}",
        f"Max-Age={_LASTS_S}",
        "Path=/",
        "HttpOnly",
    ]
    if secure:
        parts.append("Secure")
    parts.extend(["SameSite=none", "Partitioned"] if framed and secure else ["SameSite=lax"])
    # Python's own cookies know Partitioned from 3.14 on.
    response.headers.append("set-cookie", "; ".join(parts))


def cookie_name(name: str, *, secure: bool) -> str:
    """What a cookie of ours is called."""
    return f"{_OURS_ALONE}{name}" if secure else name


def is_framed(request: Request) -> bool:
    """Whether the page is to be shown inside of another website."""
    return "framed" in request.query_params


def chat_of(request: Request) -> str:
    """The chat that a request belongs to. Refuses one without."""
    chat_id = _presented(request)
    if chat_id is None:
        detail = "Open the chat at / or call POST /chat/session first, and keep its cookie."
        raise Refusal(HTTPStatus.UNAUTHORIZED, detail)
    return chat_id


def refuse_strangers(request: Request) -> None:
    """Refuse what another website's page sends with our visitor's cookie.

    Browsers say where a request comes from; other programs say nothing, and hold no visitor's
    cookie.
    """
    site = request.headers.get("sec-fetch-site")
    origin = request.headers.get("origin")
    if site is not None:
        own = site in ("same-origin", "none")
    else:
        own = origin is None or urlsplit(origin).netloc == request.headers.get("host")
    if not own:
        raise Refusal(HTTPStatus.FORBIDDEN, "Only the chat's own page can write to it.")


def kept(request: Request, name: str) -> str:
    """What a cookie of ours holds, "" where there is none.

    Before it was ours alone it had its plain name: who was here then goes on with that one, until
    the page gives the same under the new name.
    """
    own = request.cookies.get(cookie_name(name, secure=request.app.state.secure))
    return request.cookies.get(name, "") if own is None else own


def _presented(request: Request) -> str | None:
    cookie = kept(request, COOKIE)
    return cookie if _CHAT_ID.fullmatch(cookie) else None
