"""The texts that clients read, from gettext catalogues: the shop's own in front of the shipped.

`en.po` holds what the English texts of the code become in the United States, `es.po` the Spanish.
The owner's `shop.en.po` and `shop.es.po` need hold only what should read differently.
"""

import logging
from collections.abc import Mapping, Sequence
from functools import cache
from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import PoFileError, read_po

from service.leads.words import Wording, Words
from service.wording.placeholders import fits

_LOCALES: Mapping[str, str] = {"en": "en_US", "es": "es_US"}
_SHIPPED = Path(__file__).parent

_log = logging.getLogger(__name__)


def load(folder: Path | None) -> Wording:
    """Every language, with the owner's own texts from `folder` in front where it has any.

    An entry that could not be filled in, and a file that cannot be read, is left out and named
    in the log: the shop opens anyway, with the shipped text.
    """
    return Wording(
        by_language={
            language: _words(language, locale, folder) for language, locale in _LOCALES.items()
        }
    )


def _words(language: str, locale: str, folder: Path | None) -> Words:
    shipped = _shipped(language)
    own = folder / f"shop.{language}.po" if folder else None
    translations = shipped
    if own is not None and own.is_file():
        translations = _translations(own)
        translations.add_fallback(shipped)
    return Words(language=language, locale=locale, translations=translations)


@cache
def _shipped(language: str) -> GNUTranslations:
    return _translations(_SHIPPED / f"{language}.po")


def _translations(path: Path) -> GNUTranslations:
    compiled = BytesIO()
    write_mo(compiled, _usable(path))
    compiled.seek(0)
    return GNUTranslations(compiled)


def _usable(path: Path) -> Catalog:
    """The entries of a file that can be said."""
    try:
        with path.open("rb") as file:
            read = read_po(file, abort_invalid=True)
    except (PoFileError, OSError, ValueError) as error:
        _log.warning("The wording in %s cannot be read and is not used: %s", path.name, error)
        read = Catalog()
    usable = Catalog(locale=read.locale)
    for message in read:
        said = _forms(message.string)
        # The header is an entry without a name.
        if not message.id or not any(said) or message.fuzzy:
            continue
        if fits(_forms(message.id), said):
            usable.add(message.id, message.string)
        else:
            _log.warning(
                "The wording of “%s” in %s has other placeholders, and is not used.",
                _forms(message.id)[0],
                path.name,
            )
    return usable


def _forms(text: str | Sequence[str] | None) -> Sequence[str]:
    return (text,) if isinstance(text, str) else text or ()
