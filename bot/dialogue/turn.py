"""One turn of the talk: (state, incoming, now) → (state, messages, perhaps a brief to price).

Deterministic and without I/O: the same turn taken twice has the same outcome. What the client did
comes from `hearing`, what it changes from `replies`, where it leads from `state.MOVES`, and how
the answer looks from `composing`.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from bot.dialogue.composing import message
from bot.dialogue.hearing import Heard, hear
from bot.dialogue.messages import Fault, Incoming, Outcome, ShopCard
from bot.dialogue.phrases import en
from bot.dialogue.questions import next_question
from bot.dialogue.replies import HANDED_OVER, LATEX, REPLIES, TELLS_CONTACT, Reply, Scene
from bot.dialogue.state import MOVES, ONWARD, Act, Stage, State
from bot.understanding import Slots

_LONGEST_NAME = 120
_LONGEST_DETAIL = 300


def take_turn(
    state: Mapping[str, Any],
    incoming: Incoming,
    *,
    now: datetime,
    shop: ShopCard,
    owner_spoke: bool = False,
) -> Outcome:
    """Answer `incoming`. `state` is what the last turn gave, {} at first; `now` is aware and in
    the shop's zone. With `owner_spoke` the client may be answering the owner's own words. There is
    always at least one message."""
    standing = _named(State.from_dict(state), incoming)
    current = _without_passed_date(standing, now)
    heard = hear(current, incoming, today=now.date())
    if owner_spoke and heard.act == "unclear" and heard.text:
        # What makes no sense to us makes sense to the owner.
        heard = replace(heard, act="person", says=("for_owner",))
    if current is not standing:
        heard = replace(heard, says=("date_passed_meanwhile", *heard.says))
    heard = _in_care(current, _told_once(current, heard))
    scene = Scene(state=current, heard=heard, now=now, shop=shop)
    reply = REPLIES[heard.act](scene)
    return _outcome(scene, _cared(_moved(reply, current.stage, heard.act), heard))


# Remarks that are made once in a conversation.
_ONCE = frozenset({"other_language", "other_language.es", LATEX, "helium"})


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
        heard.choice or heard.slots.structures or re.search(en.PRICE, heard.text.lower())
    )
    if wants or (heard.act != "facts" and heard.act in (*_ENDS_CARE, "complaint", "person")):
        return heard
    return replace(heard, act="person", says=("in_care",), slots=Slots())


_ENDS_CARE = frozenset({"facts", "edit", "confirm", "restart", "cancel", "dear"})


def _cared(reply: Reply, heard: Heard) -> Reply:
    care = heard.act == "complaint" or (reply.state.care and heard.act not in _ENDS_CARE)
    return replace(reply, state=replace(reply.state, care=care))


def refused_turn(
    state: Mapping[str, Any], faults: Sequence[Fault], *, now: datetime, shop: ShopCard
) -> Outcome:
    """Answer a yes whose brief the service could not take: name what to change, and ask it.

    `state` is the one before the yes, `faults` what the service found.
    """
    standing = State.from_dict(state)
    fault = faults[0] if faults else Fault(field="", detail="")
    path = fault.field.replace("[", ".").replace("]", "").split(".")
    opened = replace(
        standing,
        stage="asking",
        asked=_question_about(path),
        piece=next((int(part) for part in path if part.isascii() and part.isdigit()), 0),
        editing=True,
        misses=0,
        # Another revision, so that the next yes is another request.
        revision=standing.revision + 1,
    )
    name = next((en.FIELDS[part] for part in reversed(path) if part in en.FIELDS), None)
    reply = Reply(
        state=opened,
        says=("refused" if name else "refused_unknown",),
        values={"field": name, "detail": fault.detail[:_LONGEST_DETAIL]},
    )
    return _outcome(Scene(state=standing, heard=Heard(act="confirm"), now=now, shop=shop), reply)


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


def _named(state: State, incoming: Incoming) -> State:
    name = (incoming.sender_name or "").strip()[:_LONGEST_NAME]
    return replace(state, name=name) if name else state


def _without_passed_date(state: State, now: datetime) -> State:
    """`state` without a day that has gone by since it was written down."""
    day = state.draft.event_date
    if day is None or day >= now.date() or state.stage == "sent":
        return state
    draft = replace(state.draft, event_date=None)
    return replace(state, draft=draft, revision=state.revision + 1)


def _moved(reply: Reply, stage: Stage, act: Act) -> Reply:
    target = stage if reply.stays else MOVES[stage][act]
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
    answer = message(scene, replace(reply, state=state), question)
    return Outcome(
        state=state.to_dict(),
        messages=(answer,),
        submit=reply.submit,
        calls_owner=reply.calls_owner,
    )
