"""Where a conversation stood before, so that an answer can be taken back.

Each earlier standing is kept as what differs from the one after it, which keeps the state small.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from bot.dialogue import sayings
from bot.dialogue.draft import Draft, Piece
from bot.dialogue.state import State

MOST_STEPS = 10
_PLACE = ("stage", "asked", "piece", "editing", "skipped", "unsure", "likened")


def remembered(before: State, after: State) -> State:
    """`after`, with the way back to `before` where something was answered, or opened."""
    changed = _changed(before.draft, after.draft)
    place = _place(before)
    moved = any(place[name] != getattr(after, name) for name in ("skipped", "editing", "unsure"))
    if not changed and not moved:
        return after
    step = {**place, "skipped": list(before.skipped), "draft": changed}
    then, now = before.draft.words, after.draft.words
    # Word of an allergy is never taken back with the answer that it came with.
    if now.startswith(then) and not sayings.says("latex", now[len(then) :]):
        step["words"] = [len(then), len(now)]
    return replace(after, earlier=(*before.earlier, step)[-MOST_STEPS:])


def can_go_back(state: State) -> bool:
    """Whether there is an answer to take back."""
    return bool(state.earlier)


def set_aside(state: State, fresh: State) -> State:
    """`fresh`, from which what `state` was about can be taken up again."""
    if state.draft == Draft():
        return fresh
    return replace(fresh, dropped={"draft": state.draft.to_dict(), "skipped": list(state.skipped)})


def taken_up(state: State) -> State:
    """What was cancelled, as a brief of its own; `state` itself where there is nothing."""
    if state.dropped is None:
        return state
    return replace(
        state,
        number=state.number + 1,
        draft=Draft.from_dict(state.dropped["draft"]),
        skipped=tuple(state.dropped["skipped"]),
        dropped=None,
        asked=None,
        misses=0,
        earlier=(),
    )


def formerly(state: State, supports: Collection[str]) -> Piece | None:
    """The latest piece on one of `supports` that the brief had before, and has no more."""
    for step in reversed(state.earlier):
        before = Draft.from_dict(step["draft"])
        for piece in before.pieces:
            if piece.support in supports:
                return piece
    return None


def one_back(state: State) -> State:
    """The standing before the last answer; `state` itself at the very beginning."""
    if not state.earlier:
        return state
    *rest, step = state.earlier
    draft = Draft.from_dict({**state.draft.to_dict(), **step["draft"]})
    then, now = step.get("words", (0, -1))
    if len(draft.words) == now:  # nothing was said since
        draft = replace(draft, words=draft.words[:then])
    place: dict[str, Any] = {name: step.get(name) for name in _PLACE}
    place["skipped"] = tuple(step["skipped"])
    return replace(
        state,
        **place,
        draft=draft,
        revision=state.revision + 1,
        misses=0,
        earlier=tuple(rest),
    )


def _place(state: State) -> dict[str, Any]:
    return {name: getattr(state, name) for name in _PLACE}


def _changed(before: Draft, after: Draft) -> Mapping[str, Any]:
    """The fields of `before` that `after` has otherwise, as JSON values."""
    if before == after:
        return {}
    then, now = before.to_dict(), after.to_dict()
    return {name: then[name] for name in then if name != "words" and then[name] != now[name]}
