"""What a pressed button means now, which may be long after it was shown."""

from dataclasses import replace
from datetime import date

from bot.dialogue import choices, values
from bot.dialogue.heard import Heard
from bot.dialogue.messages import ShopCard
from bot.dialogue.questions import BY_NAME, next_question
from bot.dialogue.shades import near
from bot.dialogue.speaking import LANGUAGES
from bot.dialogue.state import State
from bot.dialogue.supports import SUPPORTS, is_size_of
from bot.dialogue.values import Pressed, whole

_MOST_PIECES_OF_A_KIND = 50
_MOST_FLOATING = 500
# What follows on something said is not opened by itself.
_EDITABLE = frozenset(BY_NAME) - {"shade", "palette"}
# Questions by the name that their answers carry.
_ASKED_BY = {"way": "size", "time": "start_time", "end": "end_time", "offer": "budget"}


def pressed(state: State, value: str, *, today: date, shop: ShopCard) -> Heard:
    """What the button with `value` does. One of an older brief does what it said where that is
    still true of this one, and says what it was for where it is not."""
    button = values.read_value(value)
    if button is None:
        return Heard(act="stale", says=("stale",))
    if button.verb in _TIMELESS:
        return _timeless(button)
    if button.number not in (None, state.number):
        return _of_older_brief(state, button)
    match button.verb, button.rest:
        case "answer", (question, *choice):
            return _answered(state, question, tuple(choice), today, shop)
        case "skip", (question,) if question in BY_NAME:
            return _skipped(state, question)
        case "edit", (question, piece) if question in _EDITABLE:
            return Heard(act="edit", question=question, piece=whole(piece) or 0)
        case "page", rest:
            return _turned(state, rest)
        case "confirm", rest:
            return _agreed(state, rest)
        case "other", _:
            return _other_event(state)
        case "changes", rest:
            return _changes(state, rest)
    return _plainly(state, button.verb)


def _plainly(state: State, verb: str) -> Heard:
    """What needs nothing but the button."""
    match verb:
        case "back":
            return Heard(act="back")
        case "cancel" | "resume":
            return Heard(act=verb)
        case "restart":
            late = state.stage in ("new", "sent")
            return Heard(act="restart", says=("another_event" if late else "again_from_start",))
    return Heard(act="stale", says=("stale",))


def _changes(state: State, rest: tuple[str, ...]) -> Heard:
    if rest != ("close",):
        return Heard(act="changes")
    says = ("as_sent",) if state.stage == "sent" else ()
    return Heard(act="again", closes=True, says=says)


_TIMELESS = frozenset({"person", "language", "options", "status", values.REMIND, values.STILL})


def _timeless(button: Pressed) -> Heard:
    match button.verb:
        case "person":
            return Heard(act="person", says=("person",))
        case values.REMIND:
            return Heard(act="remind")
        case "language":
            code = button.rest[0] if button.rest else ""
            return Heard(act="language", language=code if code in LANGUAGES else None)
        case "options":
            return Heard(act="dear")
        case "status":
            return Heard(act="status")
    return Heard(act="again")


def _of_older_brief(state: State, button: Pressed) -> Heard:
    if button.verb == "restart" and state.stage in ("new", "sent"):
        return Heard(act="restart", says=("another_event",))
    question = _about(button)
    says = "stale.brief" if question is None else "stale.brief.question"
    return Heard(act="stale", question=question, says=(says,))


def _about(button: Pressed) -> str | None:
    """The question that an old button answered, or opened."""
    name = button.rest[0] if button.rest else ""
    name = _ASKED_BY.get(name, name)
    return name if name in BY_NAME else None


def _stale(question: str) -> Heard:
    name = _ASKED_BY.get(question, question)
    known = name in BY_NAME
    return Heard(
        act="stale",
        question=name if known else None,
        says=("stale.question" if known else "stale",),
    )


def _answered(
    state: State, question: str, choice: tuple[str, ...], today: date, shop: ShopCard
) -> Heard:
    if question == "date" and _is_past(choice, today):
        return Heard(act="again", says=("past_date",))
    if not _still_fits(state, question, choice, shop):
        return _stale(question)
    return Heard(act="facts", choice=(question, *choice))


def _is_past(choice: tuple[str, ...], today: date) -> bool:
    day = values.read_day(choice[0]) if choice else None
    return day is not None and day < today


