"""What was taken for granted, as a client is told of it: what they could still say, in plain words.

An estimate names each gap by its field. What it says of it there is for the owner; notes of the
workshop, such as what has to be hired, are not for clients at all.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from service.estimating import Brief, Estimate, PriceBook
from service.leads.words import Words


@dataclass(frozen=True, kw_only=True, slots=True)
class _Case:
    """What a text may go by; `index` and `second` are the numbers in the field's name."""

    words: Words
    brief: Brief
    estimate: Estimate
    book: PriceBook
    index: int = 0
    second: int = 0

    @property
    def piece(self) -> str:
        """The name of the piece that the field is of."""
        return self.words.support(self.brief.pieces[self.index].support)


_Told = Iterator[str]


def assumed(words: Words, brief: Brief, estimate: Estimate, book: PriceBook) -> tuple[str, ...]:
    """Lines for the client, what moves the price most first."""
    weights = {driver.name: driver.share for driver in estimate.drivers}
    fields = dict.fromkeys(each.field for each in estimate.assumptions)
    case = _Case(words=words, brief=brief, estimate=estimate, book=book)
    lines = [
        (weights.get(_DRIVERS.get(_shape(field), ""), 0.0), line)
        for field in fields
        for line in _lines(field, case)
    ]
    # Several pieces may lack the same.
    return tuple(dict.fromkeys(line for _, line in sorted(lines, key=lambda each: -each[0])))


def _lines(field: str, case: _Case) -> _Told:
    tell = _TEXTS.get(_shape(field))
    if tell is not None:
        first, second, *_ = (*map(int, re.findall(r"\[(\d+)\]", field)), 0, 0)
        yield from tell(replace(case, index=first, second=second))


def _shape(field: str) -> str:
    """ "pieces[].accents[]" of "pieces[0].accents[2]"."""
    return re.sub(r"\[\d+\]", "[]", field)


def _size(case: _Case) -> _Told:
    if case.brief.pieces[case.index].measures_assumed:
        yield case.words.say(
            "the real size of the %(piece)s: we took a usual one", piece=case.piece
        )


def _steps(case: _Case) -> _Told:
    steps = case.brief.pieces[case.index].steps
    yield case.words.say(
        "the real size of the stairs: we counted %(steps)s steps, as steep as in a house",
        steps=steps,
    )


def _unused_measure(case: _Case) -> _Told:
    yield case.words.say("one of the measures of the %(piece)s was not needed", piece=case.piece)


def _one_size(case: _Case) -> _Told:
    yield case.words.say(
        "the %(piece)s is built of balloons of one size, so it can't be airier or fuller",
        piece=case.piece,
    )


def _mixed_sizes(case: _Case) -> _Told:
    yield case.words.say(
        "the %(piece)s mixes balloon sizes, so a single size was left aside", piece=case.piece
    )


def _coverage(case: _Case) -> _Told:
    counted = case.estimate.pieces[case.index]
    covered = sum(end - start for start, end in counted.runs) / counted.path_length_m
    yield case.words.say(
        "how much of the %(piece)s is covered: we took %(share)s",
        piece=case.piece,
        share=case.words.percent(covered),
    )


def _accent(case: _Case) -> _Told:
    accent = case.brief.pieces[case.index].accents[case.second]
    what = case.words.accent_kind(accent.kind)
    yield case.words.say("%(what)s: we took the usual number", what=what)


def _colours(case: _Case) -> _Told:
    wanted = case.brief.palette
    used = {line.colour for line in case.estimate.spares}
    if not wanted:
        yield case.words.say(
            "the colors: we took %(colors)s for now", colors=case.words.colours(sorted(used))
        )
        return
    stock = {each.colour: case.book.colour(each.colour) for each in wanted}
    names = (known.name if known else name for name, known in stock.items())
    left_out = [name for name in names if name not in used]
    if left_out:
        yield case.words.say(
            "fewer colors: there are too few balloons for %(colors)s",
            colors=case.words.colours(left_out),
        )
    said = [each.share for each in wanted if each.share is not None]
    if len(said) == len(wanted) and sum(said) < 0.995:
        yield case.words.say(
            "the shares of the colors: they came to %(share)s, and we scaled them up",
            share=case.words.percent(sum(said)),
        )


def _special_order(case: _Case) -> _Told:
    colour = case.brief.palette[case.index].colour
    yield case.words.say("a color from stock: “%(color)s” is a special order", color=colour)


def _letters(case: _Case) -> _Told:
    word = case.brief.foils[case.index]
    letters = sum(map(str.isalpha, word))
    yield case.words.say(
        "“%(word)s” is spelled with %(letters)s foil letters", word=word, letters=letters
    )


def _date(case: _Case) -> _Told:
    # With a date it is about goods that come too late, which is for the owner.
    if case.brief.event.date is None:
        yield case.words.say("the day: weekends and short notice cost a little more")


def _start(case: _Case) -> _Told:
    yield case.words.say("the starting time: we took our usual set-up hours")


def _setting(case: _Case) -> _Told:
    yield case.words.say("indoors or outdoors: we took indoors")


def _place(case: _Case) -> _Told:
    site = case.brief.site
    said = ", ".join(filter(None, (site.place, site.postal_code)))
    if said:
        yield case.words.say(
            "the place: we couldn't find “%(place)s” on the map, so the drive is a guess",
            place=said,
        )
    else:
        yield case.words.say("the place: the drive is a guess for now")


def _far(case: _Case) -> _Told:
    yield case.words.say(
        "the way: it is outside our usual area, so %(owner)s has the last word",
        owner=case.book.shop.owner,
    )


def _care(case: _Case) -> _Told:
    yield case.words.say("foil in place of latex: a place of care may ask for it")


def _weather(case: _Case) -> _Told:
    yield case.words.say("how warm it will be: we took mild weather")


def _wind(case: _Case) -> _Told:
    wind = case.estimate.wind
    if wind is not None:
        yield case.words.say(
            "the wind: the weights are for gusts of %(speed)s", speed=case.words.mph(wind.gust_m_s)
        )


def _ground(case: _Case) -> _Told:
    yield case.words.say("what it stands on: we took grass")


def _floats(case: _Case) -> _Told:
    yield case.words.say("outdoors helium balloons float for less time than indoors")


def _keeps(case: _Case) -> _Told:
    yield case.words.say("who keeps the helium balloons: we counted on taking them away")


_TEXTS: Mapping[str, Callable[[_Case], _Told]] = {
    "pieces[]": _size,
    "pieces[].steps": _steps,
    **{
        f"pieces[].{name}_m": _unused_measure
        for name in ("width", "height", "length", "sag", "rise", "run", "drop")
    },
    "pieces[].fullness": _one_size,
    "pieces[].size_class": _mixed_sizes,
    "pieces[].sized_m": _mixed_sizes,
    "pieces[].coverage": _coverage,
    "pieces[].accents[]": _accent,
    "palette": _colours,
    "palette[]": _special_order,
    "foils[]": _letters,
    "event.date": _date,
    "event.start_time": _start,
    "site.setting": _setting,
    "site.postal_code": _place,
    "site": _far,
    "site.place": _care,
    "site.temperature_c": _weather,
    "site.gust_m_s": _wind,
    "site.ground": _ground,
    "floating": _floats,
    "client_keeps": _keeps,
}

_DRIVERS: Mapping[str, str] = {
    "pieces[]": "size not measured",
    "palette": "colors not chosen",
    "site.setting": "indoors or outdoors",
    "event.date": "date not set",
    "site.postal_code": "distance not known",
}
"""The estimate's names of what these gaps add to the range."""
