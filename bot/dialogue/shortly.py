"""Short things, said to the conversation itself: by command, in words, or by a button's label."""

from collections.abc import Callable, Mapping
from datetime import date

from bot.dialogue import sayings, values
from bot.dialogue.heard import Heard
from bot.dialogue.likenesses import likeness, sizes_like
from bot.dialogue.messages import ShopCard
from bot.dialogue.phrases import Phrases
from bot.dialogue.picking import picked
from bot.dialogue.pressing import pressed
from bot.dialogue.questions import next_question, piece_in_question
from bot.dialogue.shades import near
from bot.dialogue.state import Act, State

# Longer texts are never one of the short things.
SHORT = 60
_COMMANDS: Mapping[str, Act] = {
    "start": "start",
    "price": "start",
    "new": "restart",
    "over": "restart",
    "back": "back",
    "cancel": "cancel",
    "stop": "stop",
    "remind": "remind",
    "status": "status",
    "help": "help",
    "person": "person",
    "language": "language",
}
_ACTS: Mapping[str, Act] = {
    name: _COMMANDS.get(name, "restart")
    for name in ("start", "restart", "cancel", "stop", "remind", "back", "status", "help")
}


def heard_shortly(
    text: str,
    state: State,
    *,
    shop: ShopCard,
    phrases: Phrases,
    today: date,
    stopped: bool = False,
) -> Heard | None:
    """What `text` says to the conversation itself; None where it is about the event.

    `stopped` tells that the client wants nothing unasked: "start" takes that back.
    """
    if text.startswith("/"):
        act = _COMMANDS.get(text[1:].split("@")[0].split(" ")[0].lower())
        return _command(act) if act else None
    if len(text) > SHORT:
        return None
    # "Ok" agrees to a readback, thanks for a ballpark, and answers no question.
    for name in sayings.short_things(text):
        if name == "begin":
            return Heard(act="remind" if stopped else "start")
        heard = _meaning(name, state, shop)
        if heard is not None:
            return heard
    by_place = picked(text, state, shop=shop, phrases=phrases, today=today)
    if by_place is not None:
        return by_place
    value = _labels(state, shop, phrases).get(sayings.folded(text))
    return pressed(state, value, today=today, shop=shop) if value else None


def skip_in_words(state: State) -> Heard:
    """ "I don't know", to whatever is open."""
    question = next_question(state) if state.stage == "asking" else None
    if question is None:
        return Heard(act="skip", says=("nothing_to_skip",))
    return Heard(act="skip", question=question.name)


def _command(act: Act) -> Heard:
    says = {"restart": "again_from_start", "help": "help", "person": "person"}
    return Heard(act=act, says=(says[act],) if act in says else ())


def _labels(state: State, shop: ShopCard, phrases: Phrases) -> dict[str, str]:
    """Folded label → value: where a phone shows its own keyboard, the keys are typed."""
    number, say = state.number, phrases.say
    question = next_question(state) if state.stage == "asking" else None
    keys = {
        say("button.back"): values.back(number),
        say("button.person", owner=shop.owner_name): values.person(number),
        say("button.changes"): values.changes(number),
        say("button.more"): values.changes(number),
        say("button.restart"): values.restart(number),
        say("button.cancel"): values.cancel(number),
        say("button.cancel_request"): values.cancel(number),
        say("button.remind"): values.REMIND,
        say("button.other_event"): values.other(number),
    }
    if question is not None:
        keys[say("button.skip")] = values.skip(number, question.name)
    return {sayings.folded(label): value for label, value in keys.items()}


def _meaning(name: str, state: State, shop: ShopCard) -> Heard | None:
    if name in _ACTS:
        return _command(_ACTS[name])
    if name.startswith("language."):
        return Heard(act="language", language=name.removeprefix("language."))
    if name == "thanks":
        return Heard(act="thanks", says=("thanks",))
    if name == "skip":
        return skip_in_words(state)
    meaning = _IN_STAGE.get((name, state.stage))
    return meaning(state, shop) if meaning else None


def _yes(state: State, shop: ShopCard) -> Heard | None:
    """A yes to a palette, or to the one size or colour that was offered."""
    if state.asked == "palette" and state.palette:
        return Heard(act="facts", choice=("palette", str(state.palettes)))
    if state.asked == "shade":
        return _nearest_shade(state, shop)
    return _size_as_likened(state) if state.asked == "size" and state.likened else None


def _pleased(state: State, shop: ShopCard) -> Heard:
    """ "Great!", to what was told beside the question: it is still open."""
    return _yes(state, shop) or Heard(act="again")


def _nearest_shade(state: State, shop: ShopCard) -> Heard | None:
    colours = state.draft.colours
    shades = (
        near(colours[state.piece], state.draft.unwanted, shop) if colours[state.piece :] else ()
    )
    if not shades:
        return None
    names = [swatch.name for swatch in shop.colours]
    choice = ("shade", str(state.piece), str(names.index(shades[0].name)))
    return Heard(act="facts", choice=choice)


def _size_as_likened(state: State) -> Heard | None:
    index, alike = piece_in_question(state), likeness(state.likened or "")
    if alike is None or index >= len(state.draft.pieces):
        return None
    piece = state.draft.pieces[index]
    sizes = sizes_like(alike, piece)
    if len(sizes) != 1:
        return None
    shown = "x".join(map(str, sizes[0]))
    return Heard(act="facts", choice=("size", str(index), piece.support or "", shown))


def _no(state: State, _shop: ShopCard) -> Heard | None:
    if state.asked in ("palette", "shade") and state.editing:
        return Heard(act="skip", question=state.asked)
    return None


def _usual(state: State, _shop: ShopCard) -> Heard | None:
    return skip_in_words(state) if state.asked == "size" else None


def _changes(_state: State, _shop: ShopCard) -> Heard:
    return Heard(act="changes")


def _agreed(_state: State, _shop: ShopCard) -> Heard:
    return Heard(act="confirm")


def _agreed_again(_state: State, _shop: ShopCard) -> Heard:
    return Heard(act="again", says=("already_sent",))


def _booking(_state: State, _shop: ShopCard) -> Heard:
    return Heard(act="status", says=("book",))


def _begun(state: State, _shop: ShopCard) -> Heard | None:
    """ "Balloons", where nothing is known yet."""
    return None if state.draft.pieces else Heard(act="again", says=("happy_to_help",))


def _thanked(_state: State, _shop: ShopCard) -> Heard:
    return Heard(act="thanks", says=("thanks",))


# What a short thing means in a stage; what is not here means nothing there.
_IN_STAGE: Mapping[tuple[str, str], Callable[[State, ShopCard], Heard | None]] = {
    ("changes", "new"): _changes,
    ("changes", "asking"): _changes,
    ("changes", "readback"): _changes,
    ("changes", "sent"): _changes,
    ("pleased", "sent"): _thanked,
    ("beginning", "asking"): _begun,
    ("onward", "asking"): _booking,
    ("onward", "readback"): _booking,
    ("onward", "sent"): _booking,
    ("pleased", "asking"): _pleased,
    ("book", "sent"): _booking,
    ("book", "asking"): _booking,
    ("book", "readback"): _agreed,
    ("yes", "readback"): _agreed,
    ("yes", "sent"): _agreed_again,
    ("yes", "asking"): _yes,
    ("no", "readback"): _changes,
    ("no", "asking"): _no,
    ("usual", "asking"): _usual,
}
