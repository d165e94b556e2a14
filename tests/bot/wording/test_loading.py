"""The owner's own wording goes first; what cannot be used of it is left out, and named."""

from datetime import date, time
from decimal import Decimal
from pathlib import Path

import pytest

from bot.wording import LOCALES, load

HEADER = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\n'


def own(folder: Path, entries: str, language: str = "en") -> Path:
    (folder / f"chat.{language}.po").write_text(HEADER + entries, encoding="utf-8")
    return folder


def test_the_owners_text_is_said_and_all_others_stay(tmp_path: Path) -> None:
    book = load(own(tmp_path, 'msgid "thanks"\nmsgstr "Any time, dear!"\n'))
    assert book.in_language("en").say("thanks") == "Any time, dear!"
    assert book.in_language("en").say("changed") == "Changed."
    assert book.in_language("es").say("thanks") == "¡Con gusto!"


def test_the_owners_plural_is_said_in_both_forms(tmp_path: Path) -> None:
    entry = 'msgid "guests"\nmsgid_plural "guests"\nmsgstr[0] "{count} friend"\n'
    english = load(own(tmp_path, entry + 'msgstr[1] "{count} friends"\n')).in_language("en")
    assert [english.several("guests", count) for count in (1, 2)] == ["1 friend", "2 friends"]


@pytest.mark.parametrize(
    ("entry", "named", "why"),
    [
        ('msgid "welcome"\nmsgstr "Hi from {shop}!"\n', "welcome", "{town} is missing"),
        ('msgid "thanks"\nmsgstr "Thanks, {name}!"\n', "thanks", "{name}, which is not known"),
        ('msgid "thanks"\nmsgstr "Thanks {!"\n', "thanks", "braces"),
        ('msgid "noted"\nmsgstr "{news.__class__}"\n', "noted", "not known"),
        ('msgid "noted"\nmsgstr "{news:>999999999}"\n', "noted", "not known"),
        ('msgid "farewell"\nmsgstr "Bye!"\n', "farewell", "nothing is said under that name"),
        ('msgid "guests"\nmsgstr "friends"\n', "guests", "msgid_plural"),
    ],
)
def test_a_faulty_entry_is_left_out_and_named(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, entry: str, named: str, why: str
) -> None:
    good = '\nmsgid "changed"\nmsgstr "Done."\n'
    english = load(own(tmp_path, entry + good)).in_language("en")
    assert english.say("changed") == "Done."
    assert english.say("thanks") == "You're welcome!"
    assert f"“{named}” is left out" in caplog.text
    assert why in caplog.text
    assert "chat.en.po" in caplog.text


def test_a_file_that_is_none_is_left_out_and_named(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "chat.en.po").write_text("Say hello nicely, please.\n", encoding="utf-8")
    assert load(tmp_path).in_language("en").say("thanks") == "You're welcome!"
    assert "chat.en.po is left out" in caplog.text


def test_the_shipped_folder_changes_nothing_until_it_is_edited() -> None:
    folder = Path(__file__).parents[3] / "deploy" / "wording"
    assert (folder / "README.md").is_file()
    for language in LOCALES:
        before, after = (load(at).in_language(language) for at in (None, folder))
        assert before.say("thanks") == after.say("thanks")
        example = (folder / f"chat.{language}.po").read_text("utf-8")
        assert "# msgid" in example


def test_the_example_of_the_shipped_folder_works_once_it_is_taken_in(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    folder = Path(__file__).parents[3] / "deploy" / "wording"
    for language in LOCALES:
        text = (folder / f"chat.{language}.po").read_text("utf-8")
        taken_in = text.replace("# msg", "msg")
        (tmp_path / f"chat.{language}.po").write_text(taken_in, encoding="utf-8")
        shipped, mine = (load(at).in_language(language) for at in (None, tmp_path))
        assert mine.say("thanks") != shipped.say("thanks")
    assert "left out" not in caplog.text


def test_a_language_that_is_not_spoken_is_answered_in_english() -> None:
    assert load(None).in_language("fr").language == "en"
    assert load(None).in_language(None).language == "en"


def test_an_unknown_key_is_an_error_of_ours() -> None:
    english = load(None).in_language("en")
    with pytest.raises(KeyError):
        english.say("no.such.key")
    with pytest.raises(KeyError):
        english.several("no.such.key", 2)
    assert english.known("no.such.key") is None


@pytest.mark.parametrize(
    ("when", "english", "spanish"),
    [
        (time(12), "noon", "mediodía"),
        (time(0), "midnight", "medianoche"),
        (time(12, 30), "12:30 PM", "12:30 p.m."),
        (time(9), "9:00 AM", "9:00 a.m."),
        (time(15, 5), "3:05 PM", "3:05 p.m."),
    ],
)
def test_times_are_said_as_people_say_them(when: time, english: str, spanish: str) -> None:
    book = load(None)
    assert book.in_language("en").clock(when) == english
    assert book.in_language("es").clock(when) == spanish


def test_figures_are_said_in_each_language() -> None:
    english, spanish = (load(None).in_language(code) for code in ("en", "es"))
    assert english.money(Decimal("1200"), "USD") == spanish.money(Decimal("1200"), "USD")
    assert english.money(Decimal("1200"), "USD") == "$1,200"
    assert english.money(Decimal("300.50"), "USD") == "$300.50"
    assert english.length(2.1336) == "7 ft"
    assert spanish.length(2.1336) == "7 pies"
    assert spanish.length(0.3048) == "1 pie"
    assert spanish.length(0.3302) == "1 pie 1 pulgada"
    assert english.month(date(2027, 6, 1)) == "June 2027"
    assert spanish.month_name(date(2027, 6, 1)) == "junio"


def test_spanish_lists_sound_right() -> None:
    spanish = load(None).in_language("es")
    assert spanish.listed(["crema", "dorado"]) == "crema y dorado"
    assert spanish.listed(["crema", "índigo"]) == "crema e índigo"
    assert spanish.either(["uno", "otro"]) == "uno u otro"
    assert spanish.either(["8 pies", "16 pies"]) == "8 pies o 16 pies"
