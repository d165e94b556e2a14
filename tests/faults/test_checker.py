"""A checker that cannot fail is worth nothing: each wrong it is for is made up, and found."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from tests.faults.checking import Verdict, check
from tests.faults.evidence import Cut, Evidence, LeadSeen, Posted, Shown, Story, Turn

_BALLPARK = "Your ballpark is $340 to $460.\nMost likely around $395 (no sales tax is added)."
_DEARER = _BALLPARK.replace("$395", "$425")
_PRICE = (340, 460, 395)


def _story(channel: str = "webchat", *, ballparks: int = 1, answered: bool = True) -> Story:
    """Somebody who asked once, was told a price, and saw it on the quote's page."""
    story = Story(client="nora", channel=channel, chat_id="77")
    story.turns = [
        Turn(what="text", sent=1.0, accepted=1.1, answered=1.3),
        Turn(what="confirm", sent=2.0, accepted=2.1, answered=2.3 if answered else None),
    ]
    said = ["Here's what I have: …", "Working it out now.", *[_BALLPARK] * ballparks]
    story.shown = [Shown(key=n, text=text, at=float(n)) for n, text in enumerate(said)]
    if channel == "webchat":
        typed = [Shown(key=10 + n, text="…", at=0.0, update=f"u{n}", ours=False) for n in (0, 1)]
        story.shown += typed
    story.confirmed, story.priced = 2.1, 3.0
    story.prices = {"chat": [_PRICE], "quote page": [_PRICE]}
    return story


def _lead(**changes: object) -> LeadSeen:
    lead = LeadSeen(lead_id="l1", state="quoted", channel="webchat", client="nora", price=_PRICE)
    return replace(lead, **changes)  # type: ignore[arg-type]


def _checked(
    story: Story, *leads: LeadSeen, posted: Sequence[Posted] = (), cuts: Sequence[Cut] = ()
) -> Verdict:
    return check(Evidence(stories=[story], leads=[*leads], posted=[*posted], cuts=[*cuts]))


def _sent_twice(*cuts: Cut, answered: bool = True) -> Verdict:
    """A ballpark that Telegram was given twice, 9 seconds apart."""
    posted = [
        Posted(chat_id="77", text=_BALLPARK, at=100.0, answered=answered),
        Posted(chat_id="77", text=_BALLPARK, at=109.0, answered=True),
    ]
    story = _story("telegram", ballparks=2)
    return _checked(story, _lead(channel="telegram"), posted=posted, cuts=cuts)


def _cut(target: str, at: float, kind: str = "kill", lasts: float = 0.0) -> Cut:
    return Cut(number=0, kind=kind, target=target, began=at, ended=at + lasts)


@pytest.mark.parametrize("channel", ["webchat", "telegram"])
def test_a_run_in_which_all_went_well_is_clean(channel: str) -> None:
    assert _checked(_story(channel), _lead(channel=channel)).clean


def test_a_request_that_was_confirmed_and_is_nowhere_is_lost() -> None:
    story = _story()
    story.priced, story.prices = None, {}
    assert _checked(story).lost == ["nora: confirmed, and there is no request"]


def test_what_was_taken_and_is_not_in_the_chat_is_lost() -> None:
    story = _story(answered=False)
    story.shown = [shown for shown in story.shown if shown.update != "u1"]
    verdict = _checked(story, _lead())
    assert verdict.lost == ["nora: turn 1 (confirm) has no answer"]
    assert not verdict.stuck


def _on_telegram(known: int) -> Story:
    """Somebody whose last turn was taken and has no answer; the shop knows of their first turns."""
    story = _story("telegram", answered=False)
    story.shown += [
        Shown(key=-n, text="…", at=0.0, update=f"u{n}", ours=False) for n in range(1, known + 1)
    ]
    return story


def test_what_telegram_handed_on_and_the_shop_never_wrote_down_is_lost() -> None:
    verdict = _checked(_on_telegram(known=1), _lead(channel="telegram"))
    assert (len(verdict.lost), len(verdict.stuck)) == (1, 0)


def test_what_the_shop_has_from_telegram_and_did_not_answer_is_stuck() -> None:
    verdict = _checked(_on_telegram(known=2), _lead(channel="telegram"))
    assert (len(verdict.lost), len(verdict.stuck)) == (0, 1)


def test_a_form_that_was_taken_and_is_no_request_is_lost() -> None:
    story = Story(client="nora", channel="form", confirmed=2.0)
    story.turns = [Turn(what="form", sent=1.0, accepted=2.0)]
    assert len(_checked(story).lost) == 2


def test_what_is_known_and_has_no_answer_is_stuck() -> None:
    verdict = _checked(_story(answered=False), _lead())
    assert verdict.stuck == ["nora: turn 1 (confirm) has no answer"]
    assert not verdict.lost


def test_a_request_without_its_price_is_stuck() -> None:
    story = _story()
    story.priced, story.prices = None, {}
    story.shown = [shown for shown in story.shown if shown.text != _BALLPARK]
    verdict = _checked(story, _lead(state="new", price=None))
    assert verdict.stuck == ["nora: confirmed, and no price came"]


def test_what_was_never_taken_is_stuck() -> None:
    story = _story()
    story.turns.append(Turn(what="text", sent=4.0))
    assert _checked(story, _lead()).stuck == ["nora: turn 2 (text) was never taken"]


def test_a_second_ballpark_is_a_double() -> None:
    assert len(_checked(_story(ballparks=2), _lead()).doubled) == 1


