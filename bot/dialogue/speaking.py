"""The language of a conversation."""

from dataclasses import replace

from bot.dialogue import sayings
from bot.dialogue.messages import Incoming
from bot.dialogue.state import State
from bot.understanding.language import language_of
from bot.understanding.passage import Passage

LANGUAGES = ("en", "es")
# A single word, such as a place's name, proves no language.
_TELLING_WORDS = 3
_WISHES = {"in.english": "en", "in.spanish": "es"}


def spoken(state: State, incoming: Incoming) -> State:
    """`state` with the language that the client writes, or else that of their device."""
    asked = wished(incoming.text) if incoming.kind == "text" else None
    if asked is not None:
        return replace(state, language=asked, settled=True)
    if state.settled:
        return state
    written = written_in(incoming.text, incoming.locale) if incoming.kind == "text" else None
    if written is not None and is_telling(incoming.text):
        return replace(state, language=written, settled=True)
    # English is what short words are taken for, so they prove Spanish alone.
    if written == "es" or (written is not None and state.language is None):
        return replace(state, language=written)
    device = (incoming.locale or "")[:2].lower()
    if state.language is None and device in LANGUAGES:
        return replace(state, language=device)
    return state


def wished(text: str) -> str | None:
    """The language that is asked for amid other words."""
    wishes = [language for name, language in _WISHES.items() if sayings.says(name, text)]
    return wishes[0] if len(wishes) == 1 else None


def is_telling(text: str) -> bool:
    """Whether `text` is long enough to prove its language."""
    return len(text.split()) >= _TELLING_WORDS


def written_in(text: str, locale: str | None) -> str | None:
    """Which of our languages `text` is in; None for a command or another language."""
    if not text.strip() or text.startswith("/"):
        return None
    lang = language_of(Passage.of(text), locale)
    return lang if lang in LANGUAGES else None
