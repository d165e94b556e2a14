"""A brief in people's words and units: feet and inches, weekdays, dollars."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Any

from bot.dialogue import sayings
from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.phrases import Phrases
from bot.dialogue.supports import USUAL_SAG_OF_SPAN, missing_measures, sized

_WAYS = {"width_m": "wide", "height_m": "tall", "length_m": "long"}
# What says nothing of what is celebrated, and may be a sad occasion.
NO_OCCASION = frozenset({"other"})


def read_back(
    draft: Draft,
    *,
    currency: str,
    phrases: Phrases,
    beside: Sequence[str] = (),
    asks: bool = True,
) -> str:
    """The whole brief, one line for each thing, what is unknown said to be so, and what is to be
    said `beside` it. At the end it `asks` whether to price that."""
    pieces = (f"• {described(piece, draft.fullness, phrases)}" for piece in draft.pieces)
    rest = (f"• {line}" for line in _lines(draft, currency, phrases))
    tail = [phrases.say("readback.tail")] if asks else []
    return "\n".join([phrases.say("readback.head"), *pieces, *rest, *beside, *tail])


def _lines(draft: Draft, currency: str, phrases: Phrases) -> Iterator[str]:
    say = phrases.say
    yield say("readback.colours", value=colours(draft.colours, phrases) or say("open"))
    if draft.unwanted:
        yield say("readback.unwanted", value=colours(draft.unwanted, phrases))
    if draft.accents:
        yield say("readback.accents", value=accents(draft.accents, phrases))
    if draft.foils:
        yield say("readback.foils", value=foils(draft.foils, phrases))
    if draft.floating is not None:
        yield say("readback.floating", value=floating(draft.floating, phrases))
    yield say("readback.date", value=_day(draft, phrases))
    yield say("readback.time", value=_times(draft, phrases))
    yield say("readback.where", value=_where(draft, phrases))
    if draft.occasion and draft.occasion not in NO_OCCASION:
        yield say("readback.occasion", value=occasion(draft.occasion, phrases))
    if draft.guests is not None:
        yield say("readback.guests", value=draft.guests)
    if draft.budget_min is not None or draft.budget_max is not None:
        yield say("readback.budget", value=_budget(draft, currency, phrases))
    usual = list(_usual_looks(draft, phrases))
    if usual:
        yield say("readback.usual", value=", ".join(usual))


def _usual_looks(draft: Draft, phrases: Phrases) -> Iterator[str]:
    """What is taken as usual because nobody said otherwise."""
    organic = [piece for piece in draft.pieces if piece.support != "column"]
    if any(not (piece.fullness or draft.fullness) for piece in organic):
        yield phrases.say("fullness.full")
    if any(piece.placement is None and piece.coverage is None for piece in organic):
        yield phrases.say("placement.whole")
    if len(draft.colours) > 1 and any(piece.pattern is None for piece in draft.pieces):
        yield phrases.say("pattern.mixed")


def occasion(name: str, phrases: Phrases) -> str:
    """An occasion in words."""
    return phrases.known(f"occasion.{name}") or name


def colour(name: str, phrases: Phrases) -> str:
    """A colour in the client's language, where its name is known there."""
    said = phrases.known(f"colour.{name}")
    tint, _, base = name.partition(" ")
    if said is None and base:
        said = phrases.known(f"colour.tinted.{tint}", colour=colour(base, phrases))
    return said or name


def colours(names: Sequence[str], phrases: Phrases) -> str:
    """Colours as a sentence lists them; "" for none."""
    return phrases.listed([colour(name, phrases) for name in names])


def foils(names: Sequence[str], phrases: Phrases) -> str:
    """Foil balloons: "50, star ×2 and boat"; figures and letters that stand together are one
    number or word."""
    return phrases.listed(list(_foils_said(names, phrases)))


def _foils_said(names: Sequence[str], phrases: Phrases) -> Iterator[str]:
    for signs, run in groupby(names, key=_sign):
        if signs:
            yield "".join(run)
            continue
        for name, same in groupby(run):
            many = len(list(same))
            yield (phrases.known(f"foil.{name}") or name) + (f" ×{many}" if many > 1 else "")


