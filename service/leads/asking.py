"""Questions to a client about what their brief leaves open, ready to be sent or changed."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.estimating import Brief, Estimate
from service.leads.lead import Lead
from service.leads.speech import msg
from service.leads.words import ENGLISH, Words

_MOST = 12


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """What could be asked: `about` names the gap, `text` is in the client's language."""

    about: str
    english: str
    text: str


def questions(lead: Lead, estimate: Estimate | None, words: Words) -> tuple[Question, ...]:
    """What is open, in the order in which the estimate tells of it; then what else would help."""
    taken = [each.field for each in estimate.assumptions] if estimate is not None else []
    asked: dict[str, Question] = {}
    for about in (*taken, *_missing(lead)):
        english = _said(about, lead.brief, ENGLISH)
        if english and english not in asked:
            text = _said(about, lead.brief, words) or english
            asked[english] = Question(about=about, english=english, text=text)
    return tuple(asked.values())[:_MOST]


def put_together(found: Iterable[Question]) -> str:
    """One message out of several questions."""
    texts = [each.text for each in found]
    return texts[0] if len(texts) == 1 else "\n".join(f"• {text}" for text in texts)


def _missing(lead: Lead) -> Iterator[str]:
    brief, client = lead.brief, lead.client
    if not (brief.site.place or brief.site.postal_code):
        yield "site.postal_code"
    if brief.event.end_time is None:
        yield "event.end_time"
    if brief.client_keeps is None:
        yield "client_keeps"
    if brief.budget is None:
        yield "budget"
    if not client.name:
        yield "client.name"
    if not (client.phone or client.email):
        yield "client.phone"


def _said(about: str, brief: Brief, words: Words) -> str | None:
    ask = _ASKED.get(re.sub(r"\[\d+\]", "[]", about))
    first, second, *_ = (*map(int, re.findall(r"\[(\d+)\]", about)), 0, 0)
    return ask(words, brief, first, second) if ask else None


_Ask = Callable[[Words, Brief, int, int], str | None]


def _plainly(text: str) -> _Ask:
    return lambda words, _brief, _first, _second: words.say(text)


def _of_piece(text: str) -> _Ask:
    def ask(words: Words, brief: Brief, first: int, _second: int) -> str:
        return words.say(text, piece=words.support(brief.pieces[first].support))

    return ask


def _accent(words: Words, brief: Brief, first: int, second: int) -> str:
    what = words.accent_kind(brief.pieces[first].accents[second].kind)
    return words.say("How much would you like of this: %(what)s?", what=what)


def _special(words: Words, brief: Brief, first: int, _second: int) -> str:
    return words.say(
        "“%(color)s” is a special order. Would a color that we keep do as well?",
        color=brief.palette[first].colour,
    )


def _day(words: Words, brief: Brief, _first: int, _second: int) -> str | None:
    # With a date it is about goods that come too late, which is for the owner.
    return words.say("Which day is it?") if brief.event.date is None else None


def _place(words: Words, brief: Brief, _first: int, _second: int) -> str:
    said = brief.site.place or brief.site.postal_code
    if not said:
        return words.say("Where is it? The ZIP code is enough.")
    return words.say("We couldn't find “%(place)s”. What is its ZIP code?", place=said)


_ASKED: Mapping[str, _Ask] = {
    "pieces[]": _of_piece(msg("How big is the %(piece)s, in feet?")),
    "pieces[].steps": _of_piece(msg("How long is the handrail of the stairs, in feet?")),
    "pieces[].coverage": _of_piece(
        msg("How much of the %(piece)s should carry balloons: all of it, or a part?")
    ),
    "pieces[].accents[]": _accent,
    "palette": _plainly(msg("Which colors would you like?")),
    "palette[]": _special,
    "event.date": _day,
    "event.start_time": _plainly(msg("When does it start?")),
    "event.end_time": _plainly(msg("Until when does it last?")),
    "site.setting": _plainly(msg("Is it indoors or outdoors?")),
    "site.postal_code": _place,
    "site.place": _plainly(msg("Does the place allow latex balloons?")),
    "site.ground": _plainly(msg("What will it stand on: grass, paving or a floor?")),
    "client_keeps": _plainly(
        msg("Would you like to keep the balloons afterwards, or shall we take them away?")
    ),
    "budget": _plainly(msg("Is there a budget that we should keep to?")),
    "client.name": _plainly(msg("What is your name?")),
    "client.phone": _plainly(msg("What is the best number to reach you on?")),
}
