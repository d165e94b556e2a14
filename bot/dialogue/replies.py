"""What each act of the client changes, and how its answer begins."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from bot.dialogue import values
from bot.dialogue.draft import Draft
from bot.dialogue.messages import Button
from bot.dialogue.missing import unclear
from bot.dialogue.pricing import confirm, dear
from bot.dialogue.scene import Reply, Scene
from bot.dialogue.skipping import skip
from bot.dialogue.speaking import LANGUAGES
from bot.dialogue.standings import can_go_back, one_back, set_aside, taken_up
from bot.dialogue.state import Act, Stage, State
from bot.dialogue.telling import aside, facts, picture, question

_LONGEST_LATER = 1000


def _start(scene: Scene) -> Reply:
    blank = scene.state.draft == Draft()
    says = ("welcome",) if blank else ()
    if scene.state.stage == "sent":
        says = ("sent_offer",)
    return Reply(state=scene.state, says=(*scene.heard.says, *says))


def _edit(scene: Scene) -> Reply:
    heard = scene.heard
    opened = replace(scene.state, asked=heard.question, piece=heard.piece, editing=True, misses=0)
    return Reply(state=replace(opened, unsure=None, likened=None), says=heard.says)


def _fresh(state: State) -> State:
    """The beginning of the next brief, with what is known of the client."""
    return State(
        number=state.number + 1,
        name=state.name,
        phone=state.phone,
        source=state.source,
        language=state.language,
        settled=state.settled,
        palettes=state.palettes,
        another=state.another,
    )


def _restart(scene: Scene) -> Reply:
    fresh = _fresh(scene.state)
    if not scene.heard.text:
        return Reply(state=fresh, says=scene.heard.says)
    return replace(facts(replace(scene, state=fresh)), says=scene.heard.says)


def _other(scene: Scene) -> Reply:
    """The event that had to wait, from the words that were kept of it."""
    fresh = replace(_fresh(scene.state), another="")
    told = facts(replace(scene, state=fresh))
    return replace(told, says=("other_event", *scene.heard.says))


def _back(scene: Scene) -> Reply:
    state = scene.state
    if can_go_back(state):
        before = one_back(state)
        stage: Stage | None = "sent" if before.stage == "sent" else None
        says = ("as_sent",) if stage else ("back",)
        return Reply(state=before, says=says, stage=stage)
    if state.editing:
        dropped = replace(state, editing=False, unsure=None, misses=0)
        stage = "sent" if state.submitted else None
        return Reply(state=dropped, says=("back",), stage=stage)
    if state.stage == "sent":
        return Reply(state=state, says=("back.sent",), stays=True, lists_changes=True)
    return Reply(state=state, says=("back.start",))


def _cancel(scene: Scene) -> Reply:
    sent = scene.state.stage == "sent" or scene.state.submitted > 0
    says = "cancelled_after_sending" if sent else "cancelled"
    waits = ("other_waits",) if scene.state.another else ()
    fresh = _fresh(scene.state)
    return Reply(state=fresh if sent else set_aside(scene.state, fresh), says=(says, *waits))


def _stop(scene: Scene) -> Reply:
    """Nothing comes unasked any more; what was asked for stays, and so does an open question."""
    say, state = scene.phrases.say, scene.state
    choices = [Button(label=say("button.remind"), value=values.REMIND)]
    if state.stage != "new":
        label = say("button.cancel_request")
        choices.append(Button(label=label, value=values.cancel(state.number)))
    return Reply(state=state, says=("stopped",), choices=tuple(choices), stays=True, stops=True)


def _remind(scene: Scene) -> Reply:
    return Reply(state=scene.state, says=("reminded",), stays=True, stops=False)


def _resume(scene: Scene) -> Reply:
    """What was cancelled goes on, where nothing else was begun."""
    if scene.state.dropped is None or scene.state.draft != Draft():
        return Reply(state=scene.state, says=("stale",), stays=True)
    return Reply(state=taken_up(scene.state), says=("resumed",))


def _status(scene: Scene) -> Reply:
    state, news = scene.state, scene.found.news
    beside = tuple(key for key in scene.heard.says if key != "book")
    if state.stage != "sent":
        return Reply(state=state, says=(*beside, f"status.{state.stage}"))
    if news is None:
        return Reply(state=state, wants="news")
    if "book" in scene.heard.says and {"ballpark", "firm"} & set(news):
        return Reply(state=state, says=("book",))
    return Reply(state=state, says=(*beside, f"status.sent.{news[-1] if news else 'working'}"))


def _changes(scene: Scene) -> Reply:
    """What can be changed, in a list; while a question is open, what else can be done."""
    complete = scene.state.stage in ("readback", "sent")
    says = "what_to_change" if complete else "what_else"
    return Reply(state=scene.state, says=(says,), stays=True, lists_changes=True)


def _page(scene: Scene) -> Reply:
    """Another page of the calendar, or another size in the stepper."""
    heard, state = scene.heard, scene.state
    if state.stage == "asking" and state.asked == heard.question:
        return Reply(state=state, stays=True, turns_page=True)
    if state.stage == "new":
        return Reply(state=state, says=("stale.brief",))
    opened = replace(state, asked=heard.question, piece=heard.piece, editing=True, misses=0)
    return Reply(state=replace(opened, unsure=None), stage="asking", turns_page=True)


def _language(scene: Scene) -> Reply:
    if scene.heard.language is not None:
        chosen = replace(scene.state, language=scene.heard.language, settled=True)
        return Reply(state=chosen, says=("language",))
    buttons = tuple(
        Button(label=scene.phrases.say(f"language.{code}"), value=values.language(code))
        for code in LANGUAGES
    )
    return Reply(state=scene.state, says=("which_language",), choices=buttons, stays=True)


def _talk(scene: Scene) -> Reply:
    state, heard = scene.state, scene.heard
    if heard.another:
        state = replace(state, another=heard.another[:_LONGEST_LATER])
    topic = scene.phrases.known(f"topic.{heard.question}") or ""
    return Reply(state=state, says=heard.says, values={"topic": topic})


REPLIES: Mapping[Act, Callable[[Scene], Reply]] = {
    "start": _start,
    "facts": facts,
    "skip": skip,
    "edit": _edit,
    "confirm": confirm,
    "again": _talk,
    "stale": _talk,
    "restart": _restart,
    "other": _other,
    "back": _back,
    "cancel": _cancel,
    "stop": _stop,
    "remind": _remind,
    "resume": _resume,
    "status": _status,
    "changes": _changes,
    "page": _page,
    "language": _language,
    "person": aside,
    "thanks": _talk,
    "question": question,
    "complaint": _talk,
    "dear": dear,
    "picture": picture,
    "help": _talk,
    "unclear": unclear,
}