def test_a_second_ballpark_with_another_price_is_a_double_and_a_contradiction() -> None:
    story = _story()
    story.shown.append(Shown(key=5, text=_DEARER, at=5.0))
    verdict = _checked(story, _lead())
    assert len(verdict.doubled) == 1
    assert len(verdict.contradictory) == 1


def test_two_requests_for_one_confirmation_are_a_double() -> None:
    verdict = _checked(_story(), _lead(), _lead(lead_id="l2"))
    assert verdict.doubled == ["nora: 2 requests for one"]


def test_two_receipts_for_one_key_are_a_double() -> None:
    story = _story("api")
    story.receipts = {"l1", "l2"}
    assert _checked(story, _lead()).doubled == ["nora: 2 receipts for one request"]


def test_a_clients_own_words_that_stand_there_twice_are_a_double() -> None:
    story = _story()
    story.shown.append(Shown(key=30, text="…", at=0.0, update="u1", ours=False))
    assert len(_checked(story, _lead()).doubled) == 1


@pytest.mark.parametrize(
    ("place", "price"), [("quote page", (340, 460, 400)), ("api status", (345, 460, 395))]
)
def test_a_price_that_differs_from_place_to_place_is_a_contradiction(
    place: str, price: tuple[int, ...]
) -> None:
    story = _story()
    story.prices[place] = [price]
    assert len(_checked(story, _lead()).contradictory) == 1


def test_a_price_at_the_api_that_differs_from_the_chats_is_a_contradiction() -> None:
    assert len(_checked(_story(), _lead(price=(1, 2, 3))).contradictory) == 1


def test_a_request_that_is_new_while_its_client_has_the_price_is_a_contradiction() -> None:
    assert len(_checked(_story(), _lead(state="new")).contradictory) == 1


def test_a_price_without_a_request_is_a_contradiction() -> None:
    story = _story()
    story.confirmed = None
    assert _checked(story).contradictory == ["nora: a price without a request"]


def test_a_request_that_its_client_never_confirmed_is_a_contradiction() -> None:
    story = Story(client="nora", channel="telegram", chat_id="77")
    verdict = _checked(story, _lead(channel="telegram", state="new", price=None))
    assert verdict.contradictory == ["nora: a request that was never confirmed"]


def test_a_request_that_nobody_sent_is_a_contradiction() -> None:
    verdict = _checked(_story(), _lead(), _lead(client="somebody", lead_id="l9"))
    assert verdict.contradictory == ["somebody: 1 requests that nobody sent"]


def test_what_a_client_found_odd_is_a_contradiction() -> None:
    story = _story()
    story.odd.append("a ballpark has no link to its quote")
    assert len(_checked(story, _lead()).contradictory) == 1


def test_a_message_given_to_telegram_twice_for_no_reason_is_a_double() -> None:
    assert len(_sent_twice().doubled) == 1


@pytest.mark.parametrize("target", ["deliveries", "service", "everything"])
def test_one_whose_sender_was_cut_off_may_be_doubled(target: str) -> None:
    verdict = _sent_twice(_cut(target, 100.5))
    assert verdict.clean
    assert len(verdict.excused) == 1


def test_one_whose_answer_was_lost_may_be_doubled() -> None:
    verdict = _sent_twice(answered=False)
    assert verdict.clean
    assert len(verdict.excused) == 1


@pytest.mark.parametrize(
    "cut",
    [
        _cut("deliveries", 99.9),  # what it had sent was on its way
        _cut("deliveries", 102.4),
        _cut("service", 97.0, "stop", 3.5),
        replace(_cut("service", 97.0), back=100.5),
        _cut("disk", 99.0, "fill", 1.0),
    ],
)
def test_a_cut_that_was_under_way_or_came_before_the_confirmation_excuses(cut: Cut) -> None:
    verdict = _sent_twice(cut)
    assert verdict.clean
    assert len(verdict.excused) == 1


@pytest.mark.parametrize(
    "cut",
    [
        _cut("deliveries", 95.5),  # a dead sender sends nothing
        _cut("deliveries", 99.7),
        _cut("deliveries", 102.6),
        _cut("service", 96.0, "stop", 3.5),
        replace(_cut("service", 96.0), back=99.5),
        _cut("replies", 100.5),
        _cut("sendMessage", 100.5, "429"),
        replace(_cut("deliveries", 100.5), struck=False),
    ],
)
def test_a_cut_at_another_time_or_of_somebody_else_excuses_nothing(cut: Cut) -> None:
    verdict = _sent_twice(cut)
    assert len(verdict.doubled) == 1
    assert verdict.exposed == 0


def test_a_cut_after_the_second_sending_does_not_excuse_it() -> None:
    posted = [Posted(chat_id="77", text=_BALLPARK, at=at, answered=True) for at in (100.0, 100.2)]
    story = _story("telegram", ballparks=2)
    lead = _lead(channel="telegram")
    verdict = _checked(story, lead, posted=posted, cuts=[_cut("deliveries", 102.3)])
    assert len(verdict.doubled) == 1
    assert verdict.exposed == 2


def test_each_cut_excuses_one_message_only() -> None:
    posted = [
        Posted(chat_id="77", text=text, at=at, answered=True)
        for text in (_BALLPARK, "Working it out now.")
        for at in (100.0, 109.0)
    ]
    story = _story("telegram", ballparks=2)
    story.shown.append(Shown(key=40, text="Working it out now.", at=9.0))
    verdict = _checked(story, _lead(), posted=posted, cuts=[_cut("deliveries", 100.5)])
    assert (len(verdict.excused), len(verdict.doubled)) == (1, 1)
