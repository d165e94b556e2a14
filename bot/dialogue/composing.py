"""A reply as the message that the client sees."""

from bot.dialogue import values
from bot.dialogue.messages import Button, Message, MessageKind
from bot.dialogue.phrases import say
from bot.dialogue.questions import Question, example_colours, example_size
from bot.dialogue.readback import called, read_back
from bot.dialogue.replies import (
    HANDED_OVER,
    HANDS_OVER,
    LONGEST_LABEL,
    THIRD_MISS,
    Reply,
    Scene,
)
from bot.dialogue.state import State

# A short remark stands on the question's own line, a longer one on its own.
_SHORT_REMARK = 80


def message(scene: Scene, reply: Reply, question: Question | None) -> Message:
    """The answer to one act. `question` is the one that is open now."""
    opening = _opening(scene, reply)
    # A complaint or a wish for a human is not answered with the next question.
    if scene.heard.act in ("person", "complaint"):
        return Message(kind="say", text=opening)
    if question is not None:
        return _asking(scene, reply, question, opening)
    if reply.state.stage == "readback":
        return _reading_back(scene, reply.state, opening)
    kind: MessageKind = "working" if reply.submit else "say"
    return Message(kind=kind, text=opening, buttons=_afterwards(scene, reply))


def _opening(scene: Scene, reply: Reply) -> str:
    shop = scene.shop
    said = {
        "shop": shop.name,
        "town": shop.town,
        "owner": shop.owner_name,
        "contact": shop.contact,
        "example": example_size(reply.state),
        **reply.values,
    }
    handed_over = HANDED_OVER in scene.state.told
    short = {key: f"{key}.again" if handed_over else key for key in HANDS_OVER}
    return " ".join(say(short.get(key, key), **said) for key in reply.spoken)


def _asking(scene: Scene, reply: Reply, question: Question, opening: str) -> Message:
    state = reply.state
    text = question.text(state, scene.shop)
    if state.misses:
        name = question.name if state.unsure is None else "which_way"
        hint = say(
            f"hint.{name}",
            example=example_size(state),
            colours=example_colours(scene.shop),
        )
        text = f"{text} {hint}"
    buttons = [*question.choices(state), _skip(state, question)]
    if state.misses >= THIRD_MISS:
        buttons.append(_person(scene, state))
    return Message(
        kind="ask", text=_joined(opening, text), buttons=tuple(buttons), asks=question.name
    )


def _joined(opening: str, text: str) -> str:
    if not opening:
        return text
    return f"{opening} {text}" if len(opening) <= _SHORT_REMARK else f"{opening}\n\n{text}"


def _reading_back(scene: Scene, state: State, opening: str) -> Message:
    text = read_back(state.draft, currency=scene.shop.currency)
    buttons = [
        Button(label=say("button.confirm"), value=values.confirm(state.number, state.revision)),
        *_edits(state),
    ]
    if state.misses >= THIRD_MISS:
        buttons.append(_person(scene, state))
    whole = f"{opening}\n\n{text}" if opening else text
    return Message(kind="readback", text=whole, buttons=tuple(buttons))


def _edits(state: State) -> list[Button]:
    rest = ("date", "start_time", "place", "setting", "colours", "support")
    return [
        *_size_edits(state),
        *(_edit(state, name, say(f"button.edit.{name}")) for name in rest),
    ]


def _size_edits(state: State) -> list[Button]:
    pieces = state.draft.pieces
    if len(pieces) == 1:
        return [_edit(state, "size", say("button.edit.size"))]
    return [
        _edit(state, "size", say("button.edit.size.of", piece=called(piece)), index)
        for index, piece in enumerate(pieces)
    ]


def _edit(state: State, question: str, label: str, piece: int = 0) -> Button:
    return Button(label=label, value=values.edit(state.number, question, piece))


def _skip(state: State, question: Question) -> Button:
    return Button(label=say("button.skip"), value=values.skip(state.number, question.name))


def _person(scene: Scene, state: State) -> Button:
    label = say("button.person", owner=scene.shop.owner_name)[:LONGEST_LABEL]
    return Button(label=label, value=values.person(state.number))


def _afterwards(scene: Scene, reply: Reply) -> tuple[Button, ...]:
    """What may be pressed once the brief is with the shop and nothing is being asked."""
    state = reply.state
    if reply.choices:
        return reply.choices
    if state.stage != "sent" or scene.heard.act not in ("start", "unclear", "help", "stale"):
        return ()
    restart = Button(label=say("button.restart"), value=values.restart(state.number))
    change = _edit(state, "support", say("button.edit.support"))
    return (change, *_size_edits(state)[:1], restart, _person(scene, state))
