"""What the client did, in the light of where the conversation stands."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from datetime import date

from bot.dialogue import values
from bot.dialogue.messages import Incoming
from bot.dialogue.phrases import en
from bot.dialogue.questions import BY_NAME, next_question
from bot.dialogue.state import Act, State
from bot.dialogue.supports import SUPPORTS, is_size_of
from bot.understanding import Slots, read, read_answer

# Longer texts are never one of the short things that people say to the conversation itself.
_SHORT = 60
_COMMANDS: dict[str, Act] = {
    "start": "start",
    "new": "restart",
    "cancel": "cancel",
    "status": "status",
    "help": "help",
}
_MOST_PIECES_OF_A_KIND = 50
_NOTHING = Slots()
# Between a foot and a half and a hundred feet.
_SHORTEST_M, _LONGEST_M = 0.45, 30.48


@dataclass(frozen=True, kw_only=True)
class Heard:
    """An act and what came with it. `says` are phrases to begin the reply with."""

    act: Act
    text: str = ""  # typed words, where there are any
    slots: Slots = _NOTHING
    choice: tuple[str, ...] = ()  # an answer button: question and answer
    question: str | None = None  # the question that a skip or an edit is about
    piece: int = 0
    says: tuple[str, ...] = ()
    colour: str = ""  # a colour that there is no need to take away


def hear(state: State, incoming: Incoming, *, today: date) -> Heard:
    """What `incoming` means now. `today` is the shop's date."""
    if incoming.kind == "start":
        return Heard(act="start")
    if incoming.kind == "button":
        return _pressed(state, incoming.text)
    if incoming.kind == "other":
        return Heard(act="unclear", says=("no_photo",))
    return _typed(state, incoming.text.strip(), incoming.locale, today)


def _pressed(state: State, value: str) -> Heard:
    pressed = values.read_value(value)
    if pressed is None or pressed.number not in (None, state.number):
        return Heard(act="stale", says=("stale",))
    match pressed.verb, pressed.rest:
        case "answer", (question, *choice):
            return _answered(state, question, tuple(choice))
        case "skip", (question,) if question in BY_NAME:
            return _skipped(state, question)
        case "edit", (question, piece) if question in BY_NAME:
            return Heard(act="edit", question=question, piece=values.whole(piece) or 0)
        case "confirm", rest:
            return _agreed(state, rest)
        case "restart", _:
            return Heard(act="restart", says=("another_event",))
        case "person", _:
            return Heard(act="person", says=("person",))
    return Heard(act="stale", says=("stale",))


def _answered(state: State, question: str, choice: tuple[str, ...]) -> Heard:
    if not _still_fits(state, question, choice):
        return Heard(act="stale", says=("stale",))
    return Heard(act="facts", choice=(question, *choice))


def _still_fits(state: State, question: str, choice: tuple[str, ...]) -> bool:
    match question, choice:
        case "support", (piece, support, count):
            return support in SUPPORTS and None not in (values.whole(piece), values.whole(count))
        case "size", (piece, support, size):
            index = values.whole(piece)
            pieces = state.draft.pieces
            # The piece may have become something else since the button was shown.
            known = index is not None and index < len(pieces) and pieces[index].support == support
            return known and is_size_of(support, read_size(size))
        case "setting", (setting,):
            return setting in ("indoor", "outdoor")
        case "count", (piece, count):
            index, many = values.whole(piece), values.whole(count)
            there = index is not None and index < len(state.draft.pieces)
            return there and many is not None and 0 < many <= _MOST_PIECES_OF_A_KIND
        case "way", (piece, side):
            open_now = state.unsure is not None and values.whole(piece) == state.piece
            return open_now and side in ("width_m", "height_m")
        case "fullness", (fullness,):
            return fullness in en.FULLNESS
    return False


def read_size(token: str) -> tuple[int, ...]:
    """The inches of a size button's "48x84"; () for anything else."""
    numbers = [values.whole(part) for part in token.split("x")]
    return tuple(number for number in numbers if number is not None and number <= 1200)


