"""What could not be understood, and what was left open."""

from dataclasses import replace

from bot.dialogue import sayings
from bot.dialogue.filling import with_words
from bot.dialogue.questions import next_question
from bot.dialogue.scene import THIRD_MISS, Reply, Scene
from bot.dialogue.state import State


def unclear(scene: Scene) -> Reply:
    """Nothing in it was of use."""
    state, says = scene.state, scene.heard.says
    if state.stage == "new":
        return Reply(state=state, says=(*says, "welcome"))
    if state.stage == "sent":
        return Reply(state=state, says=(*says, "sent_offer"))
    return missed(scene)


def missed(scene: Scene) -> Reply:
    """The open question was not answered: the third time, the owner is called."""
    # A yes to a question that is not answered by it was understood all the same.
    agrees = "yes" in sayings.short_things(scene.heard.text)
    state, says = scene.state, scene.heard.says or ("yes.open" if agrees else "ask.again",)
    if state.stage == "asking" and scene.heard.text:
        # What we cannot read the owner can.
        state = replace(state, draft=with_words(state.draft, scene.heard.text))
        state = replace(state, revision=state.revision + 1)
    question = next_question(state)
    if question is not None and not question.patient and _gives_up(state, question.name):
        return Reply(state=left_open(state, question.name), says=(f"left_open.{question.name}",))
    misses = state.misses + 1
    if misses >= THIRD_MISS:
        says = ("third_miss",)
    return Reply(state=replace(state, misses=misses), says=says)


def _gives_up(state: State, name: str) -> bool:
    """What the client opened is asked again; what follows on a word of theirs is not."""
    return not state.editing or name in ("shade", "palette")


def left_open(state: State, name: str) -> State:
    """`state` with the question `name` put aside."""
    if name in ("shade", "palette"):
        return replace(state, editing=False, misses=0)
    skipped = tuple(dict.fromkeys((*state.skipped, name)))
    return replace(state, skipped=skipped, misses=0)
