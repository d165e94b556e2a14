"""One turn of the talk: (state, incoming, now) → (state, messages, perhaps a brief to price).

Deterministic and without I/O: the same turn taken twice has the same outcome. What the client did
comes from `hearing`, what it changes from `replies`, where it leads from `state.MOVES`, and how
the answer looks from `composing`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from bot.dialogue import sayings, values
from bot.dialogue.composing import message
from bot.dialogue.heard import Heard
from bot.dialogue.hearing import Ear
from bot.dialogue.introducing import introduction
from bot.dialogue.messages import Fault, Found, Incoming, Outcome, ShopCard
from bot.dialogue.phrases import Phrasebook, Phrases
from bot.dialogue.questions import next_question
from bot.dialogue.replies import REPLIES
from bot.dialogue.scene import HANDED_OVER, LATEX, TELLS_CONTACT, Reply, Scene
from bot.dialogue.speaking import spoken
from bot.dialogue.standings import remembered
from bot.dialogue.state import MOVES, ONWARD, Act, Stage, State
from bot.understanding import Slots

_LONGEST_NAME = 120
_LONGEST_DETAIL = 300
_LONGEST_PHONE = 32
_LONGEST_SOURCE = 64
_NOTHING_FOUND = Found()


def take_turn(
    state: Mapping[str, Any],
    incoming: Incoming,
    *,
    now: datetime,
    shop: ShopCard,
    phrasebook: Phrasebook,
    found: Found = _NOTHING_FOUND,
    owner_spoke: bool = False,
    under_review: bool = False,
    stopped: bool = False,
) -> Outcome:
    """Answer `incoming`. `state` is what the last turn gave, {} at first; `now` is aware and in
    the shop's zone; `found` is what was looked up for this turn. With `owner_spoke` the client may
    be answering the owner's own words; while `under_review` what was sent last has no price until
    the owner has looked. `stopped` tells that nothing is written to the client unasked.

    There is always at least one message, save for a cell that only shows something, and where
    `Outcome.wants` asks for a look-up first.
    """
    if incoming.kind == "button" and incoming.text == values.STILL:
        return Outcome(state=State.from_dict(state).to_dict(), messages=())
    standing = spoken(_known(State.from_dict(state), incoming), incoming)
    current = _without_passed_date(standing, now)
    phrases = phrasebook.in_language(current.language)
    ear = Ear(
        state=current,
        shop=shop,
        phrases=phrases,
        today=now.date(),
        locale=incoming.locale,
        stopped=stopped,
    )
    heard = _in_its_place(ear.hear(incoming, found), current, owner_spoke=owner_spoke)
    if current is not standing:
        heard = replace(heard, says=("date_passed_meanwhile", *heard.says))
    scene = Scene(
        state=current,
        heard=heard,
        now=now,
        shop=shop,
        phrases=phrasebook.in_language(heard.language or current.language),
        for_owner=phrasebook.in_language(shop.locale[:2].lower()),
        found=found,
        under_review=under_review,
        message_ref=incoming.message_ref if incoming.kind == "button" else None,
    )
    return _answered(scene)


def _answered(scene: Scene) -> Outcome:
    heard = scene.heard
    reply = REPLIES[heard.act](scene)
    if reply.wants is not None:
        return Outcome(state=scene.state.to_dict(), messages=(), wants=reply.wants)
    return _outcome(scene, _cared(_moved(reply, scene.state.stage, heard.act), heard))


def _in_its_place(heard: Heard, state: State, *, owner_spoke: bool) -> Heard:
    """`heard` in the light of what was said before, by the bot and by the owner."""
    if owner_spoke and heard.act == "unclear" and heard.text:
        # What makes no sense to us makes sense to the owner.
        heard = replace(heard, act="person", says=("for_owner",))
    return _in_care(state, _told_once(state, heard))


# Remarks that are made once in a conversation.
_ONCE = frozenset({"other_language", LATEX, "helium"})


def _told_once(state: State, heard: Heard) -> Heard:
    # Who asks about helium again is answered again.
    asked = "helium" if heard.act == "question" else ""
    says = (f"{key}.again" if key == LATEX and key in state.told else key for key in heard.says)
    fresh = tuple(key for key in says if key not in state.told or key == asked)
    return replace(heard, says=fresh)


def _in_care(state: State, heard: Heard) -> Heard:
    """While a complaint is open, only a clear wish for a price is taken for one."""
    if not state.care:
        return heard
    wants = heard.act == "facts" and (
        heard.choice or heard.slots.structures or sayings.says("price", heard.text)
    )
    if wants or (heard.act != "facts" and heard.act in _THROUGH_CARE):
        return heard
    return replace(heard, act="person", says=("in_care",), slots=Slots(), topics=())


_ENDS_CARE = frozenset(
    {"facts", "edit", "confirm", "restart", "cancel", "dear", "back", "other", "page", "changes"}
)
_THROUGH_CARE = _ENDS_CARE | {"complaint", "person", "language", "stop", "remind"}


def _cared(reply: Reply, heard: Heard) -> Reply:
    care = heard.act == "complaint" or (reply.state.care and heard.act not in _ENDS_CARE)
    return replace(reply, state=replace(reply.state, care=care))


def refused_turn(
    state: Mapping[str, Any],
    faults: Sequence[Fault],
    *,
    now: datetime,
    shop: ShopCard,
    phrasebook: Phrasebook,
) -> Outcome:
    """Answer a yes whose brief the service could not take: name what to change, and ask it.

    `state` is the one before the yes, `faults` what the service found.
    """
    standing = State.from_dict(state)
    fault = faults[0] if faults else Fault(field="", detail="")
    path = fault.field.replace("[", ".").replace("]", "").split(".")
    phrases = phrasebook.in_language(standing.language)
    name = next(filter(None, (phrases.known(f"field.{part}") for part in reversed(path))), None)
    reply = Reply(
        state=_opened_at(standing, path),
        says=("refused" if name else "refused_unknown",),
        values={"field": name, "detail": _detail(fault, phrases)},
    )
    scene = Scene(
        state=standing,
        heard=Heard(act="confirm"),
        now=now,
        shop=shop,
        phrases=phrases,
        for_owner=phrases,
    )
    return _outcome(scene, reply)


def _opened_at(state: State, path: Sequence[str]) -> State:
    """`state` with the question open that mends the field at `path`."""
    return replace(
        state,
        stage="asking",
        asked=_question_about(path),
        piece=next((int(part) for part in path if part.isascii() and part.isdigit()), 0),
        editing=True,
        misses=0,
        # Another revision, so that the next yes is another request.
        revision=state.revision + 1,
    )


def _detail(fault: Fault, phrases: Phrases) -> str:
    """What is wrong, which the service says in English alone."""
    return fault.detail[:_LONGEST_DETAIL] if phrases.language == "en" else ""


_ABOUT: Mapping[str, str] = {
    "date": "date",
    "start_time": "start_time",
    "end_time": "start_time",
    "setting": "setting",
    "place": "place",
    "postal_code": "place",
    "palette": "colours",
    "width_m": "size",
    "height_m": "size",
    "length_m": "size",
    "sag_m": "size",
    "rise_m": "size",
    "run_m": "size",
}


def _question_about(path: Sequence[str]) -> str:
    """The question whose answer mends the field at `path`."""
    return next((_ABOUT[part] for part in reversed(path) if part in _ABOUT), "support")


def _known(state: State, incoming: Incoming) -> State:
    """`state` with what the update tells of the client."""
    told = introduction(incoming.text if incoming.kind == "text" else "")
    # What clients call themselves goes before what their account is called.
    name = told.name or state.name or (incoming.sender_name or "").strip()[:_LONGEST_NAME]
    state = replace(state, name=name or None, phone=told.phone or state.phone)
    if incoming.kind == "contact" and incoming.text.strip():
        state = replace(state, phone=incoming.text.strip()[:_LONGEST_PHONE])
    if incoming.kind == "start" and incoming.text.strip():
        state = replace(state, source=incoming.text.strip()[:_LONGEST_SOURCE])
    return state


def _without_passed_date(state: State, now: datetime) -> State:
    """`state` without a day that has gone by since it was written down."""
    day = state.draft.event_date
    if day is None or day >= now.date() or state.stage == "sent":
        return state
    draft = replace(state.draft, event_date=None)
    return replace(state, draft=draft, revision=state.revision + 1)


def _moved(reply: Reply, stage: Stage, act: Act) -> Reply:
    target = reply.stage or (stage if reply.stays else MOVES[stage][act])
    if target == ONWARD:
        target = "asking" if next_question(reply.state) else "readback"
    return replace(reply, state=replace(reply.state, stage=target))


def _outcome(scene: Scene, reply: Reply) -> Outcome:
    state = reply.state
    question = next_question(state) if state.stage == "asking" else None
    if question is not None and question.name != state.asked:
        state = replace(state, asked=question.name, misses=0)
    told = [key for key in reply.says if key in _ONCE]
    if not TELLS_CONTACT.isdisjoint(reply.says):
        told.append(HANDED_OVER)
    state = replace(state, told=tuple(dict.fromkeys((*state.told, *told))))
    if scene.heard.act != "back" and scene.state.number == state.number:
        state = remembered(scene.state, state)
    answer = message(scene, replace(reply, state=state), question)
    return Outcome(
        state=state.to_dict(),
        messages=(answer,),
        submit=reply.submit,
        calls_owner=reply.calls_owner,
        stops=reply.stops,
    )
