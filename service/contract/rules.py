"""The wire form of the review rules, and of what they would have done with past requests."""

from datetime import datetime
from decimal import Decimal
from typing import Literal

from pydantic import ConfigDict, Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Whole


class Condition(Wire):
    """A figure by its name, and one of `above`, `below`, `is`: yes or no, or a support."""

    model_config = ConfigDict(extra="forbid", from_attributes=True, populate_by_name=True)

    when: str = Field(max_length=40, description="One of `figures` in `GET /v1/review-rules`.")
    above: Decimal | None = None
    below: Decimal | None = None
    is_: StrictBool | str | None = Field(default=None, alias="is")


class Rule(Condition):
    """One or two conditions; the owner looks first when all hold."""

    and_: Condition | None = Field(default=None, alias="and")


class Figure(Wire):
    """A figure that a rule may go by."""

    name: str
    about: str
    kind: Literal["yes or no", "an amount", "a number", "a support"]


class ReviewRules(Wire):
    """The rules of a version of the price book; `always` waits whatever they say."""

    version: str
    rules: list[Rule]
    in_words: list[str]
    always: list[str]
    figures: list[Figure]


class NewRules(Wire):
    """Body of `PUT /v1/review-rules`; `basis` is the version that the change began with."""

    basis: str = Field(max_length=12)
    rules: list[Rule] = Field(max_length=40)


class RehearsalRequest(Wire):
    """Body of `POST /v1/review-rules/rehearsal`; without `rules` those in use are tried."""

    rules: list[Rule] | None = Field(default=None, max_length=40)
    days: Literal[30, 90, 365] = 90


class Tally(Wire):
    """What was stopped: worth a look where the owner changed or declined it, for nothing where not.

    `alone`: by this rule and by nothing else.
    """

    caught: Whole
    worth_a_look: Whole
    for_nothing: Whole
    undecided: Whole
    alone: Whole


class RuleTally(Wire):
    """A rule on trial, and what it would have stopped."""

    rule: str
    tally: Tally


class PastRequest(Wire):
    """A request that the rules on trial stop, or that only those in use stop.

    `by` are the places of the rules on trial, from 0; `waits_now`: by the rules in use.
    """

    lead_id: str
    number: str
    came_at: datetime
    outcome: Literal["changed", "declined", "unchanged", "undecided"]
    would_wait: StrictBool
    waits_now: StrictBool
    by: list[Whole]
    reasons: list[str]


class Rehearsal(Wire):
    """The outcome over the newest requests of the time asked for; `more`: not over all."""

    looked_at: Whole
    more: StrictBool
    total: Tally
    waiting_now: Whole = Field(description="By the rules in use.")
    by_rule: list[RuleTally]
    requests: list[PastRequest]
