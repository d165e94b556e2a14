"""What each act of the client changes, and how its answer begins."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from hashlib import sha256
from typing import Any

from bot.dialogue import values
from bot.dialogue.brief import brief_json
from bot.dialogue.filling import fill, with_words
from bot.dialogue.hearing import Heard
from bot.dialogue.messages import Button, ShopCard, Submission
from bot.dialogue.phrases import en, say
from bot.dialogue.questions import BY_NAME, next_question, piece_in_question
from bot.dialogue.readback import called, celebrated, described, listed, news, size_of
from bot.dialogue.state import Act, Draft, Piece, State
from bot.dialogue.supports import rebuilt, usual

THIRD_MISS = 3
LONGEST_LABEL = 64
_UNSAFE = frozenset({"unsafe_release", "hydrogen"})
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
        "other_language.es",
        "out_of_scope",
        "cancelled_after_sending",
        "balloon_drop",
        "in_care",
    }
)
# These tell how to reach the owner elsewhere. Once is enough: there is a short way to say each.
HANDS_OVER = frozenset(
    {"person", "complaint", "question", "out_of_scope", "balloon_drop", "third_miss"}
)
TELLS_CONTACT = HANDS_OVER | {"other_language", "other_language.es", "cancelled_after_sending"}
HANDED_OVER = "handed_over"
LATEX = "latex"


@dataclass(frozen=True, kw_only=True)
class Scene:
    """What a reply may look at."""

    state: State
    heard: Heard
    now: datetime
    shop: ShopCard


@dataclass(frozen=True, kw_only=True)
class Reply:
    """The new state and the phrases that open the answer; question or readback come after them.

    `choices` are buttons to stand beside it; with `stays` the conversation stays where it was.
    """

    state: State
    says: tuple[str, ...] = ()
    values: Mapping[str, object] = field(default_factory=dict)
    choices: tuple[Button, ...] = ()
    stays: bool = False
    submit: Submission | None = None

    @property
    def calls_owner(self) -> bool:
        """Whether it tells the client that the owner sees the conversation."""
        return not _CALLS_OWNER.isdisjoint(self.says)

    @property
    def spoken(self) -> tuple[str, ...]:
        """`says`, pointing to the owner once only."""
        pointing = [key for key in self.says if key in _CALLS_OWNER]
        return tuple(key for key in self.says if key not in pointing[1:])


def _start(scene: Scene) -> Reply:
    blank = scene.state.draft == Draft()
    says = ("welcome",) if blank else ()
    if scene.state.stage == "sent":
        says = ("sent_offer",)
    return Reply(state=scene.state, says=(*scene.heard.says, *says))


def _facts(scene: Scene) -> Reply:
    before, heard = scene.state, scene.heard
    filled = fill(before, heard, today=scene.now.date())
    changed = filled.draft != before.draft
    # An allergy changes no measure, but the owner must read of it.
    allergy = _tells_of_latex(heard)
    matters = changed or allergy
    draft = filled.draft
    if heard.text and matters:
        draft = with_words(draft, heard.text, first=allergy)
    after = replace(
        before,
        draft=draft,
        revision=before.revision + matters,
        editing=False,
        unsure=None,
        misses=0,
    )
    if filled.unsure is not None:
        opened = replace(after, asked="size", piece=filled.piece, editing=True)
        return Reply(state=replace(opened, unsure=filled.unsure), says=heard.says)
    after = _reopened(after, heard.says)
    if before.stage == "sent" and not matters and not after.editing:
        return Reply(state=after, says=heard.says or ("nothing_changed",), stays=True)
    if not changed and not heard.says and before.stage == "asking" and not before.editing:
        return _missed(scene)
    remark = _remark(before, after, heard.says)
    told = {
        "celebrated": celebrated(after.draft, heard.text),
        "news": news(before.draft, after.draft, scene.shop.currency),
        "piece": listed(_taken_away(before.draft, after.draft)),
    }
    return Reply(state=after, says=(*remark, *heard.says), values=told)


def _tells_of_latex(heard: Heard) -> bool:
    return not {LATEX, f"{LATEX}.again"}.isdisjoint(heard.says)


def _remark(before: State, after: State, says: tuple[str, ...]) -> tuple[str, ...]:
    """A word on what was taken in, where the question that follows does not show it."""
    if before.stage == "new":
        return () if _UNSAFE.intersection(says) else (_welcoming(after.draft),)
    changed = replace(after.draft, words="") != replace(before.draft, words="")
    if _taken_away(before.draft, after.draft):
        return ("removed",)
    question = next_question(after)
    if before.stage == "asking" and question is not None:
        # A measure or a month that was taken in shows in the question for the next one.
        beside = changed and after.draft.pieces == before.draft.pieces
        beside = beside and after.draft.event_month == before.draft.event_month
        return ("noted",) if beside and question.name == before.asked and not says else ()
    if before.stage == "asking" and not before.editing:
        return ()
    if changed:
        return ("changed",)
    return () if says else ("nothing_changed",)


def _welcoming(draft: Draft) -> str:
    """How a first message that says something is met: gladly, where there is a joyful occasion."""
    joyful = draft.occasion is not None and draft.occasion not in en.NOT_GREETED
    return "celebrating" if joyful else "happy_to_help"


def _taken_away(before: Draft, after: Draft) -> list[str]:
    """What is not built any more, and nothing in its place."""
    if len(after.pieces) >= len(before.pieces):
        return []
    kept = {piece.support for piece in after.pieces}
    return [called(piece) for piece in before.pieces if piece.support not in kept]


def _reopened(state: State, says: tuple[str, ...]) -> State:
    """What was said wrongly is asked at once, even where an earlier answer stands."""
    for warning, question in (("past_date", "date"), ("odd_size", "size")):
        if warning in says and (question != "size" or state.draft.pieces):
            return replace(state, asked=question, piece=piece_in_question(state), editing=True)
    return state


def _skip(scene: Scene) -> Reply:
    name = scene.heard.question
    if name is None:
        return Reply(state=scene.state, says=scene.heard.says)
    state = replace(scene.state, editing=False, unsure=None, misses=0)
    if scene.state.editing and not BY_NAME[name].missing(state.draft):
        return Reply(state=state, says=("nothing_changed",))
    if name == "support":
        return _skip_support(state)
    if name == "size":
        return _skip_size(state)
    if name == "count":
        return _skip_count(state)
    return Reply(state=_left_open(state, name), says=(f"left_open.{name}",))


def _left_open(state: State, name: str) -> State:
    skipped = tuple(dict.fromkeys((*state.skipped, name)))
    return replace(state, skipped=skipped, misses=0)


def _skip_support(state: State) -> Reply:
    index = piece_in_question(state)
    if index < len(state.draft.pieces):
        # A garland of a known length whose carrier is open: a straight run has that very length.
        wall = rebuilt(state.draft.pieces[index], "wall")
        said = {"piece": described(wall)}
        return Reply(state=_built(state, index, wall), says=("took_wall",), values=said)
    frame = usual(Piece(support="round_top_frame"))
    said = {"size": size_of(frame)}
    return Reply(state=_built(state, index, frame), says=("took_usual_support",), values=said)


def _skip_size(state: State) -> Reply:
    index = piece_in_question(state)
    if index >= len(state.draft.pieces) or state.draft.pieces[index].support is None:
        return Reply(state=state, says=("nothing_to_skip",))
    piece = usual(state.draft.pieces[index])
    return Reply(
        state=_built(state, index, piece),
        says=("took_usual_size",),
        values={"size": size_of(piece)},
    )


def _skip_count(state: State) -> Reply:
    index = piece_in_question(state)
    if index >= len(state.draft.pieces):
        return Reply(state=state, says=("nothing_to_skip",))
    pair = replace(state.draft.pieces[index], count=2, uncounted=False)
    return Reply(state=_built(state, index, pair), says=("took_pair",))


def _built(state: State, index: int, piece: Piece) -> State:
    pieces = (*state.draft.pieces[:index], piece, *state.draft.pieces[index + 1 :])
    draft = replace(state.draft, pieces=pieces)
    return replace(state, draft=draft, revision=state.revision + 1)


def _edit(scene: Scene) -> Reply:
    heard = scene.heard
    opened = replace(scene.state, asked=heard.question, piece=heard.piece, editing=True, misses=0)
    return Reply(state=replace(opened, unsure=None), says=heard.says)


def _confirm(scene: Scene) -> Reply:
    state = scene.state
    brief = brief_json(state.draft)
    submission = Submission(
        key_suffix=_key_suffix(state, brief),
        brief=brief,
        language="en",
        name=state.name,
        revises=state.submitted > 0,
    )
    sent = replace(
        state, submitted=state.submitted + 1, editing=False, unsure=None, asked=None, misses=0
    )
    return Reply(state=sent, says=("working",), submit=submission)


def _key_suffix(state: State, brief: Mapping[str, Any]) -> str:
    # The numbers begin again when a conversation was erased; the brief's own mark keeps a later
    # client's lead from being taken for an earlier one.
    mark = sha256(json.dumps(brief, sort_keys=True).encode()).hexdigest()[:12]
    return f"{state.number}-{state.revision}-{mark}"


def _restart(scene: Scene) -> Reply:
    fresh = State(number=scene.state.number + 1, name=scene.state.name)
    if not scene.heard.text:
        return Reply(state=fresh, says=scene.heard.says)
    return replace(_facts(replace(scene, state=fresh)), says=scene.heard.says)


def _cancel(scene: Scene) -> Reply:
    fresh = State(number=scene.state.number + 1, name=scene.state.name)
    sent = scene.state.stage == "sent"
    return Reply(state=fresh, says=("cancelled_after_sending" if sent else "cancelled",))


def _status(scene: Scene) -> Reply:
    state = scene.state
    key = {"readback": "status.readback", "sent": "status.sent"}.get(state.stage, "status.asking")
    return Reply(state=state, says=(key,))


def _unclear(scene: Scene) -> Reply:
    state, says = scene.state, scene.heard.says
    if state.stage == "new":
        return Reply(state=state, says=(*says, "welcome"))
    if state.stage == "sent":
        return Reply(state=state, says=(*says, "sent_offer"))
    return _missed(scene)


def _missed(scene: Scene) -> Reply:
    state, says = scene.state, scene.heard.says or ("ask.again",)
    if state.stage == "asking" and scene.heard.text:
        # What we cannot read the owner can.
        state = replace(state, draft=with_words(state.draft, scene.heard.text))
        state = replace(state, revision=state.revision + 1)
    question = next_question(state)
    if question is not None and not question.patient and not state.editing:
        return Reply(state=_left_open(state, question.name), says=(f"left_open.{question.name}",))
    misses = state.misses + 1
    if misses >= THIRD_MISS:
        says = ("third_miss",)
    return Reply(state=replace(state, misses=misses), says=says)


def _aside(scene: Scene) -> Reply:
    """The next word is the owner's, but what was told of the event is kept."""
    state, heard = scene.state, scene.heard
    filled = fill(state, heard, today=scene.now.date())
    allergy = _tells_of_latex(heard)
    if filled.draft == state.draft and not allergy:
        return _talk(scene)
    draft = with_words(filled.draft, heard.text, first=allergy)
    kept = replace(state, draft=draft, revision=state.revision + 1)
    return Reply(state=kept, says=heard.says, stays=True)


