"""The owner's answers to side questions: figures filled in, mistakes named with their line."""

from pathlib import Path

import pytest

from service.estimating import BookError, PriceBook
from service.storage.price_book import read_price_book

DEMO = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
TOPICS = {
    "delivery", "lasting", "deposit", "payment", "cancelling", "notice", "keeping", "helium",
    "outdoors", "set_up", "take_down", "minimum", "latex", "insured",
}  # fmt: skip


def demo() -> str:
    return DEMO.read_text(encoding="utf-8")


def read(text: str) -> PriceBook:
    return read_price_book(text, "book.yaml")


def test_the_demo_shop_answers_every_topic_in_both_languages() -> None:
    answers = read(demo()).answers
    assert set(answers) == TOPICS
    assert {topic for topic, said in answers.items() if set(said) != {"en", "es"}} == set()
    assert not any("{" in text for said in answers.values() for text in said.values())


def test_figures_follow_the_book() -> None:
    text = demo()
    before = read(text).answers
    assert "35 miles" in before["delivery"]["en"]
    assert "35 millas" in before["delivery"]["es"]
    assert "50%" in before["deposit"]["en"]
    assert "48 hours" in before["lasting"]["en"]
    assert "$180" in before["minimum"]["es"]
    assert "+1 617 555 0142 o hello@harborlane.example" in before["insured"]["es"]
    for old, new in (
        ("  area_miles: 35 ", "  area_miles: 20 "),
        ("  deposit_percent: 50", "  deposit_percent: 33.5"),
        ("  minimum: 180.00", "  minimum: 179.50"),
        ("keeps_indoors_hours: 48", "keeps_indoors_hours: 30"),
        ("  hold_hours: 48 ", "  hold_hours: 1 "),
        ("hello@harborlane.example", "mail hello2@harborlane.example"),
    ):
        assert old in text, old
        text = text.replace(old, new)
    after = read(text).answers
    assert "20 miles" in after["delivery"]["en"]
    assert "33.5%" in after["deposit"]["en"]
    assert "for 1 hour." in after["deposit"]["en"]
    assert "30 horas" in after["lasting"]["es"]
    assert "$179.50" in after["minimum"]["en"]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("{ownr} brings it", "nothing is known as {ownr}; use any of {shop}, {owner}"),
        ("{owner.name} brings it", "nothing is known as {owner.name}"),
        ("{0} brings it", "nothing is known as {0}"),
        ("{minimum:>40} it is", "nothing is known as {minimum:>40}"),
        ("{owner brings it", "a brace is left open or closed alone"),
        ("owner} brings it", "a brace is left open or closed alone"),
    ],
)
def test_what_cannot_be_filled_in_is_named_with_its_line(written: str, said: str) -> None:
    text = demo().replace("{owner} brings it and puts it up", written)
    line = next(n for n, each in enumerate(text.splitlines(), 1) if written in each)
    with pytest.raises(BookError) as caught:
        read(text)
    (problem,) = caught.value.problems
    assert problem.field == f"book.yaml:{line} answers.set_up.en"
    assert said in problem.detail


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ('" "', "nothing is said here"),
        (r'"half \0 of it"', "there is a control character in it"),
        (r'"half \e[1m of it"', "there is a control character in it"),
    ],
    ids=["blank", "nul", "escape"],
)
def test_an_answer_that_nobody_could_read_is_named_with_its_line(written: str, said: str) -> None:
    without = demo()[: demo().index("answers:\n")]
    line = without.count("\n") + 3
    with pytest.raises(BookError) as caught:
        read(f"{without}answers:\n  deposit:\n    en: {written}\n")
    (problem,) = caught.value.problems
    assert problem.field == f"book.yaml:{line} answers.deposit.en"
    assert said in problem.detail


def test_a_topic_nobody_asks_about_and_an_unknown_language_are_refused() -> None:
    for old, new in (
        ("  insured:\n", "  insurance:\n"),
        ("  insured:\n    en:", "  insured:\n    fr:"),
    ):
        with pytest.raises(BookError) as caught:
            read(demo().replace(old, new))
        assert "answers.insur" in caught.value.problems[0].field


def test_a_book_may_answer_nothing_or_in_one_language() -> None:
    text = demo()
    without = text[: text.index("answers:\n")]
    assert read(without).answers == {}
    one = without + "answers:\n  deposit:\n    es: Un {deposit}, por favor.\n"
    assert read(one).answers == {"deposit": {"es": "Un 50%, por favor."}}


def test_plain_braces_can_be_written_twice() -> None:
    without = demo()[: demo().index("answers:\n")]
    text = without + 'answers:\n  deposit: {en: "{{not a figure}}"}\n'
    assert read(text).answers["deposit"]["en"] == "{not a figure}"


def test_the_hour_of_the_digest_is_the_owners() -> None:
    assert read(demo()).calendar.digest_at.isoformat() == "07:30:00"
    changed = demo().replace('digest_at: "07:30"', 'digest_at: "06:00"')
    assert read(changed).calendar.digest_at.isoformat() == "06:00:00"
