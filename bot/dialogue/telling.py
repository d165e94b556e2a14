"""What the client told of the event, taken in."""

from dataclasses import replace

from bot.dialogue.asides import answers
from bot.dialogue.draft import Draft
from bot.dialogue.filling import Filled, fill, with_words
from bot.dialogue.heard import Heard
from bot.dialogue.missing import missed
from bot.dialogue.questions import next_question, piece_in_question
from bot.dialogue.readback import NO_OCCASION, called, celebrated, colours, news
from bot.dialogue.reading import is_useful
from bot.dialogue.scene import LATEX, Reply, Scene
from bot.dialogue.shades import first_near, of_picture
from bot.dialogue.state import State
from bot.dialogue.supports import missing_measures

_UNSAFE = frozenset({"unsafe_release", "hydrogen"})
# Occasions that are met gladly without a name, or not at all.
_NOT_GREETED = NO_OCCASION | {"new_year", "valentines", "holiday"}
_ABOUT_PIECES = ("support", "count", "size")
_LONGEST_LATER = 1000
# A size that was left vague is likened to no thing of which we know how large it is.
_NOTHING_KNOWN = "?"


def facts(scene: Scene) -> Reply:
    """Something was told of the event, in words or by a button."""
    before, heard = scene.state, scene.heard
    filled = fill(before, heard, today=scene.now.date(), shop=scene.shop)
    changed = filled.draft != before.draft
    # An allergy changes no measure, but the owner must read of it.
    matters = changed or tells_of_latex(heard)
    after = _taken_in(before, heard, filled, matters=matters)
    if filled.unsure is not None:
        opened = replace(after, asked="size", piece=filled.piece, editing=True)
        return Reply(state=replace(opened, unsure=filled.unsure), says=heard.says)
    after = _reopened(_with_shade_asked(scene, after), heard)
    if before.stage == "sent" and not matters and not after.editing:
        return _answered(scene, Reply(state=after, says=_unless_said(heard), stays=True))
    nothing = not changed and not heard.says and not heard.topics and after == before
    if nothing and before.stage == "asking" and not before.editing:
        # What is known already was understood, though it answers nothing.
        told_again = is_useful(heard.slots)
        return Reply(state=after, says=("nothing_changed",)) if told_again else missed(scene)
    remark = _remark(before, after, heard)
    return _answered(scene, Reply(state=after, says=(*remark, *heard.says)))


def _taken_in(before: State, heard: Heard, filled: Filled, *, matters: bool) -> State:
    draft = filled.draft
    if heard.text and matters:
        draft = with_words(draft, heard.text, first=tells_of_latex(heard))
    return replace(
        before,
        draft=draft,
        revision=before.revision + matters,
        editing=False,
        unsure=None,
        likened=_likened(before, heard, draft),
        another=heard.another[:_LONGEST_LATER] or before.another,
        misses=0,
    )


def _likened(before: State, heard: Heard, draft: Draft) -> str | None:
    """What an open size was likened to."""
    if heard.slots.likened:
        return heard.slots.likened[:80]
    vague = "structures" in heard.slots.ambiguous
    if vague and not any(one.measured for one in heard.slots.structures):
        return _NOTHING_KNOWN
    sized = draft.pieces and not any(map(missing_measures, draft.pieces))
    return None if sized else before.likened


def _unless_said(heard: Heard) -> tuple[str, ...]:
    return heard.says or (() if heard.topics else ("nothing_changed",))


def _answered(scene: Scene, reply: Reply) -> Reply:
    """`reply` with the values of its phrases, and the owner's answers to what was asked beside."""
    before, after, phrases = scene.state.draft, reply.state.draft, scene.phrases
    told = {
        "celebrated": celebrated(after, scene.heard.text, phrases),
        "news": news(before, after, scene.shop.currency, phrases),
        "piece": phrases.listed(_taken_away(scene, before, after)),
        "colour": colours(scene.heard.colours, phrases),
        "answer": answers(scene.heard.topics, scene.shop, phrases),
    }
    # The owner's own word on helium takes the place of ours.
    ours = tuple(key for key in reply.says if key != "helium" or key not in scene.heard.topics)
    says = (*ours, "side.answer") if scene.heard.topics else reply.says
    if not told["news"]:  # something was taken away, and nothing came
        says = tuple("changed" if key == "noted" else key for key in says)
    return replace(reply, says=says, values=told)


def tells_of_latex(heard: Heard) -> bool:
    """Whether there is word of an allergy, or of a place of care."""
    return not {LATEX, f"{LATEX}.again"}.isdisjoint(heard.says)