def _sign(foil: str) -> str:
    """What kind of single sign a foil is: a figure, a letter, or none ("")."""
    if len(foil) > 1:
        return ""
    return "figure" if foil.isdecimal() else "letter" * foil.isalpha()


def accents(wanted: Sequence[Accent], phrases: Phrases) -> str:
    """What dresses the pieces: "greenery and a sign, “Welcome”"."""
    return phrases.listed([_accent(one, phrases) for one in wanted])


def _accent(accent: Accent, phrases: Phrases) -> str:
    if accent.count is not None:
        shown = phrases.several(f"accent.{accent.kind}.counted", accent.count)
    else:
        shown = phrases.say(f"accent.{accent.kind}")
    return phrases.say("accent.words", accent=shown, words=accent.words) if accent.words else shown


def floating(many: int, phrases: Phrases) -> str:
    """How many balloons float."""
    return phrases.several("floating", many) if many else phrases.say("floating.some")


def celebrated(draft: Draft, text: str, phrases: Phrases) -> str:
    """What a client celebrates, in their own words where they are few, such as "your rowing club's
    50th", or "a wedding"."""
    own = sayings.celebrated(text, phrases.language)
    if own is not None:
        shown = phrases.say("celebrated.own", what=own)
    else:
        shown = phrases.known(f"celebrated.{draft.occasion}") or phrases.say("celebrated.event")
    return shown[:1].upper() + shown[1:]


def news(before: Draft, after: Draft, currency: str, phrases: Phrases) -> str:
    """What `after` says of the event that `before` did not; the pieces and the words aside."""
    say = phrases.say
    facts: dict[str, Callable[[Draft], str]] = {
        "event_date": lambda draft: _day(draft, phrases),
        "event_month": lambda draft: _day(draft, phrases),
        "start_time": lambda draft: _times(draft, phrases),
        "end_time": lambda draft: _times(draft, phrases),
        "setting": lambda draft: _where(_only_new(before, draft), phrases),
        "place": lambda draft: _where(_only_new(before, draft), phrases),
        "postal_code": lambda draft: _where(_only_new(before, draft), phrases),
        "colours": lambda draft: colours(draft.colours, phrases),
        "unwanted": lambda draft: say("news.unwanted", value=colours(draft.unwanted, phrases)),
        "accents": lambda draft: accents(draft.accents, phrases),
        "floating": lambda draft: floating(draft.floating or 0, phrases),
        "occasion": lambda draft: occasion(draft.occasion or "", phrases),
        "guests": lambda draft: phrases.several("guests", draft.guests or 0),
        "foils": lambda draft: foils(draft.foils, phrases),
        "fullness": lambda draft: say(f"fullness.{draft.fullness}"),
        "budget_min": lambda draft: _budget(draft, currency, phrases),
        "budget_max": lambda draft: _budget(draft, currency, phrases),
    }
    told = (
        show(after)
        for name, show in facts.items()
        if getattr(after, name) not in (None, (), "")
        and getattr(after, name) != getattr(before, name)
    )
    return "; ".join(dict.fromkeys(filter(None, told)))


def described(piece: Piece, fullness: str | None, phrases: Phrases) -> str:
    """One piece with its count, size and looks: "2 columns, 6 ft tall (a usual size), lush"."""
    say = phrases.say
    parts = [named(piece, phrases)]
    if not missing_measures(piece):
        parts.append(size_of(piece, phrases))
    if piece.support == "swag" and piece.length_m is not None:
        dip = phrases.length(piece.length_m * USUAL_SAG_OF_SPAN)
        parts.append(say("usual_dip", value=dip))
    if piece.support == "staircase" and piece.length_m is not None and piece.height_m is None:
        parts.append(say("usual_slope"))
    if piece.assumed:
        parts[-1] = f"{parts[-1]} ({say('assumed')})"
    text = ", ".join(filter(None, (*parts, looks(piece, fullness, phrases))))
    return text[0].upper() + text[1:]


