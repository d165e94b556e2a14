"""What a person sent with a form, cleaned of what no text should hold."""

import re
import unicodedata
from collections.abc import AsyncGenerator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import parse_qs

from fastapi import Depends, Request
from starlette.formparsers import MultiPartException, MultiPartParser

from service.leads.speech import msg
from service.leads.words import Words
from service.pages.visit import Instead, at_desk, trouble_at

# Four thousand emoji, percent-encoded, come to 48 kB; the rest of a form is small.
_LARGEST_BODY = 256 * 1024
# A brief of twenty pieces has about a thousand.
_MOST_FIELDS = 1500

# The price book's longest page has a field for every figure of every bag.
_LARGEST_AT_DESK = 2 * 1024 * 1024
_MOST_FIELDS_AT_DESK = 10_000

# Three photos as telephones take them.
_LARGEST_WITH_FILES = 24 * 1024 * 1024
_MOST_FILES = 10

_SHORTER = msg("Please shorten your text and send it again.")
_FEWER = "Please send fewer files at once, or smaller ones."

_AMOUNT = re.compile(r"\$?\s*((?:[0-9]{1,3}(?:,[0-9]{3})*|[0-9]+)(?:\.[0-9]{1,2})?)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """Something to correct: the name of the field, and a sentence that says what to do."""

    field: str
    text: str


class Refusals:
    """What has to be corrected, said in the language of the page."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self.faults: list[Fault] = []

    def refuse(self, field: str, text: str, **values: Any) -> None:
        """Ask for a correction of a field; `text` is the catalogues' English."""
        self.faults.append(Fault(field=field, text=self.words.say(text, **values)))


class Posted:
    """Fields by name. A field that did not come is an empty text."""

    def __init__(
        self,
        fields: Mapping[str, Sequence[str]],
        files: Mapping[str, Sequence[bytes]] | None = None,
    ) -> None:
        self._fields = fields
        self._files = files or {}

    def text(self, name: str) -> str:
        """The field's text with sane line ends, without control characters, trimmed."""
        return _clean(self.raw(name))

    def every(self, name: str) -> tuple[str, ...]:
        """All values of a field that may come several times, without empty ones."""
        cleaned = (_clean(value) for value in self._fields.get(name, ()))
        return tuple(value for value in cleaned if value)

    def too_long(self, longest: Mapping[str, int]) -> dict[str, str]:
        """By field, what to do about texts of more characters than that."""
        faults = {name: too_long(self.text(name), most) for name, most in longest.items()}
        return {name: fault for name, fault in faults.items() if fault}

    def raw(self, name: str) -> str:
        """The field exactly as it came, for passwords and tokens.

        Of a file the text, where what is no UTF-8 becomes U+FFFD.
        """
        values = self._fields.get(name, ())
        if values:
            return values[0]
        text = next((each.decode("utf-8", "replace") for each in self.files(name)), "")
        return text.removeprefix("\ufeff")

    def files(self, name: str) -> tuple[bytes, ...]:
        """What is in the files of a field, without empty ones."""
        return tuple(each for each in self._files.get(name, ()) if each)

    def items(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Every field with its cleaned values, in the order of names."""
        return tuple((name, self.every(name)) for name in sorted(self._fields))


async def _posted(request: Request) -> Posted:
    if at_desk(request) and request.headers.get("content-type", "").startswith("multipart/"):
        return await _with_files(request)
    body = await _body(request, _LARGEST_AT_DESK if at_desk(request) else _LARGEST_BODY)
    most = _MOST_FIELDS_AT_DESK if at_desk(request) else _MOST_FIELDS
    try:
        fields = parse_qs(
            body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=most
        )
    except ValueError:
        fields = {}
    return Posted(fields)


async def _body(request: Request, largest: int) -> bytes:
    return b"".join([chunk async for chunk in _counted(request, largest)])


async def _counted(
    request: Request, largest: int, advice: str = _SHORTER
) -> AsyncGenerator[bytes, None]:
    """The body in parts; once it is larger than that, a page that says so instead."""
    size = 0
    async for chunk in request.stream():
        size += len(chunk)
        if size > largest:
            raise Instead(
                trouble_at(
                    request,
                    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
                    msg("That is more than this form can take"),
                    advice,
                )
            )
        yield chunk


async def _with_files(request: Request) -> Posted:
    parser = MultiPartParser(
        request.headers,
        _counted(request, _LARGEST_WITH_FILES, _FEWER),
        max_files=_MOST_FILES,
        max_fields=_MOST_FIELDS,
        max_part_size=_LARGEST_AT_DESK,
    )
    try:
        form = await parser.parse()
    except MultiPartException:
        # It is no such form, so it has no token either.
        return Posted({})
    fields: dict[str, list[str]] = {}
    files: dict[str, list[bytes]] = {}
    for name, value in form.multi_items():
        if isinstance(value, str):
            fields.setdefault(name, []).append(value.removeprefix("\ufeff"))
        else:
            files.setdefault(name, []).append(await value.read())
    await form.close()
    return Posted(fields, files)


Sent = Annotated[Posted, Depends(_posted)]


def read_amount(text: str) -> Decimal | None:
    """An amount of money such as 480.50, $1,480 or 1480; None where it could mean two things.

    A comma parts thousands only: "480,50" is fifty cents to some and forty-eight thousand to a
    program that drops commas.
    """
    written = _AMOUNT.fullmatch(text)
    return Decimal(written[1].replace(",", "")) if written else None


def too_long(text: str, most: int) -> str | None:
    """What to do about a text of more characters than that; None where it has no more."""
    return (
        f"Keep it to {most:,} characters; it has {len(text):,} now." if len(text) > most else None
    )


def _clean(text: str) -> str:
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    # NUL cannot be stored by PostgreSQL, and nobody types the other control characters.
    kept = (c for c in text if c in "\n\t" or unicodedata.category(c) not in ("Cc", "Cs"))
    return "".join(kept).strip()
