"""The independent checker: reads evidence from outside and nothing else.

lost           accepted, and the shop knows nothing of it
stuck          known, and not settled when the patience after the last fault was over
doubled        two prices for one request, a message shown twice, two requests for one key or
               one confirmation
contradictory  a price that differs from place to place, a state that cannot be
may be doubled a message that Telegram was given twice, where the first time its answer was lost, or
               whoever passes its confirmation on was cut off: while the first was sent, or after
               it, before the second and while a confirmation is on its way. Each such cut excuses
               one message.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from tests.faults.evidence import Cut, Evidence, LeadSeen, Posted, Story
from tests.faults.wording import ballpark_in

# After a sending its confirmation is on its way for so long, with the calls that are made again.
_CONFIRMS_WITHIN_S = 2.5
# What a sender had sent before it was killed is taken this much later.
_ON_ITS_WAY_S = 0.25
# Whose end or silence keeps a confirmation from arriving.
_BETWEEN = frozenset(
    {"deliveries", "service", "everything", "disk", "bot api", "postgres", "postgres backend"}
)

# What a request may be once its client has seen a ballpark.
_PRICED = frozenset({"quoted"})


@dataclass(kw_only=True)
class Verdict:
    """What was found, each in words. `excused` are the messages that may be doubled.

    `cuts_between` are the cuts that can excuse one; `exposed` the messages at Telegram, doubled or
    not, that one of them would excuse: so many doubles could have gone unseen at most.
    """

    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    stuck: list[str] = field(default_factory=list)
    contradictory: list[str] = field(default_factory=list)
    excused: list[str] = field(default_factory=list)
    cuts_between: int = 0
    exposed: int = 0

    @property
    def clean(self) -> bool:
        """Whether nothing is wrong."""
        return not (self.lost or self.doubled or self.stuck or self.contradictory)


def check(evidence: Evidence) -> Verdict:
    """Judge a run by what was seen of it."""
    verdict = Verdict()
    leads = defaultdict(list)
    for lead in evidence.leads:
        leads[lead.client].append(lead)
    excuses = Excuses(evidence.cuts)
    verdict.cuts_between = excuses.count
    verdict.exposed = sum(map(excuses.would_excuse, evidence.posted))
    posted = defaultdict(list)
    for one in evidence.posted:
        posted[one.chat_id].append(one)
    for story in evidence.stories:
        of_client = leads.pop(story.client, [])
        _unsettled(story, of_client, verdict)
        verdict.doubled += _twice_asked(story, of_client)
        _shown_twice(story, posted.get(story.chat_id or "", []), excuses, verdict)
        verdict.contradictory += _at_odds(story, of_client)
    for client, strays in leads.items():
        verdict.contradictory.append(f"{client}: {len(strays)} requests that nobody sent")
    return verdict


def _unsettled(story: Story, leads: list[LeadSeen], verdict: Verdict) -> None:
    """What was accepted and has no answer: lost where the shop does not know of it."""
    for number, turn in enumerate(story.turns):
        if turn.accepted is None:
            verdict.stuck.append(f"{story.client}: turn {number} ({turn.what}) was never taken")
        elif turn.answered is None:
            what = f"{story.client}: turn {number} ({turn.what}) has no answer"
            # The shop writes down what it has taken in, as the client's own words in the chat.
            known = leads if turn.what in ("form", "post") else _heard(story) > number
            (verdict.stuck if known else verdict.lost).append(what)
    if story.confirmed is not None and story.priced is None:
        if not leads:
            verdict.lost.append(f"{story.client}: confirmed, and there is no request")
        elif all(turn.answered for turn in story.turns):
            verdict.stuck.append(f"{story.client}: confirmed, and no price came")


def _heard(story: Story) -> int:
    return sum(not shown.ours for shown in story.shown)


def _twice_asked(story: Story, leads: list[LeadSeen]) -> Iterator[str]:
    if len(leads) > 1:
        yield f"{story.client}: {len(leads)} requests for one"
    if len(story.receipts) > 1:
        yield f"{story.client}: {len(story.receipts)} receipts for one request"


def _shown_twice(story: Story, posted: list[Posted], excuses: "Excuses", verdict: Verdict) -> None:
    updates = Counter(s.update for s in story.shown if s.update and not s.ours)
    for count in updates.values():
        if count > 1:
            verdict.doubled.append(f"{story.client}: what the client said stands there twice")
    texts = Counter(s.text for s in story.shown if s.ours)
    ballparks = sum(n for text, n in texts.items() if ballpark_in(text))
    again = sum(n - 1 for n in texts.values())
    if ballparks - sum(n - 1 for t, n in texts.items() if ballpark_in(t)) > 1:
        verdict.doubled.append(f"{story.client}: {ballparks} ballparks that differ")
    if again == 0:
        return
    if story.channel != "telegram":
        verdict.doubled.append(f"{story.client}: {again} messages are shown twice")
        return
    for first, second in repeated(posted):
        cut = excuses.take(first, second)
        told = f"{story.client}: {first.text[:30]!r} came twice"
        if cut is None:
            verdict.doubled.append(told)
        else:
            verdict.excused.append(f"{told} ({cut})")


def repeated(posted: Iterable[Posted]) -> Iterator[tuple[Posted, Posted]]:
    """Each message that was taken again, with the sending before it, in one chat."""
    last: dict[str, Posted] = {}
    for one in sorted(posted, key=lambda each: each.at):
        if one.text in last:
            yield last[one.text], one
        last[one.text] = one


class Excuses:
    """The cuts that can have kept a sending from being confirmed; each is good for one."""

    def __init__(self, cuts: Iterable[Cut]) -> None:
        between = (cut for cut in cuts if cut.target in _BETWEEN and cut.struck)
        self._free = sorted(between, key=lambda cut: cut.began)
        self.count = len(self._free)

    def take(self, first: Posted, second: Posted) -> str | None:
        """What came between two sendings of a message so that nobody knew of the first."""
        if not first.answered:
            return "its answer was lost"
        for cut in self._free:
            if cut.began <= second.at and _keeps_unknown(cut, first):
                self._free.remove(cut)
                return f"{cut.kind} {cut.target}"
        return None

    def would_excuse(self, sending: Posted) -> bool:
        """Whether a second copy of it, whenever it came, would be excused."""
        return not sending.answered or any(_keeps_unknown(cut, sending) for cut in self._free)


def _keeps_unknown(cut: Cut, sending: Posted) -> bool:
    """Whether a cut was under way at a sending, or began before its confirmation has arrived."""
    over = max(cut.ended, cut.back)
    return sending.at - _ON_ITS_WAY_S <= over and cut.began <= sending.at + _CONFIRMS_WITHIN_S


def _at_odds(story: Story, leads: list[LeadSeen]) -> Iterator[str]:
    yield from (f"{story.client}: {odd}" for odd in story.odd)
    prices = {amounts for seen in story.prices.values() for amounts in seen}
    prices |= {amounts for s in story.shown if s.ours and (amounts := ballpark_in(s.text))}
    prices |= {lead.price for lead in leads if lead.price is not None}
    if len(prices) > 1:
        yield f"{story.client}: {len(prices)} prices for one request: {sorted(prices)}"
    if prices and not leads:
        yield f"{story.client}: a price without a request"
    for lead in leads:
        if story.priced is not None and (lead.state not in _PRICED or lead.price is None):
            yield f"{story.client}: has a price, and its request is {lead.state}"
        if story.confirmed is None and story.priced is None and story.channel in _CHATS:
            yield f"{story.client}: a request that was never confirmed"


_CHATS = ("webchat", "telegram")
