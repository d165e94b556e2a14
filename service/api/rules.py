"""The owner's review rules, and a rehearsal of others over past requests."""

from collections.abc import Sequence
from http import HTTPStatus

from fastapi import APIRouter, Depends

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import rules as wire
from service.contract.estimate import FieldProblem, Problem
from service.estimating import BookError, Support
from service.estimating import book as core
from service.leads import rehearsing, review_words, ruling
from service.leads.lead import OWNER
from service.leads.ports import Ports

router = APIRouter(
    prefix="/review-rules", tags=["owner's desk"], dependencies=[Depends(allow(Role.OWNER))]
)


@router.get("")
def read_rules(ports: Given) -> wire.ReviewRules:
    """When the owner looks before a price goes out."""
    return _rules(ports)


@router.put(
    "",
    responses={
        404: {"model": Problem, "description": "There is no such version of the price book."},
        409: {"model": Problem, "description": "The price book has changed since."},
    },
)
def change_rules(body: wire.NewRules, ports: Given) -> wire.ReviewRules:
    """Make other rules the price book's, in a new version of it."""
    try:
        ruling.save(ports, _read(body.rules), basis=body.basis, who=OWNER)
    except BookError as error:
        raise _refused("rules", "; ".join(each.detail for each in error.problems)) from None
    return _rules(ports)


@router.post("/rehearsal")
def rehearse(body: wire.RehearsalRequest, ports: Given) -> wire.Rehearsal:
    """What rules would have stopped among past requests, and whether that was worth a look."""
    book = ports.price_books.current()
    rules = book.review if body.rules is None else _read(body.rules)
    with ports.read() as work:
        found = rehearsing.rehearse(work, book, rules, days=body.days, now=ports.clock())
    said = [review_words.rule(rule, book.shop.currency) for rule in rules]
    return wire.Rehearsal(
        looked_at=found.looked_at,
        more=found.more,
        total=wire.Tally.model_validate(found.total),
        waiting_now=found.waiting_now,
        by_rule=[
            wire.RuleTally(rule=words, tally=wire.Tally.model_validate(tally))
            for words, tally in zip(said, found.by_rule, strict=True)
        ],
        requests=[_request(each) for each in found.caught],
    )


def _rules(ports: Ports) -> wire.ReviewRules:
    book = ports.price_books.current()
    return wire.ReviewRules(
        version=ports.price_books.newest().version,
        rules=[wire.Rule.model_validate(each) for each in ruling.plain(book.review)],
        in_words=[review_words.rule(each, book.shop.currency) for each in book.review],
        always=list(review_words.ALWAYS),
        figures=[
            wire.Figure(name=each, about=review_words.NAMES[each], kind=each.kind.value)
            for each in core.Figure
        ],
    )


def _request(caught: rehearsing.Caught) -> wire.PastRequest:
    return wire.PastRequest(
        lead_id=caught.lead_id,
        number=caught.number,
        came_at=caught.came_at,
        outcome=caught.outcome.value,
        would_wait=caught.would_wait,
        waits_now=caught.waits_now,
        by=list(caught.by),
        reasons=list(caught.reasons),
    )


def _read(rules: Sequence[wire.Rule]) -> tuple[core.Rule, ...]:
    read: list[core.Rule] = []
    for place, rule in enumerate(rules):
        at = f"rules[{place}]"
        when = _condition(rule, at)
        also = None if rule.and_ is None else _condition(rule.and_, f"{at}.and")
        try:
            read.append(core.Rule(when=when, also=also))
        except BookError as error:
            raise _refused(f"{at}.and", error.problems[0].detail) from None
    return tuple(read)


def _condition(said: wire.Condition, at: str) -> core.Condition:
    if said.when not in set(core.Figure):
        raise _refused(f"{at}.when", f"use one of {', '.join(core.Figure)}")
    given = {
        core.Test.ABOVE: said.above,
        core.Test.BELOW: said.below,
        core.Test.IS: _support(said.is_),
    }
    tests = {test: limit for test, limit in given.items() if limit is not None}
    if len(tests) != 1:
        raise _refused(at, f"give one of {', '.join(core.Test)}")
    ((test, limit),) = tests.items()
    try:
        return core.Condition(figure=core.Figure(said.when), test=test, threshold=limit)
    except BookError as error:
        raise _refused(f"{at}.{test}", error.problems[0].detail) from None


def _support(said: bool | str | None) -> core.Threshold | None:
    if not isinstance(said, str):
        return said
    # Of a word that is no support, the figure's own test says what is allowed.
    return Support(said) if said in set(Support) else {"yes": True, "no": False}.get(said, False)


def _refused(field: str, detail: str) -> Refusal:
    return Refusal(
        HTTPStatus.UNPROCESSABLE_ENTITY,
        "These are not rules that can be kept.",
        errors=[FieldProblem(field=field, detail=detail)],
    )