def _skipped(state: State, question: str) -> Heard:
    open_now = state.editing and state.asked == question
    if not open_now and not BY_NAME[question].missing(state.draft):
        return Heard(act="again", says=("nothing_changed",))
    return Heard(act="skip", question=question)


def _agreed(state: State, rest: tuple[str, ...]) -> Heard:
    same = not rest or rest == (str(state.revision),)
    if state.stage == "sent":
        return Heard(act="again", says=("already_sent",) if same else ("stale",))
    if not same or state.stage == "new" or _something_missing(state):
        return Heard(act="again", says=("outdated_yes",))
    return Heard(act="confirm")


def _something_missing(state: State) -> bool:
    question = next_question(state)
    return question is not None and not state.editing


def _typed(state: State, text: str, locale: str | None, today: date) -> Heard:
    said = _said(state, text)
    if said is not None:
        return said
    if re.search(en.PERSON, text.lower()):
        return Heard(act="person", text=text, says=("person",))
    way = _which_way(state, text)
    if way is not None:
        return way
    slots = _read(state, text, locale, today)
    if not is_useful(slots) and state.stage == "asking" and re.match(en.UNSURE, text.lower()):
        return _skip_in_words(state)
    return _meant(state, text, slots, locale, today)


def _which_way(state: State, text: str) -> Heard | None:
    """ "Tall", after "is the 8 ft the width or the height?"."""
    if state.unsure is None or len(text) > _SHORT or re.search(r"\d", text):
        return None
    wide, tall = (re.search(way, text.lower()) for way in (en.WIDE, en.TALL))
    if bool(wide) == bool(tall):
        return None
    choice = ("way", str(state.piece), "width_m" if wide else "height_m")
    return Heard(act="facts", text=text, choice=choice)


def _said(state: State, text: str) -> Heard | None:
    """Short things said to the conversation itself, by command or in words."""
    if text.startswith("/"):
        act = _COMMANDS.get(text[1:].split("@")[0].split(" ")[0].lower())
        return _command(act) if act else None
    if len(text) > _SHORT:
        return None
    plain = text.lower().replace("’", "'").strip(" .!?,")
    # "Ok" agrees to a readback, thanks for a ballpark, and answers no question.
    for name, pattern in en.SAID.items():
        if re.fullmatch(pattern, plain):
            heard = _short(state, name)
            if heard is not None:
                return heard
    return None


def _command(act: Act) -> Heard:
    says = {"restart": ("again_from_start",), "help": ("help",)}.get(act, ())
    return Heard(act=act, says=says)


def _short(state: State, name: str) -> Heard | None:
    match name:
        case "start" | "restart" | "cancel" | "status" | "help":
            return _command(_COMMANDS.get(name, "restart"))
        case "thanks":
            return Heard(act="thanks", says=("thanks",))
        case "pleased" if state.stage == "sent":
            return Heard(act="thanks", says=("thanks",))
        case "yes" if state.stage == "readback":
            return Heard(act="confirm")
        case "yes" if state.stage == "sent":
            return Heard(act="again", says=("already_sent",))
        case "no" if state.stage == "readback":
            return Heard(act="again", says=("what_to_change",))
        case "usual" if state.stage == "asking" and state.asked == "size":
            return _skip_in_words(state)
        case "skip":
            return _skip_in_words(state)
    return None


def _skip_in_words(state: State) -> Heard:
    question = next_question(state) if state.stage == "asking" else None
    if question is None:
        return Heard(act="skip", says=("nothing_to_skip",))
    return Heard(act="skip", question=question.name)


def _read(state: State, text: str, locale: str | None, today: date) -> Slots:
    # "The 13th" means the month that was talked about.
    known = Slots(event_date=state.draft.event_date, event_month=state.draft.event_month)
    plain = read(text, reference_date=today, locale=locale, known=known)
    for slot in _slots_in_question(state, text, plain):
        answer = read_answer(slot, text, reference_date=today, locale=locale, known=known)
        if is_useful(answer) and not _overreaches(slot, text, plain):
            return _with_the_rest(answer, plain) if _has_measure(text) else answer
    return plain


