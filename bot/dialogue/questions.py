"""What to ask, in what order, and what a client may press.

`QUESTIONS` is the whole plan: the first question that is missing and was not skipped is asked
next. Those that are never missing are asked only where the client opens them for a change. To ask
something more, add a row, its texts `ask.<name>` and `hint.<name>`, and the slot of the
understanding that reads a bare answer to it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from bot.dialogue import choices
from bot.dialogue.draft import Draft, Piece
from bot.dialogue.likenesses import Likeness, likeness, sizes_like
from bot.dialogue.messages import Button, ShopCard
from bot.dialogue.phrases import Phrases
from bot.dialogue.readback import called, colour, colours, how_many, size_label, size_of
from bot.dialogue.shades import near
from bot.dialogue.state import State
from bot.dialogue.supports import SUPPORTS, missing_measures, size_choices


@dataclass(frozen=True, kw_only=True)
class View:
    """What a question may look at."""

    state: State
    shop: ShopCard
    phrases: Phrases
    today: date

    @property
    def index(self) -> int:
        """Which piece it is about."""
        return piece_in_question(self.state)

    @property
    def piece(self) -> Piece:
        pieces = self.state.draft.pieces
        return pieces[self.index] if self.index < len(pieces) else Piece()


@dataclass(frozen=True, kw_only=True)
class Question:
    """`slot` is what `read_answer` calls it, None where it has no such name. `wording` is for a
    question whose text depends on the state; `patient` ones are asked again after a miss.
    """

    name: str
    slot: str | None
    missing: Callable[[Draft], bool]
    wording: Callable[[View], str] | None = None
    buttons: Callable[[View], tuple[Button, ...]] | None = None
    patient: bool = True

    def text(self, view: View) -> str:
        """The question in words."""
        return self.wording(view) if self.wording else view.phrases.say(f"ask.{self.name}")

    def choices(self, view: View) -> tuple[Button, ...]:
        """Answers to press."""
        return self.buttons(view) if self.buttons is not None else ()


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


def example_size(view: View) -> str:
    """A size that would be understood, for a hint."""
    support = view.piece.support or "round_top_frame"
    sizes = size_choices(view.piece) or SUPPORTS[support].usual_in
    return size_label(support, sizes[0], view.phrases)


def example_colours(view: View) -> str:
    """Colours to name as an example: the shop's own first."""
    stock = tuple(swatch.name for swatch in view.shop.colours[:3])
    return colours(stock or ("sage", "cream", "gold"), view.phrases)


def _no_support(draft: Draft) -> bool:
    return not draft.pieces or any(piece.support is None for piece in draft.pieces)


def _no_size(draft: Draft) -> bool:
    return any(missing_measures(piece) for piece in draft.pieces)


def _support_text(view: View) -> str:
    if view.state.editing:
        return view.phrases.say("ask.support.edit")
    if view.piece.length_m is not None and view.piece.support is None:
        length = view.phrases.measure(view.piece.length_m)
        return view.phrases.say("ask.support.length", length=length)
    return view.phrases.say("ask.support")


def _size_text(view: View) -> str:
    state, phrases = view.state, view.phrases
    if state.unsure is not None:
        return phrases.say("which_way", size=phrases.measure(state.unsure))
    alike = likeness(state.likened) if state.likened else None
    if alike is not None and sizes_like(alike, view.piece):
        return _likened_text(alike, view)
    opening = phrases.say("likened.unknown") if state.likened else ""
    return " ".join(filter(None, (opening, _plain_size_text(view))))


def _likened_text(alike: Likeness, view: View) -> str:
    """A usual size of what the client likened it to, as a guess to confirm."""
    length = view.phrases.length
    lacking = missing_measures(view.piece) or SUPPORTS[view.piece.support or ""].measures
    tall = lacking == ("height_m",) or not alike.wide_in
    inches = alike.tall_in if tall else alike.wide_in
    shown = view.phrases.either([length(inch * 0.0254) for inch in inches])
    key = "likened.tall" if tall else "likened.wide"
    if len(inches) > 1:  # there is no saying yes to two
        key = f"{key}.either"
    return view.phrases.say(key, thing=view.phrases.say(f"likeness.{alike.name}"), size=shown)