def _remark(before: State, after: State, heard: Heard) -> tuple[str, ...]:
    """A word on what was taken in, where the question that follows does not show it."""
    if before.stage == "new" or before.draft == Draft():
        return () if _UNSAFE.intersection(heard.says) else (_welcoming(after.draft),)
    changed = replace(after.draft, words="") != replace(before.draft, words="")
    if len(after.draft.pieces) < len(before.draft.pieces):
        return ("removed",)
    if changed and _only_refuses(before.draft, after.draft):
        return ("no_such_colour",)
    question = next_question(after)
    if before.stage == "asking" and question is not None:
        # A measure or a month that was taken in shows in the question for the next one.
        if not changed or question.name != before.asked or heard.says:
            return ()
        if after.draft.pieces != before.draft.pieces:
            return () if question.name in _ABOUT_PIECES else ("changed",)
        return ("noted",) if after.draft.event_month == before.draft.event_month else ()
    # What followed on the client's own words was no change that they had opened.
    followed = before.asked in ("shade", "palette")
    if before.stage == "asking" and (followed or not before.editing):
        return ()
    if changed:
        return ("changed",)
    return _unless_said(heard) if not heard.says else ()


def _only_refuses(before: Draft, after: Draft) -> bool:
    """Whether all that is new is a colour that was not in it anyway."""
    same = replace(after, unwanted=before.unwanted, words=before.words) == before
    return same and len(after.unwanted) > len(before.unwanted)


def _welcoming(draft: Draft) -> str:
    """How a first message that says something is met: gladly, where there is a joyful occasion."""
    joyful = draft.occasion is not None and draft.occasion not in _NOT_GREETED
    return "celebrating" if joyful else "happy_to_help"


def _taken_away(scene: Scene, before: Draft, after: Draft) -> list[str]:
    """What is not built any more, and nothing in its place."""
    if len(after.pieces) >= len(before.pieces):
        return []
    kept = {piece.support for piece in after.pieces}
    return [called(one, scene.phrases) for one in before.pieces if one.support not in kept]


def _reopened(state: State, heard: Heard) -> State:
    """What was said wrongly, or not clearly, is asked at once, even where an answer stands."""
    about = [("past_date", "date"), ("odd_size", "size"), ("unclear_date", "date")]
    for warning, question in about:
        if warning in heard.says and (question != "size" or state.draft.pieces):
            return replace(state, asked=question, piece=piece_in_question(state), editing=True)
    return state


def _with_shade_asked(scene: Scene, state: State) -> State:
    """`state` with the question which of the shop's colours comes nearest, where colours were the
    subject; otherwise the readback offers them."""
    before = scene.state
    if before.asked not in ("colours", "shade") or before.stage != "asking":
        return state
    start = before.piece + 1 if before.asked == "shade" and scene.heard.choice else 0
    fresh = state.draft.colours != before.draft.colours
    index = first_near(state.draft, scene.shop, start) if fresh else None
    if index is None:
        return state
    return replace(state, asked="shade", piece=index, editing=True)


def aside(scene: Scene) -> Reply:
    """The next word is the owner's, but what was told of the event is kept."""
    state, heard = scene.state, scene.heard
    filled = fill(state, heard, today=scene.now.date(), shop=scene.shop)
    allergy = tells_of_latex(heard)
    if filled.draft == state.draft and not allergy:
        return Reply(state=state, says=heard.says)
    draft = with_words(filled.draft, heard.text, first=allergy)
    kept = replace(state, draft=draft, revision=state.revision + 1)
    return Reply(state=kept, says=heard.says, stays=True)


def question(scene: Scene) -> Reply:
    """Something was asked beside the plan."""
    return _answered(scene, Reply(state=scene.state, says=scene.heard.says))


def picture(scene: Scene) -> Reply:
    """A picture: its colours are offered as the shop's, and its caption is read too."""
    told = facts(scene) if scene.heard.text else Reply(state=scene.state)
    state = told.state
    names = of_picture(scene.found.colours, state.draft.unwanted, scene.shop)
    if not names:
        stays = told.stays or scene.state.stage == "sent"
        return replace(told, says=(*told.says, "photo.unread"), stays=stays)
    if scene.state.stage == "new" and not scene.heard.text:
        told = replace(told, says=("photo.thanks",))
    offered = replace(
        state,
        palette=names,
        palettes=state.palettes + 1,
        asked="palette",
        piece=0,
        editing=True,
        misses=0,
    )
    return replace(told, state=offered, stays=False)
