"""Putting the structures of a message into the pieces of the brief."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from bot.dialogue import sayings
from bot.dialogue.draft import Piece
from bot.dialogue.questions import piece_in_question
from bot.dialogue.standings import formerly
from bot.dialogue.state import State
from bot.dialogue.supports import SUPPORTS, missing_measures, rebuilt, stairs
from bot.understanding import Structure
from bot.understanding.looks import looks_in, looks_of
from bot.understanding.passage import Passage

_SIDES = ("width_m", "height_m", "length_m")
_LOOKS = ("placement", "coverage", "pattern")


def left_of(pieces: Sequence[Piece], text: str) -> tuple[Piece | None, ...]:
    """`pieces` without what `text` takes away: "drop one column" leaves two of three, "drop the
    columns" leaves None in their place."""
    arches = any(piece.support == "freestanding_arch" for piece in pieces)
    return tuple(_left(piece, text, arches=arches) for piece in pieces)


def _left(piece: Piece, text: str, *, arches: bool) -> Piece | None:
    taken = sayings.takes_away(piece.support or "", text)
    if taken is None and piece.support in _ARCHED and not arches:
        taken = sayings.takes_away("freestanding_arch", text)
    if taken is None:
        return piece
    return replace(piece, count=piece.count - taken) if 0 < taken < piece.count else None


# "The arch" is the frame or the hoop that there is.
_ARCHED = ("round_top_frame", "square_frame", "hoop")


class Merging:
    """One message's structures going into the pieces that the brief had before."""

    def __init__(self, state: State, text: str) -> None:
        self._state = state
        self._text = text
        self._pieces: list[Piece | None] = list(left_of(state.draft.pieces, text))
        # A message that names two hoops means two, so each earlier piece is matched only once.
        self._free = set(range(len(self._pieces)))
        self.unsure: float | None = None
        self.unsure_piece = 0

    def merged(self, structures: Sequence[Structure]) -> tuple[Piece, ...]:
        """All pieces afterwards. A piece taken away leaves no gap."""
        if not structures:
            self._dress(looks_beside(self._text))
        for structure in structures:
            self._take(structure, self._meant(structure.kind))
        return tuple(piece for piece in self._pieces if piece is not None)

    def _dress(self, looks: Mapping[str, Any]) -> None:
        """ "Only half of it" is half of every garland; a column carries none."""
        for index, piece in enumerate(self._pieces):
            if piece is not None and piece.support != "column":
                self._pieces[index] = replace(piece, **looks)

    def _meant(self, kind: str) -> tuple[str, ...]:
        """The supports that `kind` may mean here: "the arch" is the frame that there is."""
        supports = _supports_of(kind, self._text)
        had = [piece.support for piece in self._state.draft.pieces]
        frames = tuple(one for one in had if one in _ARCHED)
        again = (
            kind == "freestanding_arch" and kind not in had and sayings.says("the_arch", self._text)
        )
        return frames if frames and again else supports

    def _take(self, structure: Structure, supports: tuple[str, ...]) -> None:
        index = self._match(supports)
        if index is not None and self._pieces[index] is None:
            return  # taken away in the same breath
        if index is not None:
            self._update(index, structure, supports)
        elif supports or structure.length_m is not None:
            self._add(structure, supports[0] if supports else None)

    def _match(self, supports: tuple[str, ...]) -> int | None:
        """The earlier piece that is meant; None for a new one."""
        if not supports:
            named = self._named()
            target = piece_in_question(self._state) if named is None else named
            return target if target in self._free else None
        if sayings.says("adding", self._text) and self._pieces == list(self._state.draft.pieces):
            return None
        for index in sorted(self._free):
            piece = self._state.draft.pieces[index]
            if piece.support in (*supports, None):
                return index
        replaces = self._state.editing or sayings.says("replacing", self._text)
        return 0 if replaces and self._free == {0} and len(self._pieces) == 1 else None

    def _named(self) -> int | None:
        """The piece that "the hoop" names in a message that does not ask for one."""
        for index, piece in enumerate(self._state.draft.pieces):
            if sayings.names_support(piece.support or "", self._text):
                return index
        return None

    def _update(self, index: int, structure: Structure, supports: tuple[str, ...]) -> None:
        old = self._pieces[index] or Piece()
        self._free.discard(index)
        if supports and old.support is None:
            old = rebuilt(old, supports[0])
        elif supports and old.support not in supports:
            had = None if structure.measured else formerly(self._state, supports)
            old = had or Piece(support=supports[0], uncounted=structure.uncounted)
        elif old.support == "hoop" and _is_oblong(structure):
            old = rebuilt(old, "round_top_frame")
        # "Make the columns 7 ft" says nothing of how many.
        count = structure.count if structure.count > 1 else old.count
        asked = self._state.asked == "count" and not structure.measured
        uncounted = old.uncounted and structure.count == 1 and not asked
        old = replace(old, count=count, uncounted=uncounted)
        self._pieces[index] = self._measured(index, _looking(old, structure), structure)

    def _add(self, structure: Structure, support: str | None) -> None:
        piece = Piece(support=support, count=structure.count, uncounted=structure.uncounted)
        self._pieces.append(None)
        index = len(self._pieces) - 1
        self._pieces[index] = self._measured(index, _looking(piece, structure), structure)

    def _measured(self, index: int, piece: Piece, structure: Structure) -> Piece:
        if not structure.measured:
            return piece
        sides = _sides_for(piece, structure)
        if not sides and structure.length_m is not None:
            self.unsure, self.unsure_piece = structure.length_m, index
        return replace(piece, **sides, assumed=False) if sides else piece


