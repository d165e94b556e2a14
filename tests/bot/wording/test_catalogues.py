"""Both catalogues say everything that the code says, and nothing else.

What the code says is read from its source: keys as they are written, and patterns where a part of
a key is filled in.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import get_args

import pytest
from babel.messages.catalog import Message

from bot.dialogue.choices import FULLNESSES, PATTERNS, PLACEMENTS
from bot.dialogue.likenesses import LIKENESSES
from bot.dialogue.questions import BY_NAME
from bot.dialogue.speaking import LANGUAGES
from bot.dialogue.state import State
from bot.dialogue.supports import SUPPORTS
from bot.understanding.lexicon import OCCASIONS
from bot.wording import load, placeholders, shipped
from service.contract.brief import Accent, Brief, Budget, ColourShare, Event, Piece, Site

BOT = Path(__file__).parents[3] / "bot"
SAYING = {"say", "several", "known"}
# What stands here comes from outside: the shop's stock, the wire.
SHOWN = {one for one in OCCASIONS.values() if one and one != "other"}
OPEN_FAMILIES = ("colour.", "foil.", "field.")
PIECES = (*SUPPORTS, "garland")
GREETED = SHOWN - {"new_year", "valentines", "holiday"}
FAMILIES = {
    "piece.{}": PIECES,
    "the.{}": PIECES,
    "several.{}": PIECES,
    "ask.{}": BY_NAME,
    "hint.{}": BY_NAME,
    "topic.{}": BY_NAME,
    "left_open.{}": [
        name
        for name, question in BY_NAME.items()
        if not question.patient or question.missing(State().draft)
        if name not in ("support", "count", "size")
    ],
    "fullness.{}": FULLNESSES,
    "placement.{}": PLACEMENTS,
    "pattern.{}": PATTERNS,
    "accent.{}": get_args(Accent.model_fields["kind"].annotation),
    "accent.{}.counted": get_args(Accent.model_fields["kind"].annotation),
    "occasion.{}": SHOWN,
    "celebrated.{}": GREETED,
    "likeness.{}": [one.name for one in LIKENESSES],
    "language.{}": LANGUAGES,
    "budget.{}": ("min", "max", "range"),
    "field.{}": [
        name
        for model in (Piece, ColourShare, Event, Site, Budget, Brief)
        for name in model.model_fields
        if name in ("support", "count", "width_m", "height_m", "length_m", "sag_m", "rise_m",
                    "run_m", "accents", "fullness", "placement", "coverage", "pattern", "colour",
                    "occasion", "date", "start_time", "end_time", "guests", "setting", "place",
                    "postal_code", "min", "max", "pieces", "palette", "foils", "floating")
    ],
}  # fmt: skip


@cache
def entries(language: str) -> dict[str, Message]:
    found = [entry for entry in shipped(language) if entry.id]
    return {entry.id if isinstance(entry.id, str) else entry.id[0]: entry for entry in found}


def texts_of(entry: Message) -> tuple[str, ...]:
    return (entry.string,) if isinstance(entry.string, str) else tuple(entry.string or ())


@cache
def trees() -> tuple[ast.Module, ...]:
    return tuple(ast.parse(path.read_text("utf-8")) for path in sorted(BOT.rglob("*.py")))


@cache
def constants() -> frozenset[str]:
    """Every text in the source that may be a key, or the part of one."""
    return frozenset(
        node.value
        for tree in trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def said() -> Iterator[ast.expr]:
    """What the phrases are asked for, wherever the code says something."""
    for tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and _is_saying(node.func) and node.args:
                yield node.args[0]
            if isinstance(node, ast.keyword) and node.arg == "says":
                yield from _outside_of_patterns(node.value)


def _outside_of_patterns(node: ast.expr) -> Iterator[ast.expr]:
    """The parts of an expression that are whole keys."""
    if isinstance(node, ast.JoinedStr):
        return
    yield node
    for part in ast.iter_child_nodes(node):
        if isinstance(part, ast.expr):
            yield from _outside_of_patterns(part)


def _is_saying(function: ast.expr) -> bool:
    name = function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", None)
    return name in SAYING


@cache
def keys_of_pages() -> frozenset[str]:
    """The keys that the pages' templates say."""
    pages = (path.read_text("utf-8") for path in BOT.rglob("*.html"))
    return frozenset(
        key for page in pages for key in re.findall(r"""\.say\(["']([\w.]+)["']""", page)
    )