def _with_the_rest(answer: Slots, plain: Slots) -> Slots:
    """The size that was asked for, and whatever else the client said in the same breath.

    A bare "7 by 4" says nothing else, though it could be read as a day: hence only where the
    size has its unit.
    """
    names = (field.name for field in fields(Slots))
    rest = {name: getattr(plain, name) for name in names if not getattr(answer, name)}
    return replace(answer, **rest)


def _slots_in_question(state: State, text: str, plain: Slots) -> Iterator[str]:
    question = next_question(state) if state.stage == "asking" else None
    if question is not None:
        yield question.slot
    # "Make it 8 ft" may answer no open question, but means the size of what there is.
    unnamed = all(one.kind == "other" for one in plain.structures)
    measured = _has_measure(text) or re.search(en.SIZE_PAIR, text.lower())
    if state.draft.pieces and unnamed and measured:
        yield "size"


def _overreaches(slot: str, text: str, plain: Slots) -> bool:
    """Whether a bare answer would take words that mean something else already."""
    if slot == "size":
        # In "two columns" the two is a count, in "it's june 12" the 12 a day.
        counts = any(one.count > 1 for one in plain.structures)
        return counts or (is_useful(plain) and not _is_size(text, plain))
    if slot == "count":
        return is_useful(plain) and not plain.structures
    if slot in ("date", "time"):
        # In "change the hoop to 7 ft" the 7 is neither a day nor an hour, nor is it in "7 guests".
        counts = any(one.count > 1 for one in plain.structures)
        figures = (plain.guests, plain.budget_max, plain.budget_min, plain.postal_code)
        return counts or any(figures) or bool(plain.foils) or _has_measure(text)
    if slot == "place" and plain.place is None:
        # Any words can be a place, so those of another fact are not taken for one.
        other = plain.structures or plain.colours or plain.foils
        return bool(other) or plain.intent in ("change", "question", "cancel", "complaint")
    return False


def _is_size(text: str, plain: Slots) -> bool:
    bare = plain.postal_code is None and re.fullmatch(en.BARE_SIZE, text.lower()) is not None
    named = any(not one.measured for one in plain.structures)
    return bare or named or _has_measure(text)


def _has_measure(text: str) -> bool:
    return re.search(en.MEASURE, text.lower()) is not None


def is_useful(slots: Slots) -> bool:
    """Whether `slots` hold anything about the event."""
    facts = (
        slots.occasion, slots.event_date, slots.event_month, slots.start_time, slots.end_time,
        slots.structures, slots.colours, slots.setting, slots.postal_code, slots.place,
        slots.budget_min, slots.budget_max, slots.foils, slots.guests, slots.fullness,
    )  # fmt: skip
    return any(fact not in (None, ()) for fact in facts)


def _meant(state: State, text: str, slots: Slots, locale: str | None, today: date) -> Heard:
    warnings = _warnings(text, slots, today)
    if slots.intent == "complaint":
        return Heard(act="complaint", text=text, says=("complaint",))
    if slots.intent == "cancel" and not slots.structures and not slots.colours:
        return Heard(act="cancel", text=text)
    if re.search(en.DROP, text.lower()):
        return _dropped(text, slots, warnings)
    if state.stage == "sent" and _finds_it_dear(text, slots):
        return Heard(act="dear", text=text, slots=slots)
    if state.stage == "sent" and re.search(en.ANOTHER_EVENT, text.lower()):
        return Heard(act="restart", text=text, slots=slots, says=("another_event", *warnings))
    if is_useful(slots) or _takes_away(state, text) or "latex" in warnings:
        aside = slots.intent == "question" and not slots.structures and "helium" not in warnings
        asks = aside and (state.stage == "sent" or _asks_beside(text, locale, today))
        says = (*warnings, "question") if asks and "?" in text else warnings
        return Heard(act="facts", text=text, slots=slots, says=says)
    colour = _colour_not_there(state, text, today)
    if colour is not None:
        return Heard(act="again", text=text, says=(*warnings, "no_such_colour"), colour=colour)
    topic = _topic_to_change(state, text)
    if topic is not None:
        return Heard(act="edit", text=text, question=topic, says=warnings)
    if slots.intent == "question":
        answered = "helium" in warnings
        says = warnings if answered else (*warnings, "question")
        return Heard(act="question", text=text, says=says)
    understood = set(warnings) - {"other_language", "other_language.es"}
    return Heard(act="question" if understood else "unclear", text=text, says=warnings)


