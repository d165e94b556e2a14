"""Long work goes on where it was cut off, counts what it did, and can be stopped."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from service.leads import forgetting, long_work, stepping
from service.leads.chores import KEPT_FOR, About, Chore, ChoreKind, Made, Part, PartState
from service.leads.lead import NotFound, StaleDecision
from service.leads.repricing import priced_anew
from service.leads.steps import Step, StepKind, StepRefused
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import booked

JUNE = date(2027, 6, 1), date(2027, 6, 30)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


def begin(shop: BuiltShop, kind: ChoreKind, chore_id: str = "chore-of-june") -> Chore:
    first, last = JUNE
    with shop.ports.work() as work:
        chore = long_work.begin(
            work,
            shop.ports,
            kind,
            chore_id=chore_id,
            first=first,
            last=last,
            who="owner",
            now=shop.now,
        )
        work.commit()
    return chore


def requests_in_june(shop: BuiltShop, number: int) -> None:
    for n in range(number):
        event = replace(a_brief().event, date=date(2027, 6, 6) + timedelta(days=n))
        shop.quoted(a_brief(event=event), chat_id=f"chat-{n}")


def owed(shop: BuiltShop) -> list[Step]:
    with shop.ports.read() as work:
        due = work.outbox.due(shop.now, limit=99)
    return [step for step in due if step.kind is StepKind.CHORE]


def take(shop: BuiltShop, step: Step) -> Step:
    with shop.ports.work() as work:
        leased = stepping.lease(work, step.id, shop.now)
        work.commit()
    return leased


def made(part: Part) -> Made:
    return Made(name=f"{part.n}.pdf", document=b"%PDF of " + part.id.encode())


def do(shop: BuiltShop, step: Step, make: Callable[[Part], Made] = made) -> Chore:
    leased = take(shop, step)
    return long_work.do_part(
        shop.ports,
        step.subject_id,
        step_id=step.id,
        fence=leased.fence,
        make=make,
    )


def parts_of(shop: BuiltShop, chore: Chore) -> list[Part]:
    with shop.ports.read() as work:
        return work.chores.parts(chore.id)


def test_each_part_is_done_once_and_the_last_one_ends_it(shop: BuiltShop) -> None:
    requests_in_june(shop, 3)
    chore = begin(shop, ChoreKind.PRICES)
    steps = owed(shop)
    assert chore.progress.total == len(steps) == 3
    for number, step in enumerate(steps, start=1):
        after = do(shop, step)
        assert (after.progress.done, after.running) == (number, number < 3)
    assert owed(shop) == []
    with shop.ports.read() as work:
        assert [name for name, _ in work.chores.documents(chore.id)] == ["0.pdf", "1.pdf", "2.pdf"]


def test_begun_twice_under_one_id_it_is_begun_once(shop: BuiltShop) -> None:
    requests_in_june(shop, 2)
    assert begin(shop, ChoreKind.PRICES) == begin(shop, ChoreKind.PRICES)
    assert len(owed(shop)) == 2


def test_a_worker_that_was_taken_for_dead_changes_nothing(shop: BuiltShop) -> None:
    requests_in_june(shop, 1)
    chore = begin(shop, ChoreKind.PRICES)
    (step,) = owed(shop)
    first = take(shop, step)
    shop.now += timedelta(seconds=30)
    second = take(shop, step)

    def come_back(leased: Step, made: Made) -> Chore:
        return long_work.do_part(
            shop.ports,
            step.subject_id,
            step_id=step.id,
            fence=leased.fence,
            make=lambda _: made,
        )

    with pytest.raises(StepRefused):
        come_back(first, Made(trouble="too late"))
    come_back(second, Made(name="sheet.pdf", document=b"%PDF"))
    come_back(second, Made(trouble="once more"))
    assert [(part.state, part.name) for part in parts_of(shop, chore)] == [
        (PartState.DONE, "sheet.pdf")
    ]


def test_what_cannot_be_made_is_told_and_holds_up_nothing(shop: BuiltShop) -> None:
    requests_in_june(shop, 2)
    chore = begin(shop, ChoreKind.PRICES)
    without, with_price = owed(shop)

    def refuse(part: Part) -> Made:
        raise NotFound("It has no price.")

    do(shop, without, refuse)
    after = do(shop, with_price)
    assert (after.progress.done, after.progress.failed, after.running) == (1, 1, False)
    assert [part.trouble for part in parts_of(shop, chore)] == ["It has no price.", None]


def test_a_part_that_breaks_is_tried_again_and_given_up_in_the_end(shop: BuiltShop) -> None:
    requests_in_june(shop, 1)
    chore = begin(shop, ChoreKind.PRICES)
    (step,) = owed(shop)
    tries = []

    def broken(part: Part) -> Made:
        tries.append(part.n)
        raise RuntimeError("a fault of ours")

    for _ in range(2):
        with pytest.raises(RuntimeError):
            do(shop, step, broken)
        shop.now += timedelta(minutes=1)
    after = do(shop, step, broken)
    assert (len(tries), after.progress.failed, after.running) == (3, 1, False)
    assert parts_of(shop, chore)[0].trouble == "It could not be made."


def test_a_part_that_takes_its_process_down_is_not_tried_for_ever(shop: BuiltShop) -> None:
    requests_in_june(shop, 1)
    begin(shop, ChoreKind.PRICES)
    (step,) = owed(shop)
    for _ in range(3):  # leased, and never heard of again
        take(shop, step)
        shop.now += timedelta(minutes=1)
    after = do(shop, step, lambda part: pytest.fail(f"tried again: {part.n}"))
    assert (after.progress.failed, after.running) == (1, False)


def test_stopped_it_makes_no_further_part_and_keeps_what_was_made(shop: BuiltShop) -> None:
    requests_in_june(shop, 3)
    chore = begin(shop, ChoreKind.PRICES)
    first, *_ = owed(shop)
    do(shop, first)
    with shop.ports.work() as work:
        long_work.stop(work, chore.id, now=shop.now)
        long_work.stop(work, chore.id, now=shop.now)
        work.commit()
    assert owed(shop) == []
    with shop.ports.read() as work:
        after = work.chores.get(chore.id)
        kept = list(work.chores.documents(chore.id))
    assert (after.progress.done, after.running, len(kept)) == (1, False, 1)


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (date(2027, 6, 2), date(2027, 6, 1)),
        (date(2027, 1, 1), date(2028, 2, 1)),
        (date(9999, 12, 31), date(9999, 12, 31)),
    ],
)
def test_days_that_make_no_sense_are_refused(shop: BuiltShop, first: date, last: date) -> None:
    with shop.ports.work() as work, pytest.raises(long_work.TimeRefused):
        long_work.begin(
            work,
            shop.ports,
            ChoreKind.PRICES,
            chore_id="chore-of-no-days",
            first=first,
            last=last,
            who="owner",
            now=shop.now,
        )


def test_without_anything_to_make_it_says_so(shop: BuiltShop) -> None:
    for kind in ChoreKind:
        with pytest.raises(long_work.NothingToDo):
            begin(shop, kind)


def test_a_price_by_the_same_figures_is_the_same(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    found = priced_anew(shop.ports, lead.id, now=shop.now)
    assert found["likely_was"] == found["likely_now"]
    assert found["cost_was"] == found["cost_now"]


def test_of_an_erased_client_no_document_stays(shop: BuiltShop) -> None:
    requests_in_june(shop, 2)
    chore = begin(shop, ChoreKind.PRICES)
    steps = owed(shop)
    for step in steps:
        do(shop, step)
    gone, kept = parts_of(shop, chore)
    assert gone.lead_id is not None
    erase(shop, gone.lead_id)
    with shop.ports.read() as work:
        assert [name for name, _ in work.chores.documents(chore.id)] == [kept.name]


def erase(shop: BuiltShop, lead_id: str) -> None:
    with shop.ports.work() as work:
        forgetting.erase(work, lead_id, now=shop.now)
        work.commit()


def test_a_client_who_is_erased_while_a_part_is_made_leaves_no_document(shop: BuiltShop) -> None:
    requests_in_june(shop, 1)
    chore = begin(shop, ChoreKind.PRICES)
    (step,) = owed(shop)

    def make(part: Part) -> Made:
        erase(shop, str(part.lead_id))
        return made(part)

    do(shop, step, make)
    (part,) = parts_of(shop, chore)
    assert (part.name, part.trouble) == (None, "Its client's data was erased.")


def test_what_is_about_several_is_made_again_when_one_of_them_is_erased(shop: BuiltShop) -> None:
    booked(shop)
    other = shop.quoted(a_brief(), chat_id="another-chat")
    chore = begin(shop, ChoreKind.DOCUMENTS)
    *_, run, shopping = owed(shop)
    do(shop, shopping)

    def make(part: Part) -> Made:
        erase(shop, other.id)
        return made(part)

    with pytest.raises(StaleDecision):
        do(shop, run, make)
    assert not any(part.name for part in parts_of(shop, chore))
    shop.now += timedelta(seconds=10)
    do(shop, run)
    assert [part.about for part in parts_of(shop, chore) if part.name] == [About.RUN]


def test_what_is_old_is_taken_away_with_its_steps(shop: BuiltShop) -> None:
    requests_in_june(shop, 1)
    chore = begin(shop, ChoreKind.PRICES)
    (step,) = owed(shop)
    with shop.ports.work() as work:
        work.chores.forget(shop.now + KEPT_FOR)
        work.commit()
    with shop.ports.read() as work:
        with pytest.raises(NotFound):
            work.chores.get(chore.id)
        with pytest.raises(NotFound):
            work.outbox.get(step.id)


def test_of_a_booked_job_every_document_is_wanted(shop: BuiltShop) -> None:
    booked(shop)
    wanted = [part.about for part in parts_of(shop, begin(shop, ChoreKind.DOCUMENTS))]
    assert wanted == [
        About.QUOTE, About.BUILD, About.LABELS, About.LOAD, About.RUN, About.SHOPPING
    ]  # fmt: skip
