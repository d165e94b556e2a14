"""A quoting step from its lease to its end in one call, on SQLite and PostgreSQL."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pytest
from sqlalchemy import Engine

from service.estimating import Brief, Event, Site
from service.leads import quoting, stepping
from service.leads.lead import Lead, LeadState, NotFound
from service.leads.steps import LEASE, MAX_ATTEMPTS, Step, StepKind, StepRefused, StepState
from tests.service.building import BuiltShop, a_brief

CODE = Site(postal_code="02139")


@pytest.fixture
def shop(engine: Engine) -> BuiltShop:
    return BuiltShop(engine=engine)


def taken(shop: BuiltShop, brief: Brief) -> tuple[Lead, str]:
    """A lead that has just come in, and the step that owes it its quote."""
    lead = shop.take_lead(brief, channel="webchat", chat_id="nora")
    with shop.ports.read() as work:
        owed = work.outbox.due(shop.now, limit=50)
    (step_id,) = (step.id for step in owed if step.subject_id == lead.id)
    return lead, step_id


def step_of(shop: BuiltShop, step_id: str) -> Step:
    with shop.ports.read() as work:
        return work.outbox.get(step_id)


@dataclass
class Meanwhile:
    """Places that find nothing; but whoever looks sees to it that something happens."""

    happens: Callable[[], None]

    def find(self, postal_code: str) -> None:  # noqa: ARG002
        self.happens()

    def find_town(self, words: str, *, near: object) -> None:  # noqa: ARG002
        return


def test_a_quote_is_what_a_worker_would_have_estimated(shop: BuiltShop) -> None:
    lead, step_id = taken(shop, a_brief(site=CODE))
    quoted, attempt = quoting.quote(shop.ports, step_id)
    assert (quoted.id, quoted.state, attempt) == (lead.id, LeadState.QUOTED, 1)
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        kinds = [said.message.kind for said in work.chats.messages("webchat", "nora")]
        owed = [each.kind for each in work.reminders.of_lead(lead.id)]
    assert quote is not None
    assert quote.estimate == shop.estimate(lead.brief)
    assert kinds == ["ballpark"]
    assert owed == ["nudge"]
    assert step_of(shop, step_id).state is StepState.DONE


def test_a_second_copy_of_the_job_changes_nothing(shop: BuiltShop) -> None:
    lead, step_id = taken(shop, a_brief())
    quoting.quote(shop.ports, step_id)
    with pytest.raises(StepRefused, match="done"):
        quoting.quote(shop.ports, step_id)
    with shop.ports.read() as work:
        assert len(work.quotes.of_lead(lead.id)) == 1


def test_a_brief_that_cannot_be_estimated_goes_to_the_owner_with_the_reasons(
    shop: BuiltShop,
) -> None:
    _, step_id = taken(shop, a_brief(event=Event(date=date(2027, 1, 9))))
    lead, _ = quoting.quote(shop.ports, step_id)
    assert lead.state is LeadState.REVIEW
    (reason,) = lead.review_reasons
    assert reason.startswith("event.date: 2027-01-09 has passed")
    assert step_of(shop, step_id).state is StepState.DONE


def test_trouble_gives_the_step_back_and_tells_its_kind_only(shop: BuiltShop) -> None:
    def fails() -> None:
        raise LookupError("our silver wedding")

    _, step_id = taken(shop, a_brief(site=CODE))
    with pytest.raises(LookupError):
        quoting.quote(replace(shop.ports, places=Meanwhile(fails)), step_id)
    step = step_of(shop, step_id)
    assert (step.state, step.lease_until, step.last_error) == (StepState.OWED, None, "LookupError")
    assert step.due_at > shop.now
    with pytest.raises(StepRefused, match="not due"):
        quoting.quote(shop.ports, step_id)
    shop.now = step.due_at
    lead, attempt = quoting.quote(shop.ports, step_id)
    assert (lead.state, attempt) == (LeadState.QUOTED, 2)


def test_who_was_overtaken_changes_nothing(shop: BuiltShop) -> None:
    def is_overtaken() -> None:
        shop.now += LEASE + timedelta(seconds=1)
        with shop.ports.work() as work:
            stepping.lease(work, step_id, shop.now)
            work.commit()

    lead, step_id = taken(shop, a_brief(site=CODE))
    with pytest.raises(StepRefused, match="another worker"):
        quoting.quote(replace(shop.ports, places=Meanwhile(is_overtaken)), step_id)
    step = step_of(shop, step_id)
    assert (step.state, step.fence) == (StepState.OWED, 2)
    assert step.lease_until is not None  # the other's
    assert shop.lead(lead.id).state is LeadState.NEW


def test_a_step_that_was_cut_off_too_often_is_the_owners(shop: BuiltShop) -> None:
    _, step_id = taken(shop, a_brief())
    with shop.ports.work() as work:
        work.outbox.save(replace(work.outbox.get(step_id, lock=True), attempts=MAX_ATTEMPTS))
        work.commit()
    with pytest.raises(StepRefused, match="the owner's to look at"):
        quoting.quote(shop.ports, step_id)
    assert step_of(shop, step_id).state is StepState.DEAD


def test_no_other_step_is_taken_for_a_quote(shop: BuiltShop) -> None:
    lead = shop.take_lead(a_brief())
    with shop.ports.work() as work:
        work.outbox.owe(StepKind.REMIND, lead.id, lane="reminder:1", now=shop.now)
        work.commit()
    with shop.ports.read() as work:
        owed = work.outbox.due(shop.now, limit=50)
    (other,) = (step for step in owed if step.kind is StepKind.REMIND)
    with pytest.raises(StepRefused, match="quotes no lead"):
        quoting.quote(shop.ports, other.id)
    assert step_of(shop, other.id) == other
    with pytest.raises(NotFound):
        quoting.quote(shop.ports, "unheard-of")