def _plain_size_text(view: View) -> str:
    phrases, piece = view.phrases, view.piece
    lacking = missing_measures(piece)
    count, name = how_many(piece), called(piece, phrases)
    if len(lacking) == 1 and (known := size_of(piece, phrases)):
        return phrases.several(f"ask.size.rest.{lacking[0]}", count, piece=name, known=known)
    if lacking == ("length_m",):
        return phrases.say("ask.size.length", piece=name)
    return phrases.several("ask.size", count, piece=name)


def _count_text(view: View) -> str:
    several = view.phrases.say(f"several.{view.piece.support or 'garland'}")
    return view.phrases.say("ask.count", piece=several)


def _date_text(view: View) -> str:
    month = view.state.draft.event_month
    if month is None:
        return view.phrases.say("ask.date")
    return view.phrases.say("ask.date.month", month=view.phrases.month_name(month))


def _colours_text(view: View) -> str:
    return view.phrases.say("ask.colours", colours=example_colours(view))


def _shade_text(view: View) -> str:
    draft, phrases = view.state.draft, view.phrases
    words = draft.colours[view.state.piece] if view.state.piece < len(draft.colours) else ""
    names = [one.name for one in near(words, draft.unwanted, view.shop)]
    return phrases.say("ask.shade", colour=colour(words, phrases), near=colours(names, phrases))


def _palette_text(view: View) -> str:
    return view.phrases.say("ask.palette", colours=colours(view.state.palette, view.phrases))


def _never(_draft: Draft) -> bool:
    return False


QUESTIONS: tuple[Question, ...] = (
    Question(
        name="support",
        slot="support",
        missing=_no_support,
        wording=_support_text,
        buttons=lambda view: choices.support_choices(view.state, view.index, view.phrases),
    ),
    Question(
        name="count",
        slot="count",
        missing=lambda draft: any(piece.uncounted for piece in draft.pieces),
        wording=_count_text,
        buttons=lambda view: choices.count_choices(view.state, view.index, view.phrases),
    ),
    Question(
        name="size",
        slot="size",
        missing=_no_size,
        wording=_size_text,
        buttons=lambda view: choices.sizes(view.state, view.index, view.phrases),
    ),
    Question(
        name="date",
        slot="date",
        missing=lambda draft: draft.event_date is None,
        wording=_date_text,
        buttons=lambda view: choices.days(view.state, None, view.today, view.phrases),
    ),
    Question(
        name="place",
        slot="place",
        missing=lambda draft: draft.place is None and draft.postal_code is None,
        buttons=lambda view: choices.places(view.phrases),
    ),
    Question(
        name="setting",
        slot="setting",
        missing=lambda draft: draft.setting is None,
        buttons=lambda view: choices.settings(view.state, view.phrases),
    ),
    Question(
        name="colours",
        slot="colours",
        missing=lambda draft: not draft.colours,
        wording=_colours_text,
    ),
    # Set-up windows depend on it, the price hardly does: asked once, never pressed for.
    Question(
        name="start_time",
        slot="time",
        missing=lambda draft: draft.start_time is None,
        buttons=lambda view: choices.starting_hours(view.state, view.phrases),
        patient=False,
    ),
    Question(
        name="floating",
        slot=None,
        missing=lambda draft: draft.floating == 0,
        buttons=lambda view: choices.floating(view.state),
        patient=False,
    ),
    # These follow on what the client said or sent.
    Question(
        name="shade",
        slot="colours",
        missing=_never,
        wording=_shade_text,
        buttons=lambda view: choices.shades(view.state, view.shop, view.phrases),
        patient=False,
    ),
    Question(
        name="palette",
        slot="colours",
        missing=_never,
        wording=_palette_text,
        buttons=lambda view: choices.palette(view.state, view.phrases),
        patient=False,
    ),
    # These are usual choices in the readback, and opened for a change alone.
    Question(
        name="fullness",
        slot=None,
        missing=_never,
        buttons=lambda view: choices.fullnesses(view.state, view.phrases),
    ),
    Question(
        name="placement",
        slot=None,
        missing=_never,
        buttons=lambda view: choices.placements(view.state, view.index, view.phrases),
    ),
    Question(
        name="pattern",
        slot=None,
        missing=_never,
        buttons=lambda view: choices.patterns(view.state, view.index, view.phrases),
    ),
    Question(
        name="end_time",
        slot="time",
        missing=_never,
        buttons=lambda view: choices.ending_hours(view.state, view.phrases),
    ),
    Question(name="guests", slot=None, missing=_never),
    Question(name="budget", slot="budget", missing=_never),
)

BY_NAME = {question.name: question for question in QUESTIONS}
