"""Review rules tried on past requests, held against what the owner did with them."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from service.estimating import Setting, Site, Support
from service.estimating.book import Condition, Figure, Rule, Test
from service.leads import handling, rehearsing, ruling
from service.leads.lead import Lead, LeadState, LostBecause
from service.leads.past import PastRequest
from service.leads.rehearsing import Outcome
from tests.service.building import NOON, BuiltShop, a_brief, a_piece, build_shop

WEEKEND = Rule(when=Condition(figure=Figure.WEEKEND, test=Test.IS, threshold=True))
HOOPS = Rule(when=Condition(figure=Figure.SUPPORT, test=Test.IS, threshold=Support.HOOP))
NEVER = Rule(when=Condition(figure=Figure.GUESTS, test=Test.ABOVE, threshold=Decimal(10_000)))

OUTDOORS = a_brief(site=Site(setting=Setting.OUTDOOR, place="meadow", postal_code="02472"))
INDOORS = a_brief()
HOOP = a_brief(pieces=(a_piece(support=Support.HOOP, width_m=1.8),))


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


def try_on(shop: BuiltShop, *rules: Rule, days: int = 90) -> rehearsing.Rehearsal:
    with shop.ports.read() as work:
        book = shop.price_books.current()
        return rehearsing.rehearse(work, book, rules, days=days, now=shop.now)


def send(shop: BuiltShop, lead: Lead, amount: Decimal | None = None) -> None:
    """The owner sends what waits: as it is, or at another price."""
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    shop.send_firm(lead, amount, basis_number=quote.number)


def test_what_waited_is_held_against_what_the_owner_did(shop: BuiltShop) -> None:
    as_it_was, dearer, declined, open_still = (shop.quoted(OUTDOORS) for _ in range(4))
    unseen = shop.quoted(INDOORS)
    assert (as_it_was.state, unseen.state) == (LeadState.REVIEW, LeadState.QUOTED)
    send(shop, as_it_was)
    send(shop, dearer, Decimal(999))
    with shop.ports.work() as work:
        handling.decline(
            work,
            shop.ports,
            lead_id=declined.id,
            text=None,
            because=LostBecause.TOO_FAR,
            now=shop.now,
        )
        work.commit()
    found = try_on(shop, WEEKEND)
    assert (found.looked_at, found.more) == (5, False)
    outcomes = {each.lead_id: each.outcome for each in found.caught}
    assert outcomes == {
        as_it_was.id: Outcome.UNCHANGED,
        dearer.id: Outcome.CHANGED,
        declined.id: Outcome.DECLINED,
        open_still.id: Outcome.UNDECIDED,
        unseen.id: Outcome.UNCHANGED,
    }
    (tally,) = found.by_rule
    assert tally == rehearsing.Tally(caught=5, worth_a_look=2, for_nothing=2, undecided=1, alone=5)
    assert found.caught[0].lead_id == unseen.id, "the newest first"


def test_what_waits_now_and_would_not_any_more_is_named(shop: BuiltShop) -> None:
    waits, _ = shop.quoted(OUTDOORS), shop.quoted(INDOORS)
    found = try_on(shop, NEVER)
    assert [each.lead_id for each in found.let_go] == [waits.id]
    assert found.waiting == ()
    assert found.by_rule[0].caught == 0


def test_each_rule_is_counted_for_itself(shop: BuiltShop) -> None:
    hoop, frame = shop.quoted(HOOP), shop.quoted(INDOORS)
    found = try_on(shop, HOOPS, WEEKEND)
    assert {each.lead_id: each.by for each in found.caught} == {hoop.id: (0, 1), frame.id: (1,)}
    hoops, weekends = found.by_rule
    assert (hoops.caught, hoops.alone) == (1, 0)
    assert (weekends.caught, weekends.alone) == (2, 1)
    assert found.total.caught == 2


def test_what_protects_people_waits_by_no_rule_at_all(shop: BuiltShop) -> None:
    lead = shop.quoted(replace(INDOORS, notes="two guests have a latex allergy"))
    (caught,) = try_on(shop).caught
    assert caught.lead_id == lead.id
    assert (caught.by, caught.would_wait, caught.waits_now) == ((), True, True)


def test_only_the_days_asked_for_are_looked_at_and_each_on_its_own_day(shop: BuiltShop) -> None:
    shop.quoted(INDOORS)
    shop.now = NOON + dt.timedelta(days=60)
    near = shop.quoted(INDOORS)
    soon = Rule(
        when=Condition(figure=Figure.DAYS_OF_NOTICE, test=Test.BELOW, threshold=Decimal(100))
    )
    assert try_on(shop, soon, days=30).looked_at == 1
    found = try_on(shop, soon, days=90)
    assert found.looked_at == 2
    # The older one came 147 days before the event, this one 87.
    assert [each.lead_id for each in found.caught] == [near.id]
    assert found.caught[0].reasons == ("It is only 87 days away.",)


def a_past_request(shop: BuiltShop, **details: Any) -> PastRequest:
    usual: dict[str, Any] = {
        "lead_id": "1",
        "number": "G1001",
        "client": None,
        "state": LeadState.QUOTED,
        "lost_because": None,
        "came_at": NOON,
        "brief": INDOORS,
        "estimate": shop.estimate(INDOORS),
        "likely": Decimal(300),
        "sent": (Decimal(300),),
        "edited": False,
    }
    return PastRequest(**(usual | details))


def test_no_more_than_so_many_are_looked_at(shop: BuiltShop) -> None:
    read = iter([a_past_request(shop)] * (rehearsing.MOST + 20))
    found = rehearsing.over(read, shop.price_books.current(), (WEEKEND,))
    assert (found.looked_at, found.more) == (rehearsing.MOST, True)
    assert len(list(read)) == 19, "the rest is not even read"


def test_what_the_client_called_off_says_nothing_of_the_price(shop: BuiltShop) -> None:
    past = a_past_request(shop, state=LeadState.DECLINED, lost_because=LostBecause.CLIENT_CANCELLED)
    assert rehearsing.outcome_of(past) is Outcome.UNCHANGED
    assert rehearsing.outcome_of(replace(past, edited=True)) is Outcome.CHANGED
    assert rehearsing.outcome_of(replace(past, lost_because="too far")) is Outcome.DECLINED


def test_rules_are_written_as_the_price_book_has_them() -> None:
    both = Rule(
        when=Condition(figure=Figure.LIKELY_PRICE, test=Test.ABOVE, threshold=Decimal(800)),
        also=WEEKEND.when,
    )
    assert ruling.plain((both, HOOPS)) == [
        {"when": "likely_price", "above": Decimal(800), "and": {"when": "weekend", "is": True}},
        {"when": "support", "is": "hoop"},
    ]
