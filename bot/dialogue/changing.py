"""The list of what can be changed."""

from collections.abc import Iterator

from bot.dialogue import values
from bot.dialogue.draft import Draft
from bot.dialogue.messages import Button
from bot.dialogue.phrases import Phrases
from bot.dialogue.readback import called
from bot.dialogue.state import State

_SIDE_BY_SIDE = 2


def change_buttons(state: State, phrases: Phrases) -> tuple[Button, ...]:
    """Two side by side: a button for each thing to change, and at the end the ways out. While a
    question is open there is nothing to change yet."""
    complete = state.stage in ("readback", "sent")
    changes = _changes(state, phrases) if complete else ()
    return tuple(
        Button(label=button.label, value=button.value, row=index // _SIDE_BY_SIDE)
        for index, button in enumerate((*changes, *_ways_out(state, phrases)))
    )


def _ways_out(state: State, phrases: Phrases) -> Iterator[Button]:
    say, number, sent = phrases.say, state.number, state.stage == "sent"
    close = "button.close" if state.stage in ("readback", "sent") else "button.go_on"
    yield Button(label=say(close), value=values.close_changes(number))
    yield Button(label=say("button.status"), value=values.status(number))
    over = "button.restart" if sent else "button.over"
    yield Button(label=say(over), value=values.restart(number))
    yield Button(label=say("button.cancel"), value=values.cancel(number))


def _changes(state: State, phrases: Phrases) -> Iterator[Button]:
    yield _edit(state, "support", phrases)
    yield from _sizes(state, phrases)
    for name in ("date", "start_time", "end_time", "place", "setting", "colours"):
        yield _edit(state, name, phrases)
    yield from _looks(state, phrases)
    if state.draft.floating is not None:
        yield _edit(state, "floating", phrases)
    yield _edit(state, "guests", phrases)
    yield _edit(state, "budget", phrases)


def _sizes(state: State, phrases: Phrases) -> Iterator[Button]:
    pieces = state.draft.pieces
    if len(pieces) == 1:
        yield _edit(state, "size", phrases)
        return
    for index, piece in enumerate(pieces[:_MOST_SIZES]):
        label = phrases.say("button.edit.size.of", piece=called(piece, phrases))
        yield Button(label=label, value=values.edit(state.number, "size", index))


_MOST_SIZES = 6


def _looks(state: State, phrases: Phrases) -> Iterator[Button]:
    """A column is built of nested quads: only its pattern can be another."""
    index = _first_organic(state.draft)
    if index is not None:
        yield _edit(state, "fullness", phrases)
        yield _edit(state, "placement", phrases, index)
    yield _edit(state, "pattern", phrases, index or 0)


def _first_organic(draft: Draft) -> int | None:
    organic = (index for index, piece in enumerate(draft.pieces) if piece.support != "column")
    return next(organic, None)


def _edit(state: State, name: str, phrases: Phrases, piece: int = 0) -> Button:
    label = phrases.say(f"button.edit.{name}")
    return Button(label=label, value=values.edit(state.number, name, piece))
