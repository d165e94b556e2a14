"""Entries of the rules by which the owner looks first."""

from collections.abc import Sequence
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from service.estimating import BookError, Support
from service.estimating import book as core
from service.storage.price_book.fields import Entry, Money, one_of

_TESTS = ", ".join(f"{test}:" for test in core.Test)


def _yes_no_or_name(value: Any) -> bool | Support:
    # A file's `yes` is a plain word; only true and false are read as such.
    said = {"yes": True, "no": False}.get(str(value).lower(), value)
    if isinstance(said, bool):
        return said
    try:
        return Support(str(said))
    except ValueError:
        allowed = ", ".join(("yes", "no", *Support))
        raise ValueError(f"use one of {allowed}") from None


class ConditionEntry(Entry):
    """A figure and the threshold that it is held against."""

    when: Annotated[core.Figure, one_of(core.Figure)]
    above: Money | None = None
    below: Money | None = None
    is_: Annotated[bool | Support | None, BeforeValidator(_yes_no_or_name)] = Field(
        default=None, alias="is"
    )

    @model_validator(mode="after")
    def _one_sound_test(self) -> Self:
        if len(self._tests()) != 1:
            raise ValueError(f"write one of {_TESTS} beside {self.when}")
        _of(self.condition)
        return self

    def condition(self) -> core.Condition:
        """As the core has it. Raises BookError."""
        ((test, threshold),) = self._tests()
        return core.Condition(figure=self.when, test=test, threshold=threshold)

    def _tests(self) -> Sequence[tuple[core.Test, core.Threshold]]:
        given = (
            (core.Test.ABOVE, self.above),
            (core.Test.BELOW, self.below),
            (core.Test.IS, self.is_),
        )
        return [(test, threshold) for test, threshold in given if threshold is not None]


class RuleEntry(ConditionEntry):
    """One or two conditions; all must hold."""

    and_: ConditionEntry | None = Field(default=None, alias="and")

    @model_validator(mode="after")
    def _of_two_things(self) -> Self:
        _of(self.value)
        return self

    def value(self) -> core.Rule:
        """As the core has it. Raises BookError."""
        also = None if self.and_ is None else self.and_.condition()
        return core.Rule(when=self.condition(), also=also)


def _a_list(value: Any) -> Any:
    if not isinstance(value, list):
        example = "- {when: likely_price, above: 1500}"
        raise ValueError(f"write a list of rules, one a line, such as {example}")
    return value


def _not_too_many(rules: list[RuleEntry]) -> list[RuleEntry]:
    if len(rules) > core.MOST_RULES:
        raise ValueError(f"keep to {core.MOST_RULES} rules")
    return rules


Rules = Annotated[list[RuleEntry], BeforeValidator(_a_list), AfterValidator(_not_too_many)]


def _of(make: Any) -> None:
    try:
        make()
    except BookError as error:
        raise ValueError(error.problems[0].detail) from None