def _dear(scene: Scene) -> Reply:
    """A wish for a lower price: what brings it down, rather than the same price again."""
    state, heard = scene.state, scene.heard
    draft = with_words(fill(state, heard, today=scene.now.date()).draft, heard.text)
    state = replace(state, draft=draft, revision=state.revision + 1, misses=0)
    # A column is built of nested quads: only its height makes it cheaper.
    thins = draft.fullness != "airy" and any(one.support != "column" for one in draft.pieces)
    airy = Button(label=say("button.airy"), value=values.fullness(state.number, "airy"))
    smaller = Button(label=say("button.smaller"), value=values.edit(state.number, "size"))
    owner = say("button.person", owner=scene.shop.owner_name)[:LONGEST_LABEL]
    person = Button(label=owner, value=values.person(state.number))
    return Reply(
        state=state,
        says=("dear" if thins else "dear.smaller",),
        choices=(airy, smaller, person) if thins else (smaller, person),
    )


def _talk(scene: Scene) -> Reply:
    return Reply(state=scene.state, says=scene.heard.says, values={"colour": scene.heard.colour})


REPLIES: Mapping[Act, Callable[[Scene], Reply]] = {
    "start": _start,
    "facts": _facts,
    "skip": _skip,
    "edit": _edit,
    "confirm": _confirm,
    "again": _talk,
    "stale": _talk,
    "restart": _restart,
    "cancel": _cancel,
    "status": _status,
    "person": _aside,
    "thanks": _talk,
    "question": _talk,
    "complaint": _talk,
    "dear": _dear,
    "help": _talk,
    "unclear": _unclear,
}