@cache
def literal_keys() -> frozenset[str]:
    return keys_of_pages() | frozenset(
        part.value
        for asked in said()
        for part in ([asked.body, asked.orelse] if isinstance(asked, ast.IfExp) else [asked])
        if isinstance(part, ast.Constant) and isinstance(part.value, str)
    )


@cache
def patterns() -> tuple[re.Pattern[str], ...]:
    """Keys of which a part is filled in, wherever they are put together."""
    nodes = (node for tree in trees() for node in ast.walk(tree))
    texts = {_pattern(node) for node in nodes if isinstance(node, ast.JoinedStr)}
    return tuple(re.compile(text) for text in texts if re.search(r"\.\w|\w\\\.", text))


def _pattern(node: ast.JoinedStr) -> str:
    return "".join(
        re.escape(str(part.value)) if isinstance(part, ast.Constant) else "(.+)"
        for part in node.values
    )


def test_a_good_part_of_what_is_said_was_found_in_the_source() -> None:
    assert len(literal_keys()) > 100
    assert {"welcome", "ask.date", "readback.head", "button.skip"} <= literal_keys()


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_key_of_the_source_has_its_text(language: str) -> None:
    missing = [key for key in literal_keys() if key not in entries(language)]
    assert missing == []


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_is_complete(language: str, family: str) -> None:
    wanted = {family.format(name) for name in FAMILIES[family]}
    assert wanted - set(entries(language)) == set()


def test_both_languages_say_the_same_things() -> None:
    assert set(entries("en")) == set(entries("es"))


@pytest.mark.parametrize("language", ["en", "es"])
def test_nothing_is_kept_that_nobody_says(language: str) -> None:
    unused = [key for key in entries(language) if not _is_used(key)]
    assert unused == []


def _is_used(key: str) -> bool:
    if key in constants() | keys_of_pages() or key.startswith(OPEN_FAMILIES):
        return True
    found = (pattern.fullmatch(key) for pattern in patterns())
    return any(_is_named(match) for match in found if match)


def _is_named(match: re.Match[str]) -> bool:
    """Whether what is filled in stands somewhere in the source itself."""
    return all(part in constants() or part in OCCASIONS.values() for part in match.groups())


@pytest.mark.parametrize("key", sorted(entries("en")))
def test_both_languages_fill_in_the_same(key: str) -> None:
    english, spanish = entries("en")[key], entries("es")[key]
    assert placeholders(english) == placeholders(spanish)
    assert isinstance(english.id, str) == isinstance(spanish.id, str)


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_text_is_there_and_finished(language: str) -> None:
    for key, entry in entries(language).items():
        texts = texts_of(entry)
        assert all(texts), key
        assert not entry.fuzzy, key
        assert not any("  " in text or text != text.strip() for text in texts), key


def test_spanish_is_spanish() -> None:
    """Nothing was left in English: what is alike is a name or a figure."""
    alike = {
        key
        for key, entry in entries("en").items()
        if entry.string == entries("es")[key].string and re.search(r"[a-z]{4}", str(entry.string))
    }
    assert {key for key in alike if not key.startswith(("colour.", "foil."))} <= {
        "celebrated.own", "side.answer", "accent.words", "occasion.quinceanera", "language.en",
        "language.es", "occasion.baby_shower", "length.metres",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("count", "english", "spanish"),
    [(0, "0 hoops", "0 aros"), (1, "hoop", "aro"), (2, "2 hoops", "2 aros")],
)
def test_one_and_several_are_told_apart(count: int, english: str, spanish: str) -> None:
    book = load(None)
    assert book.in_language("en").several("piece.hoop", count) == english
    assert book.in_language("es").several("piece.hoop", count) == spanish


def test_every_plural_of_both_languages_has_two_forms() -> None:
    for language in ("en", "es"):
        plural = [entry for entry in entries(language).values() if not isinstance(entry.id, str)]
        assert len(plural) > 30
        assert all(len(texts_of(entry)) == 2 for entry in plural)