def looks_beside(text: str) -> dict[str, Any]:
    """What `text` says of where a garland lies and how its colours follow, whatever carries it."""
    return looks_of(looks_in(Passage.of(text)))


def _looking(piece: Piece, structure: Structure) -> Piece:
    """`piece` with what was said of where the garland lies and how its colours follow."""
    said: dict[str, Any] = {name: getattr(structure, name) for name in _LOOKS}
    return replace(piece, **{name: look for name, look in said.items() if look is not None})


def _is_oblong(structure: Structure) -> bool:
    """Whether a width and a height were told that are no one circle's."""
    width, height = structure.width_m, structure.height_m
    return (
        width is not None and height is not None and max(width, height) > 1.1 * min(width, height)
    )


def _stairs(structure: Structure) -> dict[str, Any]:
    """ "10 ft along and 8 ft high" is run and rise; a length alone is the slope's."""
    run = structure.width_m if structure.length_m is None else structure.length_m
    if structure.length_m is not None and structure.height_m is None:
        return {"width_m": None, "height_m": None, "length_m": structure.length_m}
    return stairs(run, structure.height_m)


def _supports_of(kind: str, text: str) -> tuple[str, ...]:
    """What `kind` may mean, the likeliest first; () where no support was named."""
    if kind == "arch_frame":
        square = sayings.says("square", text)
        return ("square_frame",) if square else ("round_top_frame", "square_frame")
    return (kind,) if kind in SUPPORTS else ()


def _sides_for(piece: Piece, structure: Structure) -> dict[str, Any]:
    """Which measures of `piece` the structure tells; {} where one number could be either."""
    said = {name: getattr(structure, name) for name in _SIDES}
    given = {name: metres for name, metres in said.items() if metres is not None}
    if piece.support is None:
        return given
    if piece.support == "staircase" and structure.measured:
        return _stairs(structure)
    needed = SUPPORTS[piece.support].measures
    direct = {name: metres for name, metres in given.items() if name in needed}
    if needed == ("length_m",) and "width_m" in given and not direct:
        return {"length_m": given["width_m"]}  # "12 ft wide and 8 ft tall", of a wall
    if direct or len(given) != 1:
        return direct
    # One number: it is the only measure there is, or the only one still missing.
    (metres,) = given.values()
    lacking = needed if len(needed) == 1 else missing_measures(piece)
    return {lacking[0]: metres} if len(lacking) == 1 else {}
