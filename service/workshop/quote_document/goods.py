"""What a client gets, beside the pieces: foils, what floats, what is included."""

from collections.abc import Iterator

from service.estimating import WIND_CAUTION, Wind
from service.leads.assumed import assumed
from service.leads.speech import msg
from service.leads.words import Words
from service.workshop.quote_document.case import Case
from service.workshop.quote_document.values import Section

_RESTS_ON, _WOULD_CHANGE = msg("What this rests on"), msg("What would change the price")


def others(case: Case) -> Iterator[str]:
    """Foils and what floats."""
    words, brief = case.words, case.quote.brief
    if brief.foils:
        yield words.say("Foil balloons, filled with air: %(foils)s", foils=words.foils(brief.foils))
    yield from map(words.floating, brief.floating)


def included(case: Case) -> Iterator[str]:
    """How many balloons, and what is done for the price."""
    words, brief = case.words, case.quote.brief
    count = words.about(case.quote.estimate.balloons_total)
    if brief.floating:
        yield words.say(
            "About %(count)s balloons on the garlands, filled with plain air.", count=count
        )
    else:
        yield words.say("About %(count)s balloons in all, filled with plain air.", count=count)
    yield words.say("A few may change place or size while it is built.")
    if brief.client_keeps:
        yield words.say(
            "Bringing it and setting it up are included; afterwards the balloons are yours to keep."
        )
    else:
        yield words.say("Bringing it, setting it up and taking it down are included.")


def open_points(case: Case) -> Section | None:
    """What was taken for granted; None where nothing was."""
    words, quote = case.words, case.quote
    points = assumed(words, quote.brief, quote.estimate, case.book)
    if not points:
        return None
    if case.firm:
        return Section(title=words.say(_RESTS_ON), intro="", points=points)
    intro = words.say("You left a few things open. Tell us more, and the range gets narrower.")
    return Section(title=words.say(_WOULD_CHANGE), intro=intro, points=points)


def cautions(case: Case) -> Iterator[str]:
    """What is to be minded, the gravest first."""
    words, estimate = case.words, case.quote.estimate
    yield from (words.text(caution.text) for caution in estimate.cautions)
    if estimate.wind is not None:
        # What the shop lacks for it is between the shop and its desk.
        yield f"{words.text(WIND_CAUTION)} {_comes_down(estimate.wind, words)}"


def _comes_down(wind: Wind, words: Words) -> str:
    act = words.mph(wind.act_at_m_s)
    if wind.act_at_m_s >= wind.gust_m_s:
        return words.say(
            "With gusts from %(speed)s on it is not put up, or is taken down.", speed=act
        )
    return words.say(
        "What counts on the day: with gusts from %(speed)s on it is not put up, or is taken down, "
        "although the weights are for %(gust)s.",
        speed=act,
        gust=words.mph(wind.gust_m_s),
    )
