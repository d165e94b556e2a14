"""What a reply looks at, and what it is made of."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from bot.dialogue import values
from bot.dialogue.heard import Heard
from bot.dialogue.messages import Button, Found, News, ShopCard, Submission, Wanted
from bot.dialogue.phrases import Phrases
from bot.dialogue.questions import View
from bot.dialogue.state import Stage, State

LONGEST_LABEL = 64
THIRD_MISS = 3
# These phrases tell the client that the owner sees the conversation: whoever says one calls the
# owner, so that it is true.
_CALLS_OWNER = frozenset(
    {
        "person",
        "for_owner",
        "complaint",
        "question",
        "third_miss",
        "other_language",
        "out_of_scope",
        "cancelled_after_sending",
        "balloon_drop",
        "in_care",
        "phone.sent",
        "dear.review",
        "stumbled",
    }
)
# These tell how to reach the owner elsewhere. Once is enough: there is a short way to say each.
HANDS_OVER = frozenset(
    {"person", "complaint", "question", "out_of_scope", "balloon_drop", "third_miss"}
)
TELLS_CONTACT = HANDS_OVER | {"other_language", "cancelled_after_sending"}
HANDED_OVER = "handed_over"
LATEX = "latex"


@dataclass(frozen=True, kw_only=True)
class Scene:
    """What a reply may look at. `for_owner` are the phrases that the owner reads;
    `under_review` tells that the owner looks at what was sent last before it has a price."""

    state: State
    heard: Heard
    now: datetime
    shop: ShopCard
    phrases: Phrases
    for_owner: Phrases
    found: Found = field(default_factory=Found)
    under_review: bool = False
    message_ref: str | None = None

    def view(self, state: State) -> View:
        """What a question about `state` may look at."""
        return View(state=state, shop=self.shop, phrases=self.phrases, today=self.now.date())


@dataclass(frozen=True, kw_only=True)
class Reply:
    """The new state and the phrases that open the answer; question or readback come after them.

    `choices` are buttons to stand beside it. With `stays` the conversation stays where it was, and
    with `stage` it goes there, whatever the table of moves says. `lists_changes` shows what can be
    changed, `turns_page` another page of the open question's picker.
    """

    state: State
    says: tuple[str, ...] = ()
    values: Mapping[str, object] = field(default_factory=dict)
    choices: tuple[Button, ...] = ()
    stays: bool = False
    stage: Stage | None = None
    lists_changes: bool = False
    turns_page: bool = False
    submit: Submission | None = None
    wants: Wanted | News | None = None
    stops: bool | None = None  # whether nothing is to come unasked, where that changes

    @property
    def calls_owner(self) -> bool:
        """Whether it tells the client that the owner sees the conversation."""
        return not _CALLS_OWNER.isdisjoint(self.says)

    @property
    def spoken(self) -> tuple[str, ...]:
        """`says`, pointing to the owner once only."""
        pointing = [key for key in self.says if key in _CALLS_OWNER]
        return tuple(key for key in self.says if key not in pointing[1:])


def person_button(scene: Scene, number: int) -> Button:
    """The way to a human."""
    label = scene.phrases.say("button.person", owner=scene.shop.owner_name)
    return Button(label=label, value=values.person(number))
