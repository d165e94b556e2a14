"""What came of messages and requests, from what clients, owner and the Bot API server saw."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tests.faults.checking import Excuses, repeated
from tests.faults.evidence import Cut, Posted


@dataclass(frozen=True, kw_only=True)
class Said:
    """A client's message, and when it was first tried."""

    text: str
    began: float


@dataclass(frozen=True, kw_only=True)
class Stored:
    """A message of the conversation as the shop has it: the client's, or `ours`."""

    text: str
    ours: bool


@dataclass(frozen=True, kw_only=True)
class Chat:
    """One conversation: what was said, what the shop has of it, what Telegram was given."""

    said: Sequence[Said]
    stored: Sequence[Stored]
    posted: Sequence[Posted]


@dataclass(kw_only=True)
class Counted:
    """What is wrong, how many copies the cut excuses, and (when it began, seconds) of answers."""

    lost: int = 0
    unanswered: int = 0
    doubled: int = 0
    out_of_order: int = 0
    again: int = 0
    excused: int = 0
    waits: list[tuple[float, float]] = field(default_factory=list)


def judge(
    chats: Sequence[Chat], keys: Mapping[str, set[str]], listed: Sequence[str], cut: Cut
) -> Counted:
    """Count. `keys` are the requests' keys with the ids that were answered, `listed` what the
    owner's list shows. The machine that was cut off had one sending in hand at most."""
    counted, excuses = Counted(), Excuses([cut])
    for chat in chats:
        _stored(chat, counted)
        answers = list(answered(chat))
        counted.unanswered += len(chat.said) - len(answers)
        counted.waits += answers
        _copies(chat, excuses, counted)
    counted.lost += sum(not ids & set(listed) for ids in keys.values())
    counted.doubled += max(0, len(listed) - len(keys))
    return counted


def answered(chat: Chat) -> Iterator[tuple[float, float]]:
    """When each message that has its answer at Telegram was first tried, and how long it took."""
    reached = _reached(chat)
    for said in chat.said:
        at = next((n for n, one in enumerate(chat.stored) if _is(one, said)), len(chat.stored))
        answer = next((n for n, one in enumerate(chat.stored) if n > at and one.ours), None)
        if answer in reached:
            yield said.began, reached[answer] - said.began


def _reached(chat: Chat) -> dict[int | None, float]:
    """When each of our messages, by its place, reached Telegram: equal ones in their order."""
    free: dict[str, list[float]] = {}
    for one in sorted(chat.posted, key=lambda each: each.at):
        free.setdefault(one.text, []).append(one.at)
    return {
        place: free[one.text].pop(0)
        for place, one in enumerate(chat.stored)
        if one.ours and free.get(one.text)
    }


def _is(stored: Stored, said: Said) -> bool:
    return not stored.ours and stored.text == said.text


def _stored(chat: Chat, counted: Counted) -> None:
    theirs = [one.text for one in chat.stored if not one.ours]
    times = Counter(theirs)
    counted.lost += sum(not times[said.text] for said in chat.said)
    counted.doubled += sum(number - 1 for number in times.values())
    in_order = [said.text for said in chat.said if times[said.text]]
    counted.out_of_order += list(dict.fromkeys(theirs)) != in_order


def _copies(chat: Chat, excuses: Excuses, counted: Counted) -> None:
    """What Telegram was given more often than the shop has said it."""
    spare = Counter(one.text for one in chat.posted)
    spare.subtract(one.text for one in chat.stored if one.ours)
    for first, second in repeated(chat.posted):
        if spare[second.text] > 0 and excuses.take(first, second):
            spare[second.text] -= 1
            counted.excused += 1
    counted.again += sum(number for number in spare.values() if number > 0)
