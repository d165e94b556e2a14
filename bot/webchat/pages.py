"""What the web chat shows to a browser: its page, a page for wrong addresses, the website's tag."""

from pathlib import Path
from urllib.parse import urlencode

from jinja2 import Environment, FileSystemLoader, select_autoescape
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrasebook
from bot.webchat.identity import is_framed
from bot.webchat.incoming import SOURCE_MOST, TEXT_MOST
from bot.webchat.pictures import MEGABYTES_MOST
from bot.webchat.words import language_of, scripted

_HERE = Path(__file__).parent
_NAMES = {"en": "English", "es": "Español"}
_KEPT_ON = ("framed", "source", "site_lang")
_VALUE_MOST = 200


class Pages:
    """Renders them. `form_url` is the website form, for browsers without scripts."""

    def __init__(self, phrasebook: Phrasebook, form_url: str | None) -> None:
        self._phrasebook = phrasebook
        self._form_url = form_url
        files = Environment(
            loader=FileSystemLoader([_HERE / "templates", _HERE / "embed"]),
            autoescape=select_autoescape(["html"]),
        )
        self._page = files.get_template("chat.html")
        self._lost = files.get_template("lost.html")
        self._tag = files.get_template("embed.js")
        self._tag_style = (_HERE / "embed" / "embed.css").read_text("utf-8")

    def chat(self, request: Request, card: ShopCard) -> Response:
        """The chat's page."""
        phrases = self._phrasebook.in_language(language_of(request, self._phrasebook.languages))
        html = self._page.render(
            shop=card,
            phrases=phrases,
            locale=str(phrases.locale).replace("_", "-"),
            words=scripted(phrases),
            others=self._others(request, phrases.language),
            framed=is_framed(request),
            source=request.query_params.get("source", "")[:SOURCE_MOST],
            text_most=TEXT_MOST,
            photo_most=MEGABYTES_MOST,
            form_url=self._form_url,
        )
        headers = {"Cache-Control": "no-store", "Vary": "Accept-Language, Cookie"}
        return HTMLResponse(html, headers=headers)

    def _others(self, request: Request, language: str) -> list[tuple[str, str, str]]:
        """The page in the other languages: code, name, address."""
        kept = {
            name: request.query_params[name][:_VALUE_MOST]
            for name in _KEPT_ON
            if name in request.query_params
        }
        return [
            (code, _NAMES[code], f"/?{urlencode({**kept, 'lang': code})}")
            for code in self._phrasebook.languages
            if code != language
        ]

    def lost(self, request: Request, card: ShopCard) -> Response:
        """The page for whoever followed a wrong address."""
        phrases = self._phrasebook.in_language(language_of(request, self._phrasebook.languages))
        return HTMLResponse(self._lost.render(shop=card, phrases=phrases), status_code=404)

    def tag(self, card: ShopCard) -> Response:
        """The script that a website shows the chat with."""
        said = {
            code: {
                "open": phrases.say("page.embed.open", shop=card.name),
                "close": phrases.say("page.embed.close"),
                "title": phrases.say("page.title"),
            }
            for code, phrases in self._phrasebook.languages.items()
        }
        script = self._tag.render(words=said, style=self._tag_style)
        headers = {
            "Cache-Control": "public, max-age=600",
            "Cross-Origin-Resource-Policy": "cross-origin",
        }
        return Response(script, media_type="text/javascript", headers=headers)
