"""The page's own words; what is said in the conversation comes from the dialogue."""

from collections.abc import Mapping

from starlette.requests import Request

_EN = {
    "title": "Ask for a ballpark",
    "tagline": "Balloon garlands for events",
    "conversation": "Conversation",
    "message_label": "Your message",
    "placeholder": "What are you celebrating, when, and how big?",
    "hint": "Enter sends. Shift and Enter start a new line.",
    "send": "Send",
    "you": "You",
    "shop": "The shop",
    "writing": "Writing an answer",
    "connecting": "Reconnecting. Nothing you wrote is lost.",
    "unsent": "Not sent yet. It goes out as soon as the connection is back.",
    "refused": "This message could not be taken.",
    "too_long": "characters too many. Please send it in parts.",
    "opens": "opens a new page",
    "no_script": "This chat needs JavaScript. You can also reach us here:",
    "form": "Ask with a form",
    "lost": "There is nothing at this address.",
    "to_chat": "Go to the chat",
}
_ES = {
    "title": "Pide un precio aproximado",
    "tagline": "Guirnaldas de globos para eventos",
    "conversation": "Conversación",
    "message_label": "Tu mensaje",
    "placeholder": "¿Qué celebras, cuándo y de qué tamaño?",
    "hint": "Intro envía. Mayúsculas e Intro abren una línea nueva.",
    "send": "Enviar",
    "you": "Tú",
    "shop": "La tienda",
    "writing": "Escribiendo una respuesta",
    "connecting": "Reconectando. No se pierde nada de lo que escribiste.",
    "unsent": "Aún sin enviar. Saldrá en cuanto vuelva la conexión.",
    "refused": "No se pudo recibir este mensaje.",
    "too_long": "caracteres de más. Envíalo en partes, por favor.",
    "opens": "abre una página nueva",
    "no_script": "Este chat necesita JavaScript. También puedes contactarnos aquí:",
    "form": "Pregunta con un formulario",
    "lost": "No hay nada en esta dirección.",
    "to_chat": "Ir al chat",
}
_LANGUAGES: Mapping[str, Mapping[str, str]] = {"en": _EN, "es": _ES}


def language_of(request: Request) -> str:
    """The first language the browser asks for that the page speaks; else English."""
    for part in request.headers.get("accept-language", "").split(","):
        language = part.split(";")[0].split("-")[0].strip().lower()
        if language in _LANGUAGES:
            return language
    return "en"


def words(language: str) -> Mapping[str, str]:
    """The page's words in a language that `language_of` gave."""
    return _LANGUAGES[language]
