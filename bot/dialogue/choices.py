"""The buttons under each question."""

from datetime import date, time

from bot.dialogue import values
from bot.dialogue.draft import Piece
from bot.dialogue.likenesses import likeness, sizes_like
from bot.dialogue.messages import Button, ShopCard
from bot.dialogue.phrases import Phrases
from bot.dialogue.pickers import calendar, hours, stepper
from bot.dialogue.readback import colour, size_of
from bot.dialogue.shades import near
from bot.dialogue.state import State
from bot.dialogue.supports import size_choices, sized

_OFFERED = (
    "round_top_frame",
    "square_frame",
    "hoop",
    "column",
    "wall",
    "doorway",
    "table",
    "staircase",
    "mantel",
    "freestanding_arch",
)
FULLNESSES = ("airy", "full", "lush")
PLACEMENTS = ("whole", "one_side", "centred", "corner_to_corner", "asymmetric")
PATTERNS = ("mixed", "ombre", "blocks", "stripe")
_FLOATING = (6, 12, 24)
# Hours after the beginning at which parties end.
_LASTING = (2, 3, 4, 5, 6)


def support_choices(state: State, index: int, phrases: Phrases) -> tuple[Button, ...]:
    """What may carry the balloons; columns stand in pairs."""
    return tuple(
        Button(
            label=phrases.say("column_pair" if name == "column" else f"button.support.{name}"),
            value=values.support(state.number, index, name, 2 if name == "column" else 1),
        )
        for name in _OFFERED
    )


def count_choices(state: State, index: int, phrases: Phrases) -> tuple[Button, ...]:
    return tuple(
        Button(label=label, value=values.count(state.number, index, many))
        for many, label in ((2, phrases.say("pair")), (1, "1"), (3, "3"), (4, "4"))
    )


def sizes(state: State, index: int, phrases: Phrases) -> tuple[Button, ...]:
    """Usual sizes, those of what the client likened it to first, and a way to any other."""
    piece = state.draft.pieces[index] if index < len(state.draft.pieces) else Piece()
    if piece.support is None:
        return ()
    if state.unsure is not None:
        return _ways(state, index, state.unsure, phrases)
    alike = likeness(state.likened) if state.likened else None
    offered = sizes_like(alike, piece) if alike else size_choices(piece)
    other = Button(
        label=phrases.say("button.other_size"),
        value=values.stepped(state.number, index, offered[0]),
    )
    return (*(_size(state, index, piece, size, phrases) for size in offered), other)


def _ways(state: State, index: int, metres: float, phrases: Phrases) -> tuple[Button, ...]:
    """This wide, or this high."""
    shown = phrases.measure(metres)
    return (
        Button(
            label=phrases.say("wide", value=shown),
            value=values.way(state.number, index, "width_m"),
        ),
        Button(
            label=phrases.say("tall", value=shown),
            value=values.way(state.number, index, "height_m"),
        ),
    )


def _size(
    state: State, index: int, piece: Piece, inches: tuple[int, ...], phrases: Phrases
) -> Button:
    value = values.size(state.number, index, piece.support or "", inches)
    return Button(label=size_of(sized(piece, inches), phrases), value=value)


def size_steps(
    state: State, index: int, inches: tuple[int, ...], phrases: Phrases
) -> tuple[Button, ...]:
    """A size to step up and down."""
    support = state.draft.pieces[index].support or ""
    return stepper(state.number, index, support, inches, phrases=phrases)


def days(state: State, month: date | None, today: date, phrases: Phrases) -> tuple[Button, ...]:
    """The days of the month that was spoken of, or else of this one."""
    shown = month or state.draft.event_month or state.draft.event_date or today
    return calendar(state.number, shown, today=today, phrases=phrases)


def starting_hours(state: State, phrases: Phrases) -> tuple[Button, ...]:
    return hours(state.number, phrases=phrases)


def ending_hours(state: State, phrases: Phrases) -> tuple[Button, ...]:
    start = state.draft.start_time
    if start is None:
        return ()
    ends = [time((start.hour + more) % 24, start.minute) for more in _LASTING]
    return tuple(
        Button(label=phrases.clock(end), value=values.end(state.number, end)) for end in ends
    )


def places(phrases: Phrases) -> tuple[Button, ...]:
    return (Button(label=phrases.say("button.share_location"), share="location"),)


def settings(state: State, phrases: Phrases) -> tuple[Button, ...]:
    return (
        Button(label=phrases.say("indoor"), value=values.setting(state.number, "indoor")),
        Button(label=phrases.say("outdoor"), value=values.setting(state.number, "outdoor")),
    )


def shades(state: State, shop: ShopCard, phrases: Phrases) -> tuple[Button, ...]:
    """The shop's colours nearest to the one in question."""
    index = state.piece
    if index >= len(state.draft.colours):
        return ()
    names = [swatch.name for swatch in shop.colours]
    return tuple(
        Button(
            label=_capital(colour(shade.name, phrases)),
            value=values.shade(state.number, index, names.index(shade.name)),
        )
        for shade in near(state.draft.colours[index], state.draft.unwanted, shop)
    )


def palette(state: State, phrases: Phrases) -> tuple[Button, ...]:
    """Yes to the colours of a picture, or others."""
    if not state.palette:
        return ()
    return (
        Button(
            label=phrases.say("button.palette"),
            value=values.palette(state.number, state.palettes),
        ),
    )


def floating(state: State) -> tuple[Button, ...]:
    return tuple(
        Button(label=str(many), value=values.floating(state.number, many)) for many in _FLOATING
    )


def fullnesses(state: State, phrases: Phrases) -> tuple[Button, ...]:
    return tuple(
        Button(
            label=_capital(phrases.say(f"fullness.{name}")),
            value=values.fullness(state.number, name),
        )
        for name in FULLNESSES
    )


def placements(state: State, index: int, phrases: Phrases) -> tuple[Button, ...]:
    return tuple(
        Button(
            label=_capital(phrases.say(f"placement.{name}")),
            value=values.look(state.number, "placement", index, name),
        )
        for name in PLACEMENTS
    )


def patterns(state: State, index: int, phrases: Phrases) -> tuple[Button, ...]:
    return tuple(
        Button(
            label=_capital(phrases.say(f"pattern.{name}")),
            value=values.look(state.number, "pattern", index, name),
        )
        for name in PATTERNS
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
