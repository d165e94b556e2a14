"""What else could be built for less, or within a budget: described, kept, and taken."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from bot.dialogue import values
from bot.dialogue.brief import brief_json
from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.messages import Button, Offer, Wanted
from bot.dialogue.phrases import Phrases
from bot.dialogue.readback import called
from bot.dialogue.supports import missing_measures

MOST_OFFERS = 3
_HALF, _ABOUT = 0.5, 0.02


def wanted(draft: Draft, notes: str) -> Wanted | None:
    """What to look up; None while the brief cannot be priced."""
    unready = any(piece.support is None or missing_measures(piece) for piece in draft.pieces)
    if unready or not draft.pieces:
        return None
    return Wanted(brief=brief_json(draft, notes=notes), budget=draft.budget_max)


def kept(offers: Sequence[Offer]) -> tuple[Mapping[str, Any], ...]:
    """Offers as JSON values, as much of them as it takes to accept one."""
    return tuple(
        {"pieces": [dict(piece) for piece in offer.pieces]} for offer in offers[:MOST_OFFERS]
    )


def with_offer(draft: Draft, offer: Mapping[str, Any]) -> Draft:
    """`draft` as it was offered: no measure is another, but how full, how long, how dressed."""
    offered = offer["pieces"]
    pieces = tuple(
        _as_offered(piece, one) for piece, one in zip(draft.pieces, offered, strict=False)
    )
    return replace(draft, pieces=pieces, accents=_accents_of(offered))


def _as_offered(piece: Piece, offered: Mapping[str, Any]) -> Piece:
    return replace(
        piece,
        fullness=offered.get("fullness"),
        placement=offered.get("placement"),
        coverage=offered.get("coverage"),
        pattern=offered.get("pattern"),
    )


def _accents_of(pieces: Sequence[Mapping[str, Any]]) -> tuple[Accent, ...]:
    found: dict[str, Accent] = {}
    for piece in pieces:
        for one in piece.get("accents", ()):
            kind = one["kind"]
            told = Accent(kind=kind, count=one.get("count"), words=one.get("words"))
            found[kind] = replace(told, each=kind in found)
    return tuple(found.values())


def offer_buttons(
    number: int, draft: Draft, offers: Sequence[Offer], currency: str, phrases: Phrases
) -> tuple[Button, ...]:
    """A button for each offer: what differs, and what it would cost."""
    return tuple(
        Button(
            label=offer_line(draft, offer, currency, phrases),
            value=values.offer(number, index),
        )
        for index, offer in enumerate(offers[:MOST_OFFERS])
    )


def cheaper(draft: Draft, offers: Sequence[Offer], phrases: Phrases) -> tuple[Offer, ...]:
    """The offers that cost less than what was asked for, where that is among them."""
    same = [one.likely for one in offers if not list(_differences(draft, one, phrases))]
    return tuple(one for one in offers if not same or one.likely < same[0])


def offer_line(draft: Draft, offer: Offer, currency: str, phrases: Phrases) -> str:
    """An offer in one line: "about $280: airy, 30% shorter"."""
    price = phrases.money(_rounded(offer.likely), currency)
    parts = list(dict.fromkeys(_differences(draft, offer, phrases)))
    what = ", ".join(parts) or phrases.say("offer.same")
    return phrases.say("offer.line", price=price, what=what)


def _rounded(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal(1))


def _differences(draft: Draft, offer: Offer, phrases: Phrases) -> Iterator[str]:
    asked = brief_json(draft)["pieces"]
    organic = [
        (piece, was, now)
        for piece, was, now in zip(draft.pieces, asked, offer.pieces, strict=False)
        if piece.support != "column"
    ]
    fullnesses = {now.get("fullness", "full") for _, _, now in organic}
    for piece, was, now in organic:
        named = f"{called(piece, phrases)} " if len(fullnesses) > 1 else ""
        full = now.get("fullness", "full")
        if full != was.get("fullness", "full"):
            yield named + phrases.say(f"fullness.{full}")
        covered = now.get("coverage")
        if covered is not None and covered != was.get("coverage"):
            yield _length(covered, was, phrases)
    gone = [kind for kind in _kinds(asked) if kind not in _kinds(offer.pieces)]
    if gone:
        what = phrases.listed([phrases.say(f"accent.{kind}") for kind in gone])
        yield phrases.say("offer.without", what=what)
    elif _dressing(offer.pieces) < _dressing(asked):
        yield phrases.say("offer.plainer")


def _length(covered: float, was: Mapping[str, Any], phrases: Phrases) -> str:
    """How long a garland is that covers so much, in the words that come with the price."""
    whole = 1.0 if was.get("placement", "whole") == "whole" else None
    usual = was.get("coverage", whole)
    if usual is None or covered > usual:
        return phrases.say("coverage", percent=round(covered * 100))
    share = covered / usual
    if abs(share - _HALF) < _ABOUT:
        return phrases.say("offer.half")
    return phrases.say("offer.shorter", percent=round((1 - share) * 100))


def _kinds(pieces: Sequence[Mapping[str, Any]]) -> tuple[str, ...]:
    kinds = (one["kind"] for piece in pieces for one in piece.get("accents", ()))
    return tuple(dict.fromkeys(kinds))


def _dressing(pieces: Sequence[Mapping[str, Any]]) -> float:
    """How much dresses the pieces; where no number was said, it is more than any."""
    counts = (one.get("count") for piece in pieces for one in piece.get("accents", ()))
    return sum(float("inf") if count is None else count for count in counts)
