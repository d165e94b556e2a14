"""What the bot says, from its catalogues: the shipped wording, with the owner's own in front."""

import logging
from collections.abc import Iterator
from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path
from string import Formatter

from babel.core import Locale
from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import PoFileError, read_po

from bot.dialogue.phrases import Phrasebook, Phrases

_log = logging.getLogger(__name__)

#: Language → the locale that writes its dates and money.
LOCALES = {"en": "en_US", "es": "es_US"}
_HERE = Path(__file__).parent


def load(folder: Path | None) -> Phrasebook:
    """The wording of every language. Entries of `chat.en.po` and `chat.es.po` in `folder`, the
    owner's own, go before those that come with the program.

    An entry of the owner's that cannot be used is left out, and named in the log.
    """
    return Phrasebook(
        languages={
            language: _phrases(language, locale, folder) for language, locale in LOCALES.items()
        }
    )


def shipped(language: str) -> Catalog:
    """The catalogue that comes with the program."""
    with (_HERE / f"{language}.po").open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def _phrases(language: str, locale: str, folder: Path | None) -> Phrases:
    ours = shipped(language)
    translations = _compiled(ours)
    own = _own(folder / f"chat.{language}.po", ours) if folder else None
    if own is not None:
        before = _compiled(own)
        before.add_fallback(translations)
        translations = before
    return Phrases(language=language, locale=Locale.parse(locale), translations=translations)


def _compiled(catalogue: Catalog) -> GNUTranslations:
    compiled = BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return GNUTranslations(compiled)


def _own(path: Path, ours: Catalog) -> Catalog | None:
    """The usable entries of the owner's file at `path`; None where there is no such file."""
    if not path.is_file():
        return None
    usable = Catalog(locale=ours.locale)
    try:
        with path.open("rb") as file:
            own = read_po(file, abort_invalid=True)
    except (PoFileError, ValueError) as error:
        _log.warning("%s is left out: %s", path, error)
        return None
    for entry in own:
        if not entry.id or not any(_texts(entry)):
            continue
        fault = _fault(entry, ours)
        if fault is None:
            usable.add(entry.id, entry.string)
        else:
            _log.warning("%s: “%s” is left out: %s", path, _key(entry), fault)
    return usable


def _fault(entry: Message, ours: Catalog) -> str | None:
    """Why an entry of the owner's cannot be said; None where it can."""
    standard = ours.get(_key(entry))
    if standard is None:
        return "nothing is said under that name"
    if isinstance(standard.id, str) != isinstance(entry.id, str):
        return "it needs one text for one thing and one for several (msgid_plural)"
    try:
        told = placeholders(entry)
    except ValueError as error:
        return f"its braces do not fit: {error}"
    wanted = placeholders(standard)
    if told - wanted:
        return f"it names {_braced(told - wanted)}, which is not known there"
    if wanted - told:
        return f"{_braced(wanted - told)} is missing"
    return None


def placeholders(entry: Message) -> set[str]:
    """The names in braces in the texts of `entry`. Raises ValueError where braces do not match."""
    return {name for text in _texts(entry) for name in _named_in(text)}


def _named_in(text: str) -> Iterator[str]:
    for _, name, form, conversion in Formatter().parse(text):
        if name is not None:
            yield f"{name}!{conversion or ''}:{form}" if form or conversion else name


def _texts(entry: Message) -> tuple[str, ...]:
    return (entry.string,) if isinstance(entry.string, str) else tuple(entry.string or ())


def _key(entry: Message) -> str:
    return entry.id if isinstance(entry.id, str) else entry.id[0]


def _braced(names: set[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names))
