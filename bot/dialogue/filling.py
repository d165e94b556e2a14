"""Putting what was heard into the brief."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from bot.dialogue import sayings, values
from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.heard import Heard
from bot.dialogue.merging import Merging
from bot.dialogue.messages import ShopCard
from bot.dialogue.offering import with_offer
from bot.dialogue.reading import is_implausible, is_useful
from bot.dialogue.shades import named_as_kept
from bot.dialogue.state import State
from bot.dialogue.supports import rebuilt, sized
from bot.understanding import Slots, Structure

_LONGEST_NOTES = 4000
# The wire's limits. What lies beyond stays in the client's own words, which the owner reads.
_MOST_PIECES, _MOST_COLOURS, _MOST_FOILS, _MOST_ACCENTS, _MOST_FLOATING = 20, 12, 40, 20, 500
_LONGEST = {"occasion": 60, "place": 200, "postal_code": 16}
# These dress every piece where there are several; a sign hangs on one.
_ON_EACH = frozenset({"flowers", "greenery", "ribbon"})


@dataclass(frozen=True, kw_only=True)
class Filled:
    """The draft with what was heard. Where one number [m] was said for piece `piece`, which has a
    width and a height, `unsure` is that number."""

    draft: Draft
    unsure: float | None = None
    piece: int = 0


def fill(state: State, heard: Heard, *, today: date, shop: ShopCard) -> Filled:
    """The draft of `state` with what `heard` says."""
    if heard.choice:
        return Filled(draft=_chosen(state, heard.choice, shop))
    slots, text = _plausible(heard.slots), heard.text.lower()
    draft = _with_simple_facts(state, slots, heard.says, today)
    opened = state.editing and state.asked == "date"
    draft = _with_month(draft, slots, changing=opened or _says_only_month(slots))
    draft = _with_colours(state, draft, slots, heard, shop)
    draft = replace(
        draft,
        foils=_foils(draft.foils, slots.foils, text),
        accents=_accents(draft.accents, slots, text),
    )
    merging = Merging(state, text)
    pieces = merging.merged(slots.structures)
    if slots.fullness is not None:
        pieces = tuple(replace(piece, fullness=None) for piece in pieces)
    draft = replace(draft, pieces=pieces[:_MOST_PIECES])
    return Filled(draft=draft, unsure=merging.unsure, piece=merging.unsure_piece)


def with_words(draft: Draft, text: str, *, first: bool = False) -> Draft:
    """`draft` with `text` among the client's own words, as far as notes go; `first` where it must
    not be what is cut off."""
    words = "\n".join(filter(None, (text, draft.words) if first else (draft.words, text)))
    return replace(draft, words=words[:_LONGEST_NOTES])


def _chosen(state: State, choice: tuple[str, ...], shop: ShopCard) -> Draft:
    draft = state.draft
    match choice:
        case "date", day:
            return replace(draft, event_date=values.read_day(day), event_month=None)
        case "time", hour:
            return replace(draft, start_time=values.read_hour(hour))
        case "end", hour:
            return replace(draft, end_time=values.read_hour(hour))
        case "setting", setting:
            return replace(draft, setting=setting)
        case "floating", many:
            return replace(draft, floating=int(many))
        case "shade", index, stock:
            return _with_shade(draft, int(index), shop.colours[int(stock)].name)
        case "palette", _:
            return replace(draft, colours=state.palette)
        case "offer", index:
            return with_offer(draft, state.offers[int(index)])
        case "fullness", fullness:
            alike = tuple(replace(piece, fullness=None) for piece in draft.pieces)
            return replace(draft, fullness=fullness, pieces=alike)
    return _chosen_for_piece(state, choice)


def _chosen_for_piece(state: State, choice: tuple[str, ...]) -> Draft:
    question, index, *rest = choice
    if question == "support":
        return _with_support(state, int(index), rest[0], int(rest[1]))
    piece = state.draft.pieces[int(index)]
    changed: dict[str, Any]
    match question, rest:
        case "size", [_, size]:
            return _with_piece(state.draft, int(index), sized(piece, values.read_size(size)))
        case "count", [many]:
            changed = {"count": int(many), "uncounted": False}
        case "way", [side]:
            changed = {side: state.unsure, "assumed": False}
        case (("placement" | "pattern"), [name]):
            changed = {question: name}
            if question == "placement":
                changed["coverage"] = None
        case _:
            raise ValueError(f"no such answer: {choice}")
    return _with_piece(state.draft, int(index), replace(piece, **changed))


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


def _with_shade(draft: Draft, index: int, name: str) -> Draft:
    colours = (*draft.colours[:index], name, *draft.colours[index + 1 :])
    return replace(draft, colours=tuple(dict.fromkeys(colours)))


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


def _with_simple_facts(state: State, slots: Slots, says: Iterable[str], today: date) -> Draft:
    facts: dict[str, Any] = {
        name: getattr(slots, name)
        for name in ("occasion", "start_time", "end_time", "guests", "setting", "place",
                     "postal_code", "fullness")
    }  # fmt: skip
    if state.editing and state.asked == "end_time" and slots.end_time is None:
        facts |= {"end_time": slots.start_time, "start_time": None}
    if slots.occasion == "other" and state.draft.occasion:
        facts["occasion"] = None  # what it is was told already
    for name, longest in _LONGEST.items():
        facts[name] = facts[name] and facts[name][:longest]
    if slots.event_date and slots.event_date >= today and "past_date" not in says:
        facts["event_date"] = slots.event_date
    if slots.floating is not None:
        facts["floating"] = min(slots.floating, _MOST_FLOATING) or state.draft.floating or 0
    known = {name: value for name, value in facts.items() if value is not None}
    budget = (slots.budget_min, slots.budget_max)
    if budget != (None, None) and "negative_budget" not in says:
        known |= {"budget_min": budget[0], "budget_max": budget[1]}
    return replace(state.draft, **known)


def _with_month(draft: Draft, slots: Slots, *, changing: bool) -> Draft:
    """A month without a day narrows the day down; it takes the place of a day of another month
    only where it is what the client is about."""
    if slots.event_month is None or slots.event_date is not None:
        return replace(draft, event_month=None) if draft.event_date else draft
    same = draft.event_date is not None and draft.event_date.replace(day=1) == slots.event_month
    if draft.event_date is not None and (same or not changing):
        return draft
    return replace(draft, event_date=None, event_month=slots.event_month)


def _says_only_month(slots: Slots) -> bool:
    rest = replace(slots, event_month=None)
    return slots.event_month is not None and not is_useful(rest)


def _with_colours(state: State, draft: Draft, slots: Slots, heard: Heard, shop: ShopCard) -> Draft:
    refused = dict.fromkeys(named_as_kept(one, shop) for one in heard.colours)
    said = [one[:40] for one in slots.colours if one not in heard.colours]
    # In "ivory instead of cream" two are told apart that the shop has one name for.
    wanted = [
        one if named_as_kept(one, shop) in refused else named_as_kept(one, shop) for one in said
    ]
    if state.editing and state.asked == "shade" and wanted and state.piece < len(draft.colours):
        # What was said answers which shade of one colour is meant.
        return _with_shade(draft, state.piece, wanted[0])
    # "Silver instead of gold" changes one colour, "pink and white" all of them.
    keeps = not wanted or refused or sayings.says("adding", heard.text)
    kept = [one for one in draft.colours if one not in refused] if keeps else []
    unwanted = dict.fromkeys((*draft.unwanted, *(one[:40] for one in refused)))
    return replace(
        draft,
        colours=tuple(dict.fromkeys([*kept, *wanted]))[:_MOST_COLOURS],
        unwanted=tuple(one for one in unwanted if one not in wanted)[:_MOST_COLOURS],
    )


def _foils(had: tuple[str, ...], said: tuple[str, ...], text: str) -> tuple[str, ...]:
    kept = had if not said or sayings.says("adding", text) else ()
    return (*kept, *(foil[:40] for foil in said))[:_MOST_FOILS]


def _accents(had: tuple[Accent, ...], slots: Slots, text: str) -> tuple[Accent, ...]:
    """What dresses the pieces: what is named again is changed, and what is taken away is gone."""
    wanted: Mapping[str, Accent] = {one.kind: one for one in had}
    gone = sayings.accents_refused(text)
    if sayings.says("removing", text):
        gone |= sayings.accents_named(text)
    if gone:
        return tuple(one for kind, one in wanted.items() if kind not in gone)
    told = {
        extra.kind: Accent(
            kind=extra.kind,
            count=min(extra.count, 200) if extra.count else None,
            words=extra.words[:120] if extra.words else None,
            each=extra.kind in _ON_EACH and extra.count is None,
        )
        for extra in slots.extras
    }
    return tuple((dict(wanted) | told).values())[:_MOST_ACCENTS]