def _still_fits(state: State, question: str, choice: tuple[str, ...], shop: ShopCard) -> bool:
    match question, choice:
        case "support", (piece, support, count):
            return support in SUPPORTS and None not in (whole(piece), whole(count))
        case "size", (piece, support, size):
            # The piece may have become something else since the button was shown.
            return _carries(state, piece, support) and is_size_of(support, values.read_size(size))
        case "date", (day,):
            return values.read_day(day) is not None
        case (("time" | "end"), (hour,)):
            return values.read_hour(hour) is not None
        case "setting", (setting,):
            return setting in ("indoor", "outdoor")
        case "count", (piece, count):
            many = whole(count)
            return _is_there(state, piece) and many in range(1, _MOST_PIECES_OF_A_KIND + 1)
        case "floating", (count,):
            return whole(count) in range(1, _MOST_FLOATING + 1)
        case "way", (piece, side):
            open_now = state.unsure is not None and whole(piece) == state.piece
            return open_now and side in ("width_m", "height_m")
    return _still_looks(state, question, choice) or _still_offered(state, question, choice, shop)


def _still_looks(state: State, question: str, choice: tuple[str, ...]) -> bool:
    match question, choice:
        case "fullness", (name,):
            return name in choices.FULLNESSES
        case "placement", (piece, name):
            return _is_there(state, piece) and name in choices.PLACEMENTS
        case "pattern", (piece, name):
            return _is_there(state, piece) and name in choices.PATTERNS
    return False


def _still_offered(state: State, question: str, choice: tuple[str, ...], shop: ShopCard) -> bool:
    match question, choice:
        case "shade", (colour, stock):
            return _is_near(state, whole(colour), whole(stock), shop)
        case "palette", (offered,):
            return bool(state.palette) and whole(offered) == state.palettes
        case "offer", (index,):
            return whole(index) in range(len(state.offers))
    return False


def _is_there(state: State, piece: str) -> bool:
    return whole(piece) in range(len(state.draft.pieces))


def _carries(state: State, piece: str, support: str) -> bool:
    index = whole(piece)
    pieces = state.draft.pieces
    return index is not None and index < len(pieces) and pieces[index].support == support


def _is_near(state: State, colour: int | None, stock: int | None, shop: ShopCard) -> bool:
    colours, shades = state.draft.colours, shop.colours
    if colour not in range(len(colours)) or stock not in range(len(shades)):
        return False
    names = [one.name for one in near(colours[colour or 0], state.draft.unwanted, shop)]
    return shades[stock or 0].name in names


def _skipped(state: State, question: str) -> Heard:
    open_now = state.editing and state.asked == question
    if not open_now and not BY_NAME[question].missing(state.draft):
        return Heard(act="again", says=("nothing_changed",))
    return Heard(act="skip", question=question)


def _turned(state: State, rest: tuple[str, ...]) -> Heard:
    match rest:
        case "date", month if values.read_month(month) is not None:
            return Heard(act="page", question="date", month=values.read_month(month))
        case "size", piece, size if _steps(state, piece, size):
            inches = values.read_size(size)
            return Heard(act="page", question="size", piece=whole(piece) or 0, inches=inches)
    return _stale(rest[0] if rest else "")


def _steps(state: State, piece: str, size: str) -> bool:
    index = whole(piece)
    if index is None or index >= len(state.draft.pieces):
        return False
    support = state.draft.pieces[index].support
    return support is not None and is_size_of(support, values.read_size(size))


def _other_event(state: State) -> Heard:
    if not state.another:
        return Heard(act="stale", says=("stale",))
    if state.stage not in ("sent", "new"):
        return Heard(act="again", says=("one_at_a_time",))
    return Heard(act="other")


def _agreed(state: State, rest: tuple[str, ...]) -> Heard:
    same = not rest or rest == (str(state.revision),)
    if state.stage == "sent":
        return Heard(act="again", says=("already_sent",) if same else ("stale.confirm",))
    if not same or state.stage == "new" or _something_missing(state):
        return Heard(act="again", says=("outdated_yes",))
    return Heard(act="confirm")


def _something_missing(state: State) -> bool:
    # What was opened for a change may be dropped by a yes; what was never told may not.
    return next_question(replace(state, editing=False)) is not None