def looks(piece: Piece, fullness: str | None, phrases: Phrases) -> str:
    """How full it is, where on the support it lies and how its colours follow one another."""
    say = phrases.say
    parts = []
    full = piece.fullness or fullness
    # A column is built of nested quads, which are neither airy nor lush.
    if full and piece.support != "column":
        parts.append(say(f"fullness.{full}"))
    if piece.placement not in (None, "whole"):
        parts.append(say(f"placement.{piece.placement}"))
    if piece.coverage is not None and piece.coverage < 1:
        parts.append(say("coverage", percent=round(piece.coverage * 100)))
    if piece.pattern not in (None, "mixed"):
        parts.append(say(f"pattern.{piece.pattern}"))
    return ", ".join(parts)


def named(piece: Piece, phrases: Phrases) -> str:
    """What it is called, with its number where there are several."""
    if piece.uncounted:
        return phrases.say(f"several.{piece.support or 'garland'}")
    return phrases.several(f"piece.{piece.support or 'garland'}", piece.count)


def called(piece: Piece, phrases: Phrases) -> str:
    """What it is called in a sentence: "the hoop", "the columns"."""
    return phrases.several(f"the.{piece.support or 'garland'}", how_many(piece))


def how_many(piece: Piece) -> int:
    """Its count; several where nobody has said how many."""
    return max(piece.count, 2) if piece.uncounted else piece.count


def size_of(piece: Piece, phrases: Phrases) -> str:
    """The measures that are known, such as "4 ft wide × 7 ft tall"; a hoop's is across."""
    say, length = phrases.say, phrases.measure
    if piece.support == "staircase" and piece.width_m is not None and piece.height_m is not None:
        run, rise = length(piece.width_m), length(piece.height_m)
        return f"{say('along', value=run)} × {say('high', value=rise)}"
    known = [(name, getattr(piece, name)) for name in _WAYS if getattr(piece, name) is not None]
    ways = {**_WAYS, "width_m": "across"} if piece.support == "hoop" else _WAYS
    return " × ".join(say(f"{ways[name]}", value=length(metres)) for name, metres in known)


def size_label(support: str, inches: Sequence[int], phrases: Phrases) -> str:
    """A size to choose, in the words of `size_of`."""
    return size_of(sized(Piece(support=support), tuple(inches)), phrases)


def _day(draft: Draft, phrases: Phrases) -> str:
    if draft.event_date is not None:
        return phrases.day(draft.event_date)
    if draft.event_month is None:
        return phrases.say("open")
    return phrases.say("month_open", month=phrases.month(draft.event_month))


def _times(draft: Draft, phrases: Phrases) -> str:
    if draft.start_time is None and draft.end_time is None:
        return phrases.say("open")
    if draft.end_time is None and draft.start_time is not None:
        return phrases.clock(draft.start_time)
    start = phrases.clock(draft.start_time) if draft.start_time else phrases.say("open")
    end = phrases.clock(draft.end_time) if draft.end_time else ""
    return phrases.say("time_range", start=start, end=end)


def _where(draft: Draft, phrases: Phrases) -> str:
    setting = phrases.say(draft.setting).lower() if draft.setting else None
    parts = [draft.place, draft.postal_code, setting]
    return ", ".join(part for part in parts if part) or phrases.say("open")


def _only_new(before: Draft, after: Draft) -> Draft:
    """`after` without what `before` said of the place already."""
    told = {name: getattr(after, name) for name in ("place", "postal_code", "setting")}
    same: dict[str, Any] = {
        name: None for name, value in told.items() if value == getattr(before, name)
    }
    return replace(after, **same)


def _budget(draft: Draft, currency: str, phrases: Phrases) -> str:
    low, high = draft.budget_min, draft.budget_max
    shown = {
        name: phrases.money(amount, currency)
        for name, amount in (("min", low), ("max", high))
        if amount is not None
    }
    name = "range" if len(shown) == 2 else next(iter(shown))
    return phrases.say(f"budget.{name}", **shown)
