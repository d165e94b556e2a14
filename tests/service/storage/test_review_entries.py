"""Review rules on their way through the price book's text and the desk's form."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from service.estimating import BookError, Support
from service.estimating.book import MOST_RULES, Condition, Figure, Kind, Rule, Test
from service.leads import review_words, ruling
from service.pages.desk import rules_form
from service.storage.price_book.review import Rules

ENTRIES = TypeAdapter(Rules)

numbers = st.decimals(min_value=Decimal("0.01"), max_value=1_000_000, places=2)


@st.composite
def conditions(draw: st.DrawFn) -> Condition:
    figure = draw(st.sampled_from(list(Figure)))
    if figure.kind is Kind.YES_NO:
        return Condition(figure=figure, test=Test.IS, threshold=draw(st.booleans()))
    if figure.kind is Kind.SUPPORT:
        support = draw(st.sampled_from(list(Support)))
        return Condition(figure=figure, test=Test.IS, threshold=support)
    test = draw(st.sampled_from((Test.ABOVE, Test.BELOW)))
    return Condition(figure=figure, test=test, threshold=draw(numbers))


@st.composite
def rules(draw: st.DrawFn) -> Rule:
    when = draw(conditions())
    also = draw(st.none() | conditions().filter(lambda each: each != when))
    return Rule(when=when, also=also)


@settings(max_examples=50)
@given(st.lists(rules(), max_size=6).map(tuple))
def test_rules_come_back_from_the_book_and_from_the_form_as_they_were(
    wanted: tuple[Rule, ...],
) -> None:
    kept = tuple(entry.value() for entry in ENTRIES.validate_python(ruling.plain(wanted)))
    assert kept == wanted
    assert rules_form.read(rules_form.typed(wanted)) == (wanted, {})
    for rule in wanted:
        said = review_words.rule(rule, "USD")
        assert said[0].isupper() or said[0] == "$"
        assert said.endswith(".")


def test_a_book_of_the_earlier_form_is_told_what_to_write() -> None:
    with pytest.raises(ValidationError, match="write a list of rules, one a line, such as"):
        ENTRIES.validate_python({"likely_above": 1500, "outdoors": True})


def test_no_more_rules_than_a_page_can_show() -> None:
    one = {"when": "outdoors", "is": True}
    assert len(ENTRIES.validate_python([one] * MOST_RULES)) == MOST_RULES
    with pytest.raises(ValidationError, match=f"keep to {MOST_RULES} rules"):
        ENTRIES.validate_python([one] * (MOST_RULES + 1))


def test_yes_and_no_may_be_words() -> None:
    (entry,) = ENTRIES.validate_python([{"when": "outdoors", "is": "no"}])
    assert entry.value().when.threshold is False


@pytest.mark.parametrize(
    ("figure", "test", "threshold", "allowed"),
    [
        (Figure.OUTDOORS, Test.ABOVE, Decimal(1), "is: yes or is: no"),
        (Figure.SUPPORT, Test.IS, True, "takes is: with one of round_top_frame"),
        (Figure.MILES, Test.IS, True, "above: or below:"),
        (Figure.MILES, Test.ABOVE, Decimal("NaN"), "from 0 to 1,000,000"),
        (Figure.MILES, Test.ABOVE, Decimal("1.005"), "at most two decimals"),
        (Figure.MILES, Test.BELOW, Decimal(0), "never below 0"),
    ],
)
def test_nonsense_is_refused_with_what_is_allowed(
    figure: Figure, test: Test, threshold: Decimal | bool, allowed: str
) -> None:
    with pytest.raises(BookError) as refused:
        Condition(figure=figure, test=test, threshold=threshold)
    assert allowed in str(refused.value)


def test_a_margin_may_be_asked_to_be_below_nothing() -> None:
    Condition(figure=Figure.MARGIN_PERCENT, test=Test.BELOW, threshold=Decimal(0))
