"""Not sure yet: what is taken for an unknown, said openly, and what stays open."""

from dataclasses import replace

from bot.dialogue.draft import Piece
from bot.dialogue.missing import left_open
from bot.dialogue.questions import BY_NAME, piece_in_question
from bot.dialogue.readback import described, size_of
from bot.dialogue.scene import Reply, Scene
from bot.dialogue.state import State
from bot.dialogue.supports import rebuilt, usual


def skip(scene: Scene) -> Reply:
    """The client does not know, or drops a change that they had opened."""
    name = scene.heard.question
    if name is None:
        return Reply(state=scene.state, says=scene.heard.says)
    state = replace(scene.state, editing=False, unsure=None, misses=0)
    if name in ("shade", "palette"):
        return Reply(state=state, says=(f"left_open.{name}",))
    if scene.state.editing and not BY_NAME[name].missing(state.draft):
        return Reply(state=state, says=("nothing_changed",))
    taken = {"support": _support, "size": _size, "count": _count}.get(name)
    if taken is not None:
        return taken(scene, state)
    return Reply(state=left_open(state, name), says=(f"left_open.{name}",))


def _support(scene: Scene, state: State) -> Reply:
    index = piece_in_question(state)
    if index < len(state.draft.pieces):
        # A garland of a known length whose carrier is open: a straight run has that very length.
        wall = rebuilt(state.draft.pieces[index], "wall")
        said = {"piece": described(wall, None, scene.phrases)}
        return Reply(state=_built(state, index, wall), says=("took_wall",), values=said)
    frame = usual(Piece(support="round_top_frame"))
    said = {"size": size_of(frame, scene.phrases)}
    return Reply(state=_built(state, index, frame), says=("took_usual_support",), values=said)


def _size(scene: Scene, state: State) -> Reply:
    index = piece_in_question(state)
    if index >= len(state.draft.pieces) or state.draft.pieces[index].support is None:
        return Reply(state=state, says=("nothing_to_skip",))
    piece = usual(state.draft.pieces[index])
    return Reply(
        state=replace(_built(state, index, piece), likened=None),
        says=("took_usual_size",),
        values={"size": size_of(piece, scene.phrases)},
    )


def _count(_scene: Scene, state: State) -> Reply:
    index = piece_in_question(state)
    if index >= len(state.draft.pieces):
        return Reply(state=state, says=("nothing_to_skip",))
    pair = replace(state.draft.pieces[index], count=2, uncounted=False)
    return Reply(state=_built(state, index, pair), says=("took_pair",))


def _built(state: State, index: int, piece: Piece) -> State:
    pieces = (*state.draft.pieces[:index], piece, *state.draft.pieces[index + 1 :])
    draft = replace(state.draft, pieces=pieces)
    return replace(state, draft=draft, revision=state.revision + 1)