def _dropped(text: str, slots: Slots, warnings: tuple[str, ...]) -> Heard:
    """A balloon drop is no garland: its pieces are left out, and the owner takes it."""
    others = tuple(one for one in slots.structures if one.kind not in ("ceiling", "other"))
    rest = replace(slots, structures=others)
    act: Act = "facts" if others else "person"
    return Heard(act=act, text=text, slots=rest, says=(*warnings, "balloon_drop"))


def _finds_it_dear(text: str, slots: Slots) -> bool:
    if slots.structures:
        return False
    offers = slots.budget_max is not None and re.search(en.OFFERS, text.lower())
    return bool(offers or re.search(en.TOO_DEAR, text.lower()))


def _asks_beside(text: str, locale: str | None, today: date) -> bool:
    """Whether a question stands beside the facts: in "is June 6 free?" the fact is the question."""
    asked = re.findall(r"[^.!?;,\n]*\?", text)
    return any(not is_useful(read(one, reference_date=today, locale=locale)) for one in asked)


def _colour_not_there(state: State, text: str, today: date) -> str | None:
    """The colour of "no gold" where there is no gold anyway."""
    said = re.search(en.NO_COLOUR.format(colour=r"(?P<name>[a-z]+)"), text.lower())
    if said is None or state.stage == "new" or len(text) > _SHORT:
        return None
    colours = read_answer("colours", said["name"], reference_date=today).colours
    return colours[0] if colours else None


def _topic_to_change(state: State, text: str) -> str | None:
    """The question that "change the time" is about, where it was answered before."""
    if not re.search(en.CHANGING, text.lower()):
        return None
    named = (name for name, words in en.TOPICS.items() if re.search(words, text.lower()))
    return next((name for name in named if _is_settled(state, name)), None)


def _is_settled(state: State, question: str) -> bool:
    return state.stage in ("readback", "sent") or not BY_NAME[question].missing(state.draft)


def sides_of(slots: Slots) -> Iterator[float]:
    """Every measure that was said, in metres."""
    for one in slots.structures:
        yield from (side for side in (one.width_m, one.height_m, one.length_m) if side is not None)


def is_implausible(metres: float) -> bool:
    """Whether a measure must be a slip: no garland is longer than a few dozen feet, or shorter than
    its own thickness."""
    return not _SHORTEST_M <= metres <= _LONGEST_M


def _takes_away(state: State, text: str) -> bool:
    return any(colour_is_refused(colour, text) for colour in state.draft.colours)


def colour_is_refused(colour: str, text: str) -> bool:
    """Whether `text` takes `colour` away: "no gold", "swap the gold for silver"."""
    name = re.escape(colour)
    patterns = (en.NO_COLOUR, en.SWAPPED_COLOUR)
    return any(re.search(p.format(colour=name), text.lower()) for p in patterns)


def _warnings(text: str, slots: Slots, today: date) -> tuple[str, ...]:
    found = {
        "unsafe_release": "unsafe_release" in slots.flags,
        "hydrogen": "hydrogen" in slots.flags,
        "past_date": "past_date" in slots.flags or (slots.event_date or today) < today,
        "odd_size": "implausible_size" in slots.flags or any(map(is_implausible, sides_of(slots))),
        "unclear_date": (
            "event_date" in slots.ambiguous and not slots.event_date and not slots.event_month
        ),
        "negative_budget": re.search(en.NEGATIVE, text.lower()) is not None,
        # A single word, such as a place's name, proves no language.
        "other_language": slots.lang not in (None, "en", "es") and len(text.split()) > 2,
        "other_language.es": slots.lang == "es" and len(text.split()) > 2,
        "latex": re.search(en.LATEX, text.lower()) is not None,
        "helium": re.search(en.HELIUM, text.lower()) is not None,
        "out_of_scope": "out_of_scope" in slots.flags and not slots.structures,
    }
    return tuple(name for name, present in found.items() if present)
