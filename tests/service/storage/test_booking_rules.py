"""The price book's part about booked dates, as the owner writes it."""

from decimal import Decimal

import pytest

from service.estimating import BookError
from service.estimating.book import BookingRules
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK

TEXT = PRICE_BOOK.read_text(encoding="utf-8")


def written(old: str, new: str) -> str:
    assert TEXT.count(old) == 1, old
    return TEXT.replace(old, new)


def test_the_demo_book_says_all_of_it_in_both_languages() -> None:
    rules = read_price_book(TEXT, "book.yaml").booking
    assert [(step.days_before, step.share) for step in rules.cancelling] == [
        (30, Decimal(1)),
        (14, Decimal("0.5")),
        (7, Decimal("0.25")),
    ]
    assert (rules.moving_free_days, rules.moving_fee) == (14, Decimal(45))
    assert all(set(texts) == {"en", "es"} for texts in (rules.pay_to, rules.weather, rules.terms))


def test_a_book_without_that_part_has_no_rules() -> None:
    begins, ends = TEXT.index("\nbooking:"), TEXT.index("\n# Your own answers")
    older = TEXT[:begins] + TEXT[ends:]
    assert read_price_book(older, "book.yaml").booking == BookingRules()


@pytest.mark.parametrize(
    ("old", "new", "where", "said"),
    [
        (
            "days_before: 14, percent: 50",
            "days_before: 14, percent: 10",
            "cancelling",
            "a later cancellation must not return more than an earlier one",
        ),
        (
            "days_before: 14, percent: 50",
            "days_before: 30, percent: 50",
            "cancelling",
            "two steps have the same days_before",
        ),
        ("days_before: 7, percent: 25", "days_before: 7, percent: 125", "percent", "to 100"),
        ("balance_days_before: 3 ", "balance_days_before: -3 ", "balance_days_before", "to 0"),
        ("fee: 45.00}", "fee: 45.001}", "moving.fee", "2 decimal places"),
        ("fee: 45.00}", "fees: 45.00}", "moving.fees", "no such entry"),
    ],
)
def test_what_cannot_be_is_refused_where_it_stands(
    old: str, new: str, where: str, said: str
) -> None:
    with pytest.raises(BookError) as caught:
        read_price_book(written(old, new), "book.yaml")
    (problem,) = caught.value.problems
    assert " booking." in problem.field
    assert problem.field.endswith(where)
    assert said in problem.detail
