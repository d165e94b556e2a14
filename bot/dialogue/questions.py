"""What to ask, in what order, and what a client may press.

`QUESTIONS` is the whole plan: the first question that is missing and was not skipped is asked
next. To ask something more, add a row, its texts `ask.<name>` and `hint.<name>`, and the slot of
the understanding that reads a bare answer to it.
"""

from collections.abc import Callable
from dataclasses import dataclass

from bot.dialogue import values
from bot.dialogue.messages import Button, ShopCard
from bot.dialogue.phrases import en, say
from bot.dialogue.readback import called, length, listed, size_label, size_of
from bot.dialogue.state import Draft, Piece, State
from bot.dialogue.supports import SUPPORTS, missing_measures, size_choices, sized


@dataclass(frozen=True, kw_only=True)
class Question:
    """`slot` is what `read_answer` calls it. `wording` and `buttons` are for a question whose text
    or choices depend on the state; `patient` ones are asked again after a miss.
    """

    name: str
    slot: str
    missing: Callable[[Draft], bool]
    wording: Callable[[State], str] | None = None
    buttons: Callable[[State], tuple[Button, ...]] | None = None
    patient: bool = True

    def text(self, state: State, shop: ShopCard) -> str:
        """The question in words."""
        if self.wording is not None:
            return self.wording(state)
        return say(f"ask.{self.name}", colours=example_colours(shop))

    def choices(self, state: State) -> tuple[Button, ...]:
        """Answers to press."""
        return self.buttons(state) if self.buttons is not None else ()


def next_question(state: State) -> Question | None:
    """The question that the client opened for a change, or else the first one missing."""
    if state.editing and state.asked in BY_NAME:
        return BY_NAME[state.asked]
    for question in QUESTIONS:
        if question.name not in state.skipped and question.missing(state.draft):
            return question
    return None


def piece_in_question(state: State) -> int:
    """Which piece the next question is about: the one being changed, or the first unfinished."""
    pieces = state.draft.pieces
    if state.editing and state.piece < len(pieces):
        return state.piece
    for lacks in (_carrier_is_open, _count_is_open, missing_measures):
        for index, piece in enumerate(pieces):
            if lacks(piece):
                return index
    return 0


def _carrier_is_open(piece: Piece) -> bool:
    return piece.support is None


def _count_is_open(piece: Piece) -> bool:
    return piece.uncounted


def example_size(state: State) -> str:
    """A size that would be understood, for a hint."""
    piece = _piece(state)
    support = piece.support or "round_top_frame"
    sizes = size_choices(piece) or SUPPORTS[support].usual_in
    return size_label(support, sizes[0])


def _piece(state: State) -> Piece:
    index = piece_in_question(state)
    return state.draft.pieces[index] if index < len(state.draft.pieces) else Piece()


def _no_support(draft: Draft) -> bool:
    return not draft.pieces or any(piece.support is None for piece in draft.pieces)


def _no_size(draft: Draft) -> bool:
    return any(missing_measures(piece) for piece in draft.pieces)


def _support_text(state: State) -> str:
    piece = _piece(state)
    if state.editing:
        return say("ask.support.edit")
    if piece.length_m is not None and piece.support is None:
        return say("ask.support.length", length=length(piece.length_m))
    return say("ask.support")


def _size_text(state: State) -> str:
    piece = _piece(state)
    if state.unsure is not None:
        return say("which_way", size=length(state.unsure))
    lacking = missing_measures(piece)
    if len(lacking) == 1 and (known := size_of(piece)):
        return say(f"ask.size.rest.{lacking[0]}", piece=called(piece), known=known)
    key = "ask.size.length" if lacking == ("length_m",) else "ask.size"
    return say(key, piece=called(piece))


def _count_text(state: State) -> str:
    return say("ask.count", piece=called(_piece(state)))


def _count_choices(state: State) -> tuple[Button, ...]:
    index = piece_in_question(state)
    return tuple(
        Button(label=label, value=values.count(state.number, index, many))
        for many, label in ((2, say("pair")), (1, "1"), (3, "3"), (4, "4"))
    )


def _date_text(state: State) -> str:
    month = state.draft.event_month
    if month is None:
        return say("ask.date")
    return say("ask.date.month", month=en.MONTHS[month.month - 1])


def example_colours(shop: ShopCard) -> str:
    """Colours to name as an example: the shop's own first."""
    stock = tuple(swatch.name for swatch in shop.colours[:3])
    return listed(stock or en.EXAMPLE_COLOURS)


_OFFERED = (
    "round_top_frame",
    "square_frame",
    "hoop",
    "wall",
    "doorway",
    "table",
    "staircase",
    "mantel",
    "freestanding_arch",
)


def _support_choices(state: State) -> tuple[Button, ...]:
    index = piece_in_question(state)
    offered = [(support, 1, en.SUPPORTS[support][0].capitalize()) for support in _OFFERED]
    offered.insert(3, ("column", 2, say("column_pair")))
    return tuple(
        Button(label=label, value=values.support(state.number, index, support, count))
        for support, count, label in offered
    )


def _size_choices(state: State) -> tuple[Button, ...]:
    piece, index = _piece(state), piece_in_question(state)
    if piece.support is None:
        return ()
    if state.unsure is not None:
        return _ways(state, index, state.unsure)
    return tuple(size_button(state, index, size) for size in size_choices(piece))


def _ways(state: State, index: int, metres: float) -> tuple[Button, ...]:
    """This wide, or this high."""
    return tuple(
        Button(label=say(word, value=length(metres)), value=values.way(state.number, index, side))
        for word, side in (("wide", "width_m"), ("tall", "height_m"))
    )


def size_button(state: State, index: int, inches: tuple[int, ...]) -> Button:
    """A size to press for piece `index`."""
    piece = state.draft.pieces[index]
    value = values.size(state.number, index, piece.support or "", inches)
    return Button(label=size_of(sized(piece, inches)), value=value)


def _setting_choices(state: State) -> tuple[Button, ...]:
    return tuple(
        Button(label=say(setting), value=values.setting(state.number, setting))
        for setting in ("indoor", "outdoor")
    )


QUESTIONS: tuple[Question, ...] = (
    Question(
        name="support",
        slot="support",
        missing=_no_support,
        wording=_support_text,
        buttons=_support_choices,
    ),
    Question(
        name="count",
        slot="count",
        missing=lambda draft: any(piece.uncounted for piece in draft.pieces),
        wording=_count_text,
        buttons=_count_choices,
    ),
    Question(
        name="size",
        slot="size",
        missing=_no_size,
        wording=_size_text,
        buttons=_size_choices,
    ),
    Question(
        name="date",
        slot="date",
        missing=lambda draft: draft.event_date is None,
        wording=_date_text,
    ),
    Question(
        name="place",
        slot="place",
        missing=lambda draft: draft.place is None and draft.postal_code is None,
    ),
    Question(
        name="setting",
        slot="setting",
        missing=lambda draft: draft.setting is None,
        buttons=_setting_choices,
    ),
    Question(
        name="colours",
        slot="colours",
        missing=lambda draft: not draft.colours,
    ),
    # Set-up windows depend on it, the price hardly does: asked once, never pressed for.
    Question(
        name="start_time",
        slot="time",
        missing=lambda draft: draft.start_time is None,
        patient=False,
    ),
)

BY_NAME = {question.name: question for question in QUESTIONS}
