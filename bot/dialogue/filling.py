"""Putting what was heard into the brief."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from bot.dialogue.hearing import Heard, colour_is_refused, is_implausible, read_size
from bot.dialogue.phrases import en
from bot.dialogue.questions import piece_in_question
from bot.dialogue.state import Draft, Piece, State
from bot.dialogue.supports import SUPPORTS, missing_measures, rebuilt, sized, stairs
from bot.understanding import Slots, Structure

_LONGEST_NOTES = 4000
_SIDES = ("width_m", "height_m", "length_m")
# The wire's limits. What lies beyond stays in the client's own words, which the owner reads.
_MOST_PIECES, _MOST_COLOURS, _MOST_FOILS = 20, 12, 40
_LONGEST = {"occasion": 60, "place": 200, "postal_code": 16}


@dataclass(frozen=True, kw_only=True)
class Filled:
    """The draft with what was heard. Where one number [m] was said for piece `piece`, which has a
    width and a height, `unsure` is that number."""

    draft: Draft
    unsure: float | None = None
    piece: int = 0


def fill(state: State, heard: Heard, *, today: date) -> Filled:
    """The draft of `state` with what `heard` says."""
    if heard.choice:
        return Filled(draft=_chosen(state, heard.choice))
    slots, text = _plausible(heard.slots), heard.text.lower()
    draft = _with_simple_facts(state.draft, slots, heard.says, today)
    draft = _with_month(draft, slots, changing=state.editing and state.asked == "date")
    draft = replace(
        draft,
        colours=_colours(draft.colours, slots.colours, text),
        foils=_foils(draft.foils, slots.foils, text),
    )
    merging = _Merging(state, text)
    pieces = merging.merged(slots.structures)
    draft = replace(draft, pieces=pieces[:_MOST_PIECES])
    return Filled(draft=draft, unsure=merging.unsure, piece=merging.unsure_piece)


def with_words(draft: Draft, text: str, *, first: bool = False) -> Draft:
    """`draft` with `text` among the client's own words, as far as notes go; `first` where it must
    not be what is cut off."""
    words = "\n".join(filter(None, (text, draft.words) if first else (draft.words, text)))
    return replace(draft, words=words[:_LONGEST_NOTES])


def _chosen(state: State, choice: tuple[str, ...]) -> Draft:
    draft = state.draft
    match choice:
        case "support", index, support, count:
            return _with_support(state, int(index), support, int(count))
        case "size", index, _, size:
            piece = draft.pieces[int(index)]
            return _with_piece(draft, int(index), sized(piece, read_size(size)))
        case "setting", setting:
            return replace(draft, setting=setting)
        case "count", index, many:
            piece = replace(draft.pieces[int(index)], count=int(many), uncounted=False)
            return _with_piece(draft, int(index), piece)
        case "way", index, side:
            piece = draft.pieces[int(index)]
            sides: dict[str, Any] = {side: state.unsure}
            return _with_piece(draft, int(index), replace(piece, **sides, assumed=False))
        case "fullness", fullness:
            return replace(draft, fullness=fullness)
    raise ValueError(f"no such answer: {choice}")


def _with_support(state: State, index: int, support: str, count: int) -> Draft:
    pieces = state.draft.pieces
    count = min(max(count, 1), 50)
    if index < len(pieces) and pieces[index].support is None:
        # "Three garlands of 8 ft" stay three, and 8 ft, on the tables that carry them.
        carried = rebuilt(pieces[index], support)
        carried = replace(carried, count=max(count, carried.count))
        return _with_piece(state.draft, index, carried)
    return replace(state.draft, pieces=(Piece(support=support, count=count),))


def _with_piece(draft: Draft, index: int, piece: Piece) -> Draft:
    return replace(draft, pieces=(*draft.pieces[:index], piece, *draft.pieces[index + 1 :]))


def _plausible(slots: Slots) -> Slots:
    return replace(slots, structures=tuple(_plausible_sides(one) for one in slots.structures))


def _plausible_sides(structure: Structure) -> Structure:
    return replace(
        structure,
        width_m=_plausible_side(structure.width_m),
        height_m=_plausible_side(structure.height_m),
        length_m=_plausible_side(structure.length_m),
    )


def _plausible_side(metres: float | None) -> float | None:
    return None if metres is None or is_implausible(metres) else metres


def _with_simple_facts(draft: Draft, slots: Slots, says: Iterable[str], today: date) -> Draft:
    facts: dict[str, Any] = {
        name: getattr(slots, name)
        for name in ("occasion", "start_time", "end_time", "guests", "setting", "place",
                     "postal_code", "fullness")
    }  # fmt: skip
    for name, longest in _LONGEST.items():
        facts[name] = facts[name] and facts[name][:longest]
    if slots.event_date and slots.event_date >= today and "past_date" not in says:
        facts["event_date"] = slots.event_date
    known = {name: value for name, value in facts.items() if value is not None}
    budget = (slots.budget_min, slots.budget_max)
    if budget != (None, None) and "negative_budget" not in says:
        known |= {"budget_min": budget[0], "budget_max": budget[1]}
    return replace(draft, **known)


def _with_month(draft: Draft, slots: Slots, *, changing: bool) -> Draft:
    """A month without a day narrows the day down; it takes the place of a day only where the
    client opened the date for a change."""
    if slots.event_month is None or slots.event_date is not None:
        return replace(draft, event_month=None) if draft.event_date else draft
    if draft.event_date is not None and not changing:
        return draft
    return replace(draft, event_date=None, event_month=slots.event_month)


def _colours(had: tuple[str, ...], said: tuple[str, ...], text: str) -> tuple[str, ...]:
    refused = {colour for colour in (*had, *said) if colour_is_refused(colour, text)}
    wanted = [colour[:40] for colour in said if colour not in refused]
    # "Silver instead of gold" changes one colour, "pink and white" all of them.
    keeps = not wanted or refused or re.search(en.ADDING, text)
    kept = [colour for colour in had if colour not in refused] if keeps else []
    return tuple(dict.fromkeys([*kept, *wanted]))[:_MOST_COLOURS]


def _foils(had: tuple[str, ...], said: tuple[str, ...], text: str) -> tuple[str, ...]:
    kept = had if not said or re.search(en.ADDING, text) else ()
    return (*kept, *(foil[:40] for foil in said))[:_MOST_FOILS]


class _Merging:
    """One message's structures going into the pieces that the brief had before."""

    def __init__(self, state: State, text: str) -> None:
        self._state = state
        self._text = text
        self._pieces: list[Piece | None] = list(state.draft.pieces)
        # A message that names two hoops means two, so each earlier piece is matched only once.
        self._free = set(range(len(self._pieces)))
        self.unsure: float | None = None
        self.unsure_piece = 0

    def merged(self, structures: Sequence[Structure]) -> tuple[Piece, ...]:
        """All pieces afterwards. A piece taken away leaves no gap."""
        for structure in structures:
            self._take(structure, self._meant(structure.kind))
        return tuple(piece for piece in self._pieces if piece is not None)

    def _meant(self, kind: str) -> tuple[str, ...]:
        """The supports that `kind` may mean here: "the arch" is the frame that there is."""
        supports = _supports_of(kind, self._text)
        had = [piece.support for piece in self._state.draft.pieces]
        frames = tuple(one for one in had if one in ("round_top_frame", "square_frame", "hoop"))
        again = (
            kind == "freestanding_arch" and kind not in had and re.search(en.THE_ARCH, self._text)
        )
        return frames if frames and again else supports

    def _take(self, structure: Structure, supports: tuple[str, ...]) -> None:
        index = self._match(supports)
        if self._removes(structure, index):
            self._pieces[index or 0] = self._left_of(index or 0, structure)
        elif index is not None:
            self._update(index, structure, supports)
        elif supports or structure.length_m is not None:
            self._add(structure, supports[0] if supports else None)

    def _removes(self, structure: Structure, index: int | None) -> bool:
        asked = re.search(en.REMOVING, self._text) is not None
        return asked and index is not None and not structure.measured and structure.kind != "other"

    def _left_of(self, index: int, structure: Structure) -> Piece | None:
        """What "drop one column" leaves of three; "drop the columns" leaves nothing."""
        piece = self._pieces[index]
        if piece is None or piece.count <= structure.count:
            return None
        noun = en.SUPPORTS[piece.support or ""][0].split()[-1]
        numbered = re.search(en.NUMBERED.format(noun=noun), self._text)
        return replace(piece, count=piece.count - structure.count) if numbered else None

    def _match(self, supports: tuple[str, ...]) -> int | None:
        """The earlier piece that is meant; None for a new one."""
        if not supports:
            named = self._named()
            target = piece_in_question(self._state) if named is None else named
            return target if target in self._free else None
        if re.search(en.ADDING, self._text):
            return None
        for index in sorted(self._free):
            piece = self._pieces[index]
            if piece is not None and piece.support in (*supports, None):
                return index
        replaces = self._state.editing or re.search(en.REPLACING, self._text)
        return 0 if replaces and self._free == {0} and len(self._pieces) == 1 else None

    def _named(self) -> int | None:
        """The piece that "the hoop" names in a message that does not ask for one."""
        for index, piece in enumerate(self._state.draft.pieces):
            if en.SUPPORTS[piece.support or ""][0].split()[-1] in self._text:
                return index
        return None

    def _update(self, index: int, structure: Structure, supports: tuple[str, ...]) -> None:
        old = self._pieces[index] or Piece()
        self._free.discard(index)
        if supports and old.support is None:
            old = rebuilt(old, supports[0])
        elif supports and old.support not in supports:
            old = Piece(support=supports[0], uncounted=structure.uncounted)
        # "Make the columns 7 ft" says nothing of how many.
        count = structure.count if structure.count > 1 else old.count
        asked = self._state.asked == "count" and not structure.measured
        uncounted = old.uncounted and structure.count == 1 and not asked
        old = replace(old, count=count, uncounted=uncounted)
        self._pieces[index] = self._measured(index, old, structure)

    def _add(self, structure: Structure, support: str | None) -> None:
        piece = Piece(support=support, count=structure.count, uncounted=structure.uncounted)
        self._pieces.append(None)
        index = len(self._pieces) - 1
        self._pieces[index] = self._measured(index, piece, structure)

    def _measured(self, index: int, piece: Piece, structure: Structure) -> Piece:
        if not structure.measured:
            return piece
        sides = _sides_for(piece, structure)
        if not sides and structure.length_m is not None:
            self.unsure, self.unsure_piece = structure.length_m, index
        return replace(piece, **sides, assumed=False) if sides else piece


def _stairs(structure: Structure) -> dict[str, Any]:
    """ "10 ft along and 8 ft high" is run and rise; a length alone is the slope's."""
    run = structure.width_m if structure.length_m is None else structure.length_m
    if structure.length_m is not None and structure.height_m is None:
        return {"width_m": None, "height_m": None, "length_m": structure.length_m}
    return stairs(run, structure.height_m)


def _supports_of(kind: str, text: str) -> tuple[str, ...]:
    """What `kind` may mean, the likeliest first; () where no support was named."""
    if kind == "arch_frame":
        square = re.search(en.SQUARE, text) is not None
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
