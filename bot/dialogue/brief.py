"""The client's brief as wire JSON."""

from decimal import Decimal
from typing import Any

from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.supports import USUAL_SAG_OF_SPAN, rise_and_run

_LONGEST_NOTES = 4000
# What floats where the client says no more than "helium balloons".
_FLOATING_SIZE_IN = 11


def brief_json(draft: Draft, *, notes: str = "") -> dict[str, Any]:
    """`draft` as the wire's Brief: metres, ISO 8601, decimal strings; unknown is left out.

    `notes` go before the client's own words.
    """
    brief: dict[str, Any] = {
        "pieces": [
            _piece(piece, draft, first=index == 0) for index, piece in enumerate(draft.pieces)
        ],
        "palette": [{"colour": colour} for colour in draft.colours],
        "event": _event(draft),
        "site": _known(setting=draft.setting, place=draft.place, postal_code=draft.postal_code),
        "foils": list(draft.foils),
    }
    if draft.floating:
        brief["floating"] = [
            {"kind": "latex", "size_class": _FLOATING_SIZE_IN, "count": draft.floating}
        ]
    budget = _known(min=_amount(draft.budget_min), max=_amount(draft.budget_max))
    words = "\n".join(filter(None, (notes, draft.words)))[:_LONGEST_NOTES]
    return brief | _known(budget=budget or None, notes=words or None)


def _piece(piece: Piece, draft: Draft, *, first: bool) -> dict[str, Any]:
    accents = [_accent(one) for one in draft.accents if first or one.each]
    return {
        "support": piece.support,
        "count": piece.count,
        # A swag's dip is ours, never the client's: the estimate must not take it for a fact.
        "measures_assumed": piece.assumed or piece.support == "swag",
    } | _known(
        fullness=piece.fullness or draft.fullness,
        placement=piece.placement,
        coverage=piece.coverage,
        pattern=piece.pattern,
        build="quads" if piece.support == "column" else None,
        accents=accents or None,
        **_measures(piece),
    )


def _accent(accent: Accent) -> dict[str, Any]:
    return _known(kind=accent.kind, count=accent.count, words=accent.words)


def _measures(piece: Piece) -> dict[str, float | None]:
    span = piece.length_m
    if piece.support == "swag" and span is not None:
        return {"width_m": span, "sag_m": round(span * USUAL_SAG_OF_SPAN, 4)}
    if piece.support == "staircase" and span is not None:
        rise, run = rise_and_run(span)
        if piece.height_m is not None and piece.width_m is not None:
            rise, run = piece.height_m, piece.width_m
        return {"rise_m": round(rise, 4), "run_m": round(run, 4)}
    return {"width_m": piece.width_m, "height_m": piece.height_m, "length_m": span}


def _event(draft: Draft) -> dict[str, Any]:
    return _known(
        occasion=draft.occasion,
        date=draft.event_date.isoformat() if draft.event_date else None,
        start_time=draft.start_time.isoformat("minutes") if draft.start_time else None,
        end_time=draft.end_time.isoformat("minutes") if draft.end_time else None,
        guests=draft.guests,
    )


def _amount(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _known(**values: Any) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}
