"""How a quote begins: for what and whom, how it stands, the price in figures, where and when."""

from collections.abc import Iterator

from service.estimating import Setting
from service.leads import vocabulary
from service.leads.lead import LeadState
from service.leads.phrasing import firm_tax
from service.leads.speech import msg
from service.workshop.quote_document.case import Case

_PRICE, _BALLPARK = msg("Your price"), msg("Your ballpark")
_NO_NAME = "other"


def heading(case: Case) -> str:
    """ "Balloons for an anniversary"."""
    occasion = case.quote.brief.event.occasion
    named = vocabulary.OCCASIONS.get(occasion or _NO_NAME)
    if named is None or occasion in (None, _NO_NAME):
        return case.words.say("Your balloons")
    return case.words.say("Balloons for %(occasion)s", occasion=case.words.say(named))


def addressee(case: Case) -> str | None:
    """ "For Nora Finch"; None where nobody gave a name."""
    name = case.standing.addressee
    return case.words.say("For %(name)s", name=name) if name else None


def notice(case: Case) -> str | None:
    """Why the price does not stand, or not yet; None where it does."""
    words, standing = case.words, case.standing
    if not case.sent:
        return words.say("This is a draft: it has not been sent, and nothing is promised by it.")
    if standing.state is LeadState.DECLINED and standing.canceled:
        return words.say(
            "This booking was canceled. If you'd like another one, please write or call."
        )
    if standing.state is LeadState.DECLINED:
        return words.say("We had to say no to this one, so this price no longer stands.")
    if standing.newer is not None:
        return words.say(
            "You asked again since, as %(number)s, which takes the place of this price.",
            number=standing.newer,
        )
    if standing.state is LeadState.LAPSED:
        return words.say("This price has run out. Write to us and you'll have a fresh one.")
    return None


def kept(case: Case) -> str | None:
    """Which time is held or booked."""
    hold = case.standing.hold
    if hold is None:
        return None
    when = case.words.moment(case.local(hold.window.starts_at))
    if case.booked:
        return case.words.say("Your set-up time is booked: %(when)s.", when=when)
    return case.words.say("Your set-up time is held: %(when)s.", when=when)


def title(case: Case) -> str:
    """ "Your price"."""
    return case.words.say(_PRICE if case.firm else _BALLPARK)


def price(case: Case) -> str:
    """ "$640", or "$510 to $690"."""
    quote = case.quote
    if case.firm:
        return case.money(quote.likely)
    return case.words.say(
        "%(low)s to %(high)s", low=case.money(quote.low), high=case.money(quote.high)
    )


def about(case: Case) -> Iterator[str]:
    """Sentences on the price: whose word it is, what is likely, the tax."""
    words, owner = case.words, case.owner
    if case.firm:
        tax = firm_tax(case.quote, words)
        yield words.say("%(owner)s has looked at it and stands behind it.", owner=owner)
        yield f"{tax[:1].upper()}{tax[1:]}."
        return
    tax = words.tax(case.quote.estimate.price, case.quote.likely)
    yield words.say(
        "Most likely around %(likely)s (%(tax)s).", likely=case.money(case.quote.likely), tax=tax
    )
    yield words.say("%(owner)s confirms the final price.", owner=owner)


def facts(case: Case) -> Iterator[tuple[str, str]]:
    """When and where, for how many, and when we come, by their labels."""
    words, event = case.words, case.quote.brief.event
    yield words.say("When"), ", ".join(_when(case))
    yield words.say("Where"), ", ".join(_where(case))
    if event.guests:
        yield words.say("Guests"), words.number(event.guests)
    hold = case.standing.hold
    if hold is None:
        return
    starts, ends = case.local(hold.window.starts_at), case.local(hold.window.ends_at)
    yield (
        words.say("Set-up"),
        words.say(
            "we arrive at %(arrive)s and are ready by %(ready)s",
            arrive=words.clock(starts.time()),
            ready=words.clock(ends.time()),
        ),
    )
    if hold.stay.strikes_at < hold.stay.struck_at:
        yield words.say("Taken down"), _taken_down(case)


def _when(case: Case) -> Iterator[str]:
    words, starts = case.words, case.quote.brief.event.start_time
    yield words.day(case.day) if case.day else words.say("no day chosen yet")
    if starts is not None:
        yield words.say("starts %(time)s", time=words.clock(starts))


def _where(case: Case) -> Iterator[str]:
    words, site = case.words, case.quote.brief.site
    said = [part for part in (site.place, site.postal_code) if part]
    yield from said or [words.say("not said yet")]
    if site.setting is Setting.INDOOR:
        yield words.say("indoors")
    elif site.setting is not None:
        yield words.say("outdoors")


def _taken_down(case: Case) -> str:
    strikes_at = case.standing.strikes_at
    if strikes_at is None:
        return case.words.say("We agree with you on when we take it down.")
    return case.words.moment(case.local(strikes_at))
