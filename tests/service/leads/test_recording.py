"""Telling how a job went: kept once, corrected, taken back; photos; stock; figures."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from service.estimating import Accent, AccentKind, ColourShare
from service.leads import paying, recording
from service.leads.actuals import MOST_PHOTOS, Actuals, Extra, planned_by_key
from service.leads.compared import compare
from service.leads.figures import Figures, direct_cost
from service.leads.finding import Wanted
from service.leads.lead import Client, NotFound, StaleDecision
from service.leads.needs import needs
from service.leads.payments import PaymentKind
from service.leads.purchases import ForJob, Purchase
from service.leads.recording import CannotBe, IsItSo, NotYet
from tests.service.building import BuiltShop, a_brief, a_piece, build_shop
from tests.service.finishing import finished, job_of, tell, told_of
from tests.service.leads.keeping_dates import an_entry, booked, pay, seen

NAVY_AND_WHITE = a_brief(palette=tuple(ColourShare(colour=name) for name in ("navy", "white")))


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def history(shop: BuiltShop, lead_id: str) -> list[str]:
    with shop.ports.read() as work:
        return [change.what for change in work.leads.history(lead_id)]


def on_hand(shop: BuiltShop) -> dict[tuple[int, str], int]:
    with shop.ports.read() as work:
        return {(each.size_class, each.colour): each.on_shelf for each in work.stock.on_hand()}


def test_a_job_is_told_of_kept_and_read_again(shop: BuiltShop) -> None:
    lead = finished(shop)
    job = job_of(shop, lead)
    key = min(planned_by_key(job.quote.estimate))
    actuals = Actuals(
        hours={"tying": 1.5, "install": 0.75},
        drive_h=0.5,
        driven_m=30_000.0,
        used=300,
        used_by={key: 40},
        burst={key[0]: 2},
        extras=(Extra(what="zip ties", amount=Decimal("7.25")),),
    )
    told = tell(shop, lead, actuals, went_wrong="the lift was out of order")
    assert told is not None
    assert told_of(shop, lead) == told
    assert told.actuals == actuals
    assert told.real_cost == compare(job.quote, job.book, actuals).real_cost
    assert (told.revision, told.who) == (1, "owner")
    assert told.done_on == job.lead.brief.event.date
    assert told.told.quoted.likely == job.quote.estimate.cost.likely
    assert set(told.observation.hours) == {"tying", "install"}
    assert told.observation.balloons[key[0]].burst == 2
    with shop.ports.read() as work:
        assert work.actuals.all_observations() == [told.observation]
        assert work.actuals.since(told.done_on) == [told]
        assert work.actuals.since(told.done_on + timedelta(days=1)) == []


def test_what_was_not_told_is_not_learnt_from(shop: BuiltShop) -> None:
    lead = finished(shop)
    told = tell(shop, lead, went_wrong="nothing at all")
    assert told is not None
    assert (told.observation.hours, told.observation.balloons) == ({}, {})
    assert (told.observation.drive, told.observation.packing) == (None, None)
    job = job_of(shop, lead)
    assert told.real_cost == compare(job.quote, job.book, Actuals()).planned_cost


def test_a_double_press_changes_nothing(shop: BuiltShop) -> None:
    lead = finished(shop)
    actuals = Actuals(hours={"tying": 2.0})
    first = tell(shop, lead, actuals)
    shop.now += timedelta(minutes=1)
    assert tell(shop, lead, actuals) == first
    assert history(shop, lead.id).count(recording.TOLD) == 1
    corrected = tell(shop, lead, Actuals(hours={"tying": 1.0}), revision=1)
    assert corrected is not None
    assert first is not None
    assert (corrected.revision, corrected.entered_at) == (2, first.entered_at)
    assert history(shop, lead.id).count(recording.CORRECTED) == 1


def test_who_looked_at_something_older_changes_nothing(shop: BuiltShop) -> None:
    lead = finished(shop)
    tell(shop, lead, Actuals(used=300))
    with pytest.raises(StaleDecision):
        tell(shop, lead, Actuals(used=310))
    with pytest.raises(StaleDecision):
        tell(shop, lead, Actuals(used=310), revision=2)
    kept = told_of(shop, lead)
    assert kept is not None
    assert kept.actuals.used == 300


def test_all_of_it_is_taken_back(shop: BuiltShop) -> None:
    lead = finished(shop)
    with pytest.raises(CannotBe):
        tell(shop, lead)
    tell(shop, lead, Actuals(used=300))
    assert tell(shop, lead, revision=1) is None
    assert told_of(shop, lead) is None
    assert history(shop, lead.id)[-1] == recording.TAKEN_BACK
    again = tell(shop, lead, Actuals(used=301))
    assert again is not None
    assert again.revision == 1


def test_what_cannot_be_is_refused(shop: BuiltShop) -> None:
    lead = finished(shop)
    with pytest.raises(CannotBe) as refused:
        tell(shop, lead, Actuals(hours={"tying": -1.0}, burst={3: 1}), went_wrong="x" * 301)
    assert set(refused.value.faults) == {"hours.tying", "burst.3", "went_wrong"}
    assert told_of(shop, lead) is None


def test_nothing_is_told_of_a_job_before_the_crew_has_left(shop: BuiltShop) -> None:
    asked = shop.quoted(a_brief(), client=Client(name="Quentin"))
    lead = booked(shop)
    with pytest.raises(NotYet):
        tell(shop, lead, Actuals(used=300))
    with shop.ports.read() as work:
        hold = work.holds.of_lead(lead.id)
    assert hold is not None
    shop.now = hold.stay.leaves_at
    # What was told on the way is kept and corrected later.
    assert tell(shop, lead, Actuals(used=300)) is not None
    with pytest.raises(NotYet):
        tell(shop, asked, Actuals(used=300))
    with shop.ports.read() as work, pytest.raises(NotFound):
        recording.job_of(work, shop.ports, "nothing", now=shop.now)


def test_what_was_not_used_goes_back_on_the_shelf_once(shop: BuiltShop) -> None:
    before = on_hand(shop)
    lead = finished(shop, NAVY_AND_WHITE)
    planned = planned_by_key(job_of(shop, lead).quote.estimate)
    took = {key: n - on_hand(shop)[key] for key, n in before.items() if n > on_hand(shop)[key]}
    key = max(took, key=lambda each: took[each])
    used = {**planned, key: planned[key] - 5}
    tell(shop, lead, Actuals(used_by=used), back=True)
    assert on_hand(shop)[key] == before[key] - took[key] + 5
    tell(shop, lead, Actuals(used_by=used), back=True)
    assert on_hand(shop)[key] == before[key] - took[key] + 5
    corrected = Actuals(used_by={**used, key: planned[key] - 3})
    tell(shop, lead, corrected, revision=1, back=True)
    assert on_hand(shop)[key] == before[key] - took[key] + 3
    tell(shop, lead, corrected, revision=2)
    assert on_hand(shop)[key] == before[key] - took[key]
    tell(shop, lead, corrected, revision=3, back=True)
    tell(shop, lead, revision=4)
    assert on_hand(shop)[key] == before[key] - took[key]


def test_gifts_and_fees_are_in_what_was_charged(shop: BuiltShop) -> None:
    lead = finished(shop)
    with shop.ports.read() as work:
        before = recording.held_against(work, job_of(shop, lead), Actuals())
    gift = an_entry(shop, lead, kind=PaymentKind.GIFT, amount=Decimal(20))
    looked_at = seen(shop, lead)
    with shop.ports.work() as work:
        paying.record(
            work, shop.ports, lead.id, gift, seen=looked_at, who="owner", now=shop.now, sure=True
        )
        work.commit()
    with shop.ports.read() as work:
        after = recording.held_against(work, job_of(shop, lead), Actuals())
    assert 18 < before.price - after.price <= 20
    assert after.real_cost == before.real_cost


def test_a_photo_is_kept_once_and_never_more_than_three(shop: BuiltShop) -> None:
    lead, other = finished(shop), shop.quoted(a_brief(), client=Client(name="Quentin"))

    def keep(jpeg: bytes) -> str:
        with shop.ports.work() as work:
            photo = recording.keep_photo(work, shop.ports, lead.id, jpeg, who="owner", now=shop.now)
            work.commit()
        return photo.id

    names = [keep(bytes([n])) for n in range(MOST_PHOTOS)]
    assert keep(bytes([0])) == names[0]
    with pytest.raises(CannotBe):
        keep(b"one more")
    with shop.ports.work() as work:
        assert recording.photo_of(work, other.id, names[0]) is None
        recording.drop_photo(work, other.id, names[0])
        assert recording.photo_of(work, lead.id, names[0]) is not None
        recording.drop_photo(work, lead.id, names[0])
        recording.drop_photo(work, lead.id, names[0])
        assert {each.id for each in work.actuals.photos(lead.id)} == set(names[1:])
        work.commit()
    keep(b"one more")


def test_the_owner_is_asked_for_a_month_and_not_for_ever(shop: BuiltShop) -> None:
    lead = finished(shop)

    def asked(days: int) -> list[str]:
        later = shop.now + timedelta(days=days)
        with shop.ports.read() as work:
            found = needs(work, shop.ports, now=later)
        return [row.lead.id for row in found.untold]

    def listed() -> list[str]:
        with shop.ports.read() as work:
            found = work.listing.find(Wanted(untold=True), after=None, limit=9)
        return [row.lead.id for row in found.rows]

    assert asked(0) == asked(29) == listed() == [lead.id]
    assert asked(32) == []
    with shop.ports.read() as work:
        assert needs(work, shop.ports, now=shop.now + timedelta(days=32)).more_untold
        assert not needs(work, shop.ports, now=shop.now).more_untold
    tell(shop, lead, Actuals(used=300))
    assert asked(0) == listed() == []


def test_figures_hold_what_was_left_against_what_was_planned(shop: BuiltShop) -> None:
    lead = finished(shop)

    def figures() -> Figures:
        with shop.ports.read() as work:
            found = Figures(work.figures, since=None, until=None, currency="USD")
            assert found.kept.jobs <= found.earned.jobs == 1
        return found

    assert figures().kept.jobs == 0
    told = tell(shop, lead, Actuals(hours={"tying": 3.0}))
    assert told is not None
    kept, earned = figures().kept, figures().earned
    assert (kept.jobs, kept.cost, kept.total) == (1, told.real_cost, earned.total)
    assert kept.planned_margin == earned.margin
    assert kept.margin == earned.total - told.real_cost
    assert kept.margin_share == pytest.approx(float(kept.margin / kept.total))


def test_a_slip_is_asked_about_once(shop: BuiltShop) -> None:
    lead = finished(shop)
    slip = Actuals(used=9_000, hours={"tying": 40.0})
    with pytest.raises(IsItSo) as asked:
        tell(shop, lead, slip, sure=False)
    assert set(asked.value.faults) == {"used", "hours.tying"}
    assert told_of(shop, lead) is None
    assert tell(shop, lead, slip) is not None
    # What was said to be so is not asked about again, another slip is.
    more = replace(slip, burst={10: 1})
    assert tell(shop, lead, more, revision=1, sure=False) is not None
    with pytest.raises(IsItSo) as again:
        tell(shop, lead, replace(more, used=90_000), revision=2, sure=False)
    assert set(again.value.faults) == {"used"}


def test_that_it_went_as_planned_is_kept_and_nothing_learnt_from_it(shop: BuiltShop) -> None:
    lead = finished(shop)
    told = tell(shop, lead, Actuals(as_planned=True))
    assert told is not None
    assert told_of(shop, lead) == told
    assert told.real_cost == direct_cost(job_of(shop, lead).quote.estimate)
    assert (told.observation.hours, told.observation.balloons) == ({}, {})
    with shop.ports.read() as work:
        assert not needs(work, shop.ports, now=shop.now).untold
    assert tell(shop, lead, revision=1) is None
    assert told_of(shop, lead) is None


def test_money_that_should_have_come_needs_the_owner(shop: BuiltShop) -> None:
    lead = finished(shop)

    def overdue() -> list[Decimal]:
        with shop.ports.read() as work:
            found = needs(work, shop.ports, now=shop.now).overdue
        assert {due.lead.id for due in found} <= {lead.id}
        return [due.account.due for due in found]

    (due,) = overdue()
    assert due > 0
    pay(shop, lead, kind=PaymentKind.BALANCE, amount=due)
    assert overdue() == []


def test_what_was_paid_for_a_thing_is_what_it_cost(shop: BuiltShop) -> None:
    roses = Accent(kind=AccentKind.FLOWERS, count=7, words="white roses")
    lead = finished(shop, a_brief(pieces=(replace(a_piece(), accents=(roses,)),)))
    job = job_of(shop, lead)
    (label,) = (each.label for each in job.quote.estimate.fittings if each.code == "accents")
    before = tell(shop, lead, Actuals(as_planned=True))
    assert before is not None
    with shop.ports.work() as work:
        work.purchases.add(
            Purchase(
                id=shop.ports.new_id(),
                supplier="the market",
                item=label,
                contents=(),
                packs=10,
                cost=Decimal("20.00"),
                currency="USD",
                bought_at=shop.now,
                who="owner",
                jobs=(ForJob(lead_id=lead.id, count=7),),
            )
        )
        work.commit()
    with shop.ports.read() as work:
        found = recording.held_against(work, job, Actuals())
    (line,) = (each for each in found.lines if each.label == label)
    assert line.told
    # What fastens them is in both, so that the whole difference is the roses'.
    assert line.real > line.planned
    assert found.real_cost - found.planned_cost == line.real - line.planned
    # Kept with the figures as soon as it is told again, and once.
    after = tell(shop, lead, Actuals(as_planned=True), revision=1)
    assert after is not None
    assert (after.real_cost, after.revision) == (found.real_cost, 2)
    assert tell(shop, lead, Actuals(as_planned=True), revision=2) == after
