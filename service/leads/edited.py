"""What the owner changed in a brief, in plain words: "round-top frame: width 4 ft → 5 ft"."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from difflib import SequenceMatcher
from typing import Any

from service.estimating import Brief, Budget, ColourShare, Piece, Support
from service.leads import words
from service.leads.lead import Client
from service.leads.words import ENGLISH

_ARROW, _OPEN = "→", "left open"

_Say = Callable[[Any], str]


def edits(before: Brief, after: Brief, currency: str) -> tuple[str, ...]:
    """Every change between two briefs, one sentence each; none where they are alike."""
    return (
        *_of_pieces(before.pieces, after.pieces),
        *_changed("colors", before.palette, after.palette, _palette),
        *_changed("foils", before.foils, after.foils, " ".join),
        *_changed("helium", before.floating, after.floating, _floating),
        *_parts(before.event, after.event, _EVENT),
        *_parts(before.site, after.site, _SITE),
        *_budget(before.budget, after.budget, currency),
        *_changed("afterwards", before.client_keeps, after.client_keeps, _keeps),
        *_changed("notes", before.notes, after.notes, _quoted),
    )


def client_edits(before: Client, after: Client) -> tuple[str, ...]:
    """Every change of the client's name and of how to reach them."""
    return tuple(_parts(before, after, _CLIENT))


def _of_pieces(before: Sequence[Piece], after: Sequence[Piece]) -> Iterator[str]:
    """Pieces of the same support in the same order are the same pieces."""
    matcher = SequenceMatcher(a=[p.support for p in before], b=[p.support for p in after])
    for tag, a, b, c, d in matcher.get_opcodes():
        if tag == "equal":
            for was, now in zip(before[a:b], after[c:d], strict=True):
                yield from _of_piece(was, now)
            continue
        yield from (f"taken out: {words.piece(piece)}" for piece in before[a:b])
        yield from (f"added: {words.piece(piece)}" for piece in after[c:d])


def _of_piece(was: Piece, now: Piece) -> Iterator[str]:
    name = was.support.words
    for each in fields(Piece):
        if each.name == "support":
            continue
        label, say = _PIECE[each.name]
        if each.name == "width_m" and was.support is Support.HOOP:
            label = "across"
        for said in _changed(label, getattr(was, each.name), getattr(now, each.name), say):
            yield f"{name}: {said}"


def _parts(was: object, now: object, said: Mapping[str, tuple[str, _Say]]) -> Iterator[str]:
    for name, (label, say) in said.items():
        yield from _changed(label, getattr(was, name), getattr(now, name), say)


def _changed(label: str, was: Any, now: Any, say: _Say) -> Iterator[str]:
    if was == now:
        return
    before, after = _said(was, say), _said(now, say)
    # Less than an inch, or the end of a long text.
    yield f"{label} {before} {_ARROW} {'a little different' if before == after else after}"


def _said(value: Any, say: _Say) -> str:
    return _OPEN if value is None or value == () else say(value)


def _budget(was: Budget | None, now: Budget | None, currency: str) -> Iterator[str]:
    def say(value: Budget) -> str:
        ends = (("from", value.min), ("up to", value.max))
        return " ".join(
            f"{which} {words.money(amount, currency)}"
            for which, amount in ends
            if amount is not None
        )

    return _changed("budget", was, now, say)


def _palette(palette: Sequence[ColourShare]) -> str:
    return words.listed(
        each.colour if each.share is None else f"{each.colour} ({ENGLISH.percent(each.share)})"
        for each in palette
    )


def _floating(floating: Sequence[Any]) -> str:
    return words.listed(map(words.floating, floating))


def _accents(accents: Sequence[Any]) -> str:
    return words.listed(map(words.accent, accents))


def _keeps(keeps: bool) -> str:
    return "the client keeps the balloons" if keeps else "you take it all back"


def _quoted(text: str) -> str:
    line = " ".join(text.split())
    return f"“{line}”" if len(line) <= 80 else f"“{line[:79]}…”"


def _plain(value: Any) -> str:
    return str(value).replace("_", " ")


def _yes_no(value: bool) -> str:
    return "a usual one, the client wasn't sure" if value else "measured"


_PIECE: Mapping[str, tuple[str, _Say]] = {
    "count": ("how many", str),
    "fullness": ("fullness", _plain),
    "coverage": ("covered", ENGLISH.percent),
    "placement": ("where the balloons go", lambda value: ENGLISH.placement(value) or "all along"),
    "pattern": ("how the colors run", _plain),
    "build": ("built", _plain),
    "size_class": ("balloon size", lambda value: f"{value} in"),
    "sized_m": ("blown up to", words.inches),
    "width_m": ("width", words.feet),
    "height_m": ("height", words.feet),
    "length_m": ("length", words.feet),
    "sag_m": ("how deep it hangs", words.feet),
    "rise_m": ("how far up", words.feet),
    "run_m": ("how far along", words.feet),
    "drop_m": ("down at each end", words.feet),
    "steps": ("steps", str),
    "shape": ("shape", _plain),
    "accents": ("extras", _accents),
    "measures_assumed": ("its size", _yes_no),
}

_CLIENT: Mapping[str, tuple[str, _Say]] = {
    "name": ("name", str),
    "email": ("email", str),
    "phone": ("phone", str),
}

_EVENT: Mapping[str, tuple[str, _Say]] = {
    "occasion": ("occasion", _plain),
    "date": ("day", words.day),
    "start_time": ("starts at", words.clock),
    "end_time": ("ends at", words.clock),
    "guests": ("guests", ENGLISH.number),
}

_SITE: Mapping[str, tuple[str, _Say]] = {
    "setting": ("setting", lambda value: f"{value}s"),
    "place": ("place", _quoted),
    "postal_code": ("ZIP code", str),
    "access_from": ("open from", words.clock),
    "access_until": ("open until", words.clock),
    "elevation_m": ("above the sea", lambda metres: f"{metres / 0.3048:,.0f} ft"),
    "temperature_c": ("how warm", words.fahrenheit),
    "gust_m_s": ("gusts", words.mph),
    "beaufort": ("wind force", str),
    "ground": ("stands on", str),
}
