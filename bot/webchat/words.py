"""The page's language and its own words. What the conversation says comes from the dialogue."""

from collections.abc import Collection

from starlette.requests import Request

from bot.dialogue.phrases import Phrases
from bot.webchat.identity import kept

#: The cookie that keeps a choice of language.
CHOICE = "lang"

# Said by the page's scripts. What a script fills in stays in braces.
_SCRIPTED = {
    "message": (),
    "you": (),
    "shop": (),
    "reconnecting": (),
    "unsent": (),
    "too_fast": (),
    "too_many": ("time",),
    "refused": (),
    "too_long": ("count",),
    "opens": (),
    "colours": (),
    "earlier": ("label",),
    "later": ("label",),
    "picture.impression": (),
    "photo.yours": (),
    "photo.lost": (),
    "photo.uploading": (),
    "photo.waiting": (),
    "photo.ready": (),
    "photo.one": (),
    "photo.unreadable": (),
    "photo.too_large": ("most",),
}


def chosen(request: Request, spoken: Collection[str]) -> str | None:
    """The language that the address asks for by `?lang=`, where it is spoken."""
    asked = request.query_params.get("lang")
    return asked if asked in spoken else None


def language_of(request: Request, spoken: Collection[str]) -> str:
    """The page's language: the one chosen now or earlier, that of the website around it, or the
    first that the browser asks for; else English."""
    site = request.query_params.get("site_lang", "")
    for asked in (chosen(request, spoken), kept(request, CHOICE), _primary(site)):
        if asked in spoken:
            return str(asked)
    for part in request.headers.get("accept-language", "").split(","):
        if _primary(part) in spoken:
            return _primary(part)
    return "en"


def scripted(phrases: Phrases) -> dict[str, str]:
    """The words that the page's scripts say."""
    return {
        name: phrases.say(f"page.{name}", **{value: f"{{{value}}}" for value in values})
        for name, values in _SCRIPTED.items()
    }


def _primary(tag: str) -> str:
    return tag.split(";")[0].split("-")[0].strip().lower()
