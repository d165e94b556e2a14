"""What can go wrong when a machine is cut off is made up, and found."""

from collections.abc import Mapping, Sequence

from tests.faults.evidence import Cut, Posted
from tests.scale.judging import Chat, Counted, Said, Stored, judge

_CUT = Cut(number=0, kind="unplug", target="deliveries", began=100.0, ended=110.0)
_STORED = (("one", False), ("Which day?", True), ("two", False), ("Which day?", True))


def _chat(*sent: tuple[str, float], stored: Sequence[tuple[str, bool]] = _STORED) -> Sequence[Chat]:
    """Somebody who said two things, at 90 and at 91, and was asked the same twice."""
    return [
        Chat(
            said=[Said(text="one", began=90.0), Said(text="two", began=91.0)],
            stored=[Stored(text=text, ours=ours) for text, ours in stored],
            posted=[Posted(chat_id="77", text=text, at=at, answered=True) for text, at in sent],
        )
    ]


_WELL = (("Which day?", 90.4), ("Which day?", 91.7))


def _judged(
    chats: Sequence[Chat] = (),
    keys: Mapping[str, set[str]] | None = None,
    listed: Sequence[str] = (),
) -> Counted:
    found = judge(chats, keys or {}, listed, _CUT)
    found.waits = [(began, round(took, 3)) for began, took in found.waits]
    return found


def test_who_was_answered_twice_with_the_same_words_was_answered() -> None:
    assert _judged(_chat(*_WELL)) == Counted(waits=[(90.0, 0.4), (91.0, 0.7)])


def test_a_message_whose_answer_never_reached_telegram_is_unanswered() -> None:
    assert _judged(_chat()).unanswered == 2
    assert _judged(_chat(("Which day?", 90.4))) == Counted(unanswered=1, waits=[(90.0, 0.4)])


def test_a_message_to_which_the_shop_said_nothing_is_unanswered() -> None:
    assert _judged(_chat(*_WELL[:1], stored=_STORED[:3])).unanswered == 1


def test_a_message_that_the_shop_does_not_have_is_lost_and_unanswered() -> None:
    found = _judged(_chat(*_WELL[:1], stored=_STORED[:2]))
    assert (found.lost, found.unanswered) == (1, 1)


def test_a_message_that_stands_there_twice_is_a_double() -> None:
    assert _judged(_chat(*_WELL, stored=[*_STORED, ("two", False)])).doubled == 1


def test_messages_that_changed_places_are_out_of_order() -> None:
    turned = [*_STORED[2:], *_STORED[:2]]
    assert _judged(_chat(*_WELL, stored=turned)).out_of_order == 1


def test_a_reply_that_was_sent_again_for_no_reason_counts() -> None:
    found = _judged(_chat(*_WELL, ("Which day?", 92.0)))
    assert (found.again, found.excused) == (1, 0)


def test_the_cut_excuses_one_copy_of_what_was_just_sent() -> None:
    sent = [("Which day?", 90.4), ("Which day?", 99.0), ("Which day?", 109.0)]
    found = _judged(_chat(*sent))
    assert (found.again, found.excused) == (0, 1)
    found = _judged(_chat(*sent, ("Which day?", 109.5)))
    assert (found.again, found.excused) == (1, 1)


def test_a_request_that_the_owners_list_lacks_is_lost() -> None:
    assert _judged(keys={"k1": {"l1"}, "k2": set()}, listed=["l1"]).lost == 1


def test_a_twin_that_a_lost_answer_left_behind_is_a_double() -> None:
    assert _judged(keys={"k1": {"l1"}}, listed=["l1", "l2"]).doubled == 1
