"""Texts in the owner's own words: what may stand in them, and where they are said."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_file

from service.leads.follow_up import texts, wording_anew
from service.leads.follow_up.sample import filled_in
from service.leads.follow_up.texts import TEXTS, faults_of, from_braces, in_braces
from service.leads.follow_up.wording_anew import TextRefused
from service.leads.lead import NotFound
from service.leads.own_texts import OwnText
from service.storage.texts import TextsInFront
from service.wording import load
from tests.service.building import BuiltShop
from tests.service.leads.follow_up import story
from tests.service.wording.extracting import SERVICE


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    with story.a_shop(tmp_path) as built:
        yield built


def word(shop: BuiltShop, key: str, text: str, language: str = "en") -> None:
    with shop.ports.work() as work:
        wording_anew.word_anew(
            work, shop.ports, key=key, language=language, text=text, now=shop.now
        )
        work.commit()


def said_in(module: Path) -> set[str]:
    found = extract_from_file("python", module, keywords={"say": None, "msg": None})
    return {text for _, text, _, _ in found if isinstance(text, str)}


def test_every_text_is_really_said() -> None:
    """A text whose English the code has changed would be worded anew in vain."""
    leads = SERVICE / "leads"
    elsewhere = set[str]().union(*map(said_in, leads.glob("*.py")))
    here = (leads / "follow_up/saying.py").read_text()
    names = {text: name for name, text in vars(texts).items() if isinstance(text, texts.Text)}
    unsaid = [
        text.key
        for text in TEXTS.values()
        if text.english not in elsewhere and f"texts.{names[text]}.english" not in here
    ]
    assert unsaid == []
    assert set(names) == set(TEXTS.values())
    assert all(text.needs <= set(text.placeholders) for text in TEXTS.values())


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_shipped_has_no_fault_and_reads_well(
    shop: BuiltShop, text: texts.Text, language: str
) -> None:
    shipped = wording_anew.shipped(text, language, shop.ports)
    assert faults_of(text, shipped) == ()
    words = shop.ports.wording.in_language(language)
    assert "{" not in filled_in(shipped, words, shop.price_books.current())


@pytest.mark.parametrize(
    ("said", "faults"),
    [
        ("Kept until {until} for {deposit}: {pay}", []),
        ("Kept until {until}", ["{deposit} is missing", "{pay} is missing"]),
        ("{until} {deposit} {pay} {sum} {}", ["There is no {sum}", "There is no {}"]),
        ("{until} {deposit} {pay} {oh", ["A brace stands alone"]),
        ("{until} {deposit} {pay} }", ["A brace stands alone"]),
        ("  ", ["Write a text"]),
        ("{until} {deposit} {pay}" + "a" * 1500, ["Keep it to 1,500"]),
    ],
)
def test_what_does_not_fit_is_said(said: str, faults: list[str]) -> None:
    found = faults_of(texts.HOLD, said)
    assert len(found) == len(faults)
    assert all(start in each for start, each in zip(faults, found, strict=True))


def test_percent_signs_are_the_owners_to_write() -> None:
    assert from_braces("100% by {until}, %(day)s") % {"until": "June"} == "100% by June, %(day)s"
    assert in_braces("100%% by %(until)s") == "100% by {until}"


def test_a_text_worded_anew_is_said_in_its_language_alone(shop: BuiltShop) -> None:
    word(shop, "nudge", "Ahoy! {number} floats until {until}. 100% sure?")
    lead = story.quoted(shop)
    story.wait_until(shop, story.owed(shop, lead)["nudge"])
    assert story.said(shop)[-1].startswith("Ahoy! G1001-1 floats until ")
    assert "100% sure?" in story.said(shop)[-1]
    other = story.quoted(shop, chat_id="78", language="es")
    story.wait_until(shop, story.owed(shop, other)["nudge"])
    assert story.said(shop, "telegram", "78")[-1].startswith("Tu precio ")


def test_it_stands_before_the_owners_catalogue_which_stands_before_the_shipped(
    shop: BuiltShop, tmp_path: Path
) -> None:
    own = "Mañana: %(owner)s %(arrive)s %(ready)s %(reach)s"
    entry = f'msgid "{texts.DAY_BEFORE.english}"\nmsgstr "{own}"'
    head = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\n'
    (tmp_path / "shop.es.po").write_text(head + entry, encoding="utf-8")
    front = TextsInFront(shop.engine)
    words = front.in_front_of(load(tmp_path)).in_language("es")
    said = {"owner": "Ida", "arrive": "1", "ready": "2", "reach": "x"}
    assert words.say(texts.DAY_BEFORE.english, **said) == "Mañana: Ida 1 2 x"
    word(shop, "day_before", "{arrive} {ready} {reach}", "es")
    front.refresh()
    assert words.say(texts.DAY_BEFORE.english, **said) == "1 2 x"
    assert words.say(texts.ACCESS.english).startswith("¿Hay un código")


def test_another_process_says_it_once_it_looks(shop: BuiltShop) -> None:
    other = TextsInFront(shop.engine)
    words = other.in_front_of(load(None)).in_language("en")
    word(shop, "firm", "Ida here.")
    other.refresh()
    assert words.say(texts.FIRM.english, owner="Ida") == "Ida here."
    with shop.ports.work() as work:
        wording_anew.back_to_shipped(work, shop.ports, key="firm", language="en")
        work.commit()
    other.refresh()
    assert words.say(texts.FIRM.english, owner="Ida") == "Ida has looked at your request."


def test_a_stored_text_that_no_longer_fits_is_not_said(shop: BuiltShop) -> None:
    with shop.ports.work() as work:
        work.texts.put(OwnText(key="held", language="en", text="{gone}", changed_at=shop.now))
        work.texts.put(OwnText(key="of old", language="en", text="x", changed_at=shop.now))
        work.commit()
    story.held(shop)
    assert "is held for you" in story.said(shop)[-1]


def test_faults_and_unknown_texts_are_refused(shop: BuiltShop) -> None:
    with pytest.raises(TextRefused, match="until"):
        word(shop, "nudge", "Hello")
    for key, language in (("nothing", "en"), ("nudge", "fr")):
        with pytest.raises(NotFound):
            word(shop, key, "Hello", language)
