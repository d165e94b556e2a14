"""What a quote says to its client, on its page and on paper."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from service.estimating import Event, Floating, FloatKind, Setting, Site
from service.leads.agreements import Clauses
from service.leads.lead import LeadState, PriceLine, QuoteKind
from service.leads.pictures import alt_of
from service.leads.words import ENGLISH
from service.workshop.quote_document import Standing
from tests.service.building import a_brief
from tests.service.workshop.quotes_told import ANNIVERSARY, LINK, QUOTED, a_hold, a_quote, told

FIRM: dict[str, Any] = dict.fromkeys(("low", "likely", "high"), Decimal(640)) | {
    "kind": QuoteKind.FIRM,
    "note": "I measured the landing: it fits.",
}
OUTDOORS = Site(setting=Setting.OUTDOOR, place="landing", latitude=42.37, longitude=-71.18)
CLAUSES = Clauses(terms="What is lost is paid for.", weather="A storm has a say.")


def test_a_ballpark_is_a_range_that_the_owner_confirms() -> None:
    quote = a_quote()
    said = told(quote)
    assert (said.title, said.price) == ("Your ballpark", f"${quote.low:.0f} to ${quote.high:.0f}")
    assert said.about == (
        f"Most likely around ${quote.likely:.0f} (no sales tax is added).",
        "Ida Marsh confirms the final price.",
    )
    assert said.costs is not None
    assert said.costs.total == ("Most likely", f"${quote.likely:.0f}")
    assert said.costs.deposit.startswith(f"The deposit is ${quote.deposit:.0f};")
    assert said.good_until == "This ballpark is good until Sunday, January 24, 2027."
    assert said.note is None


def test_a_firm_price_is_one_figure_with_the_owners_word_and_own_lines() -> None:
    lines = (
        PriceLine(label="Building it beforehand", amount=Decimal(600)),
        PriceLine(label="Early access", amount=Decimal(40)),
    )
    said = told(a_quote(**FIRM, lines=lines), language="es")
    assert (said.title, said.price) == ("Tu precio", "$640")
    assert said.note == "I measured the landing: it fits."
    assert said.costs is not None
    # What is not the owner's own is in the client's language.
    assert said.costs.lines == (("Armarlo antes", "$600"), ("Early access", "$40"))
    assert said.costs.total == ("Tu precio", "$640")


@pytest.mark.parametrize(
    ("occasion", "language", "heading"),
    [
        ("anniversary", "en", "Balloons for an anniversary"),
        ("anniversary", "es", "Globos para un aniversario"),
        ("other", "en", "Your balloons"),
        ("a boat's christening", "en", "Your balloons"),
        (None, "es", "Tus globos"),
    ],
)
def test_it_says_what_it_is_for(occasion: str | None, language: str, heading: str) -> None:
    event = replace(ANNIVERSARY.event, occasion=occasion)
    assert told(a_quote(replace(ANNIVERSARY, event=event)), language=language).heading == heading


def test_it_says_for_whom_where_that_is_known() -> None:
    assert told(a_quote()).addressee == "For Nora Finch"
    assert told(a_quote(), replace(QUOTED, addressee=None)).addressee is None


def test_where_and_when_are_said_as_far_as_they_are_known() -> None:
    assert dict(told(a_quote()).facts) == {
        "When": "Sunday, June 6, 2027, starts 3:00\u00a0PM",
        "Where": "boathouse hall, indoors",
    }
    nothing = a_brief(event=Event(), site=Site())
    facts = dict(told(a_quote(nothing)).facts)
    assert facts == {"When": "no day chosen yet", "Where": "not said yet"}


def test_a_time_that_is_kept_is_told_with_set_up_and_taking_down() -> None:
    hold = a_hold()
    said = told(a_quote(), replace(QUOTED, state=LeadState.HELD, hold=hold))
    assert said.kept == "Your set-up time is held: Sunday, June 6, 2027, 9:00\u00a0AM."
    facts = dict(said.facts)
    assert facts["Set-up"] == "we arrive at 9:00\u00a0AM and are ready by 11:00\u00a0AM"
    assert facts["Taken down"] == "We agree with you on when we take it down."
    agreed = replace(QUOTED, state=LeadState.BOOKED, hold=hold, strikes_at=hold.stay.strikes_at)
    said = told(a_quote(), agreed)
    assert said.kept is not None
    assert said.kept.startswith("Your set-up time is booked:")
    assert dict(said.facts)["Taken down"] == "Sunday, June 6, 2027, 8:00\u00a0PM"


def test_balloons_that_stay_are_not_taken_down() -> None:
    stay = replace(a_hold().stay, struck_at=a_hold().stay.strikes_at)
    standing = replace(QUOTED, state=LeadState.HELD, hold=a_hold(stay=stay))
    assert "Taken down" not in dict(told(a_quote(), standing).facts)


def test_it_tells_how_to_book_while_that_is_possible() -> None:
    deposit = f"A deposit of ${a_quote().deposit:.0f}, which is part of the price, turns it into a"
    open_ = told(a_quote())
    assert "Pick a set-up time" in open_.booking[0]
    assert open_.paying.startswith(f"{deposit} booking. You can pay by")
    held = told(a_quote(), replace(QUOTED, state=LeadState.HELD, hold=a_hold()))
    assert "Pick a set-up time" not in " ".join(held.booking)
    until = "Your set-up time is kept until Tuesday, January 12, 2027, 12:00\u00a0PM."
    assert held.booking[1] == until
    assert held.paying == open_.paying
    booked = told(a_quote(), replace(QUOTED, state=LeadState.BOOKED, hold=a_hold()))
    assert booked.paying == ""
    assert booked.titles.booking == "Your booking"
    assert "This ballpark is good until" not in " ".join(booked.terms)


@pytest.mark.parametrize(
    ("standing", "said"),
    [
        (Standing(state=LeadState.DECLINED, canceled=True), "This booking was canceled."),
        (Standing(state=LeadState.DECLINED), "We had to say no to this one"),
        (Standing(state=LeadState.LAPSED), "This price has run out."),
        (Standing(state=LeadState.LAPSED, newer="G1007"), "You asked again since, as G1007"),
    ],
)
def test_a_price_that_stands_no_more_says_so_and_leads_nowhere(
    standing: Standing, said: str
) -> None:
    document = told(a_quote(), replace(standing, link=LINK))
    assert document.notice is not None
    assert document.notice.startswith(said)
    assert document.link is None
    assert document.booking == ()


def test_a_draft_promises_nothing() -> None:
    document = told(a_quote(sent_at=None), Standing(state=LeadState.REVIEW))
    assert document.notice is not None
    assert document.notice.startswith("This is a draft")
    assert document.booking == ()
    assert told(a_quote()).notice is None


def test_goods_are_told_in_words_with_their_colours() -> None:
    float_ = Floating(kind=FloatKind.LATEX, size_class=11, count=12)
    brief = replace(ANNIVERSARY, foils=("5", "0", "star"), floating=(float_,))
    said = told(a_quote(brief), language="es")
    assert said.pieces[0].text.startswith("marco de arco")
    assert ("verde salvia", "#A9B79A") in [(row.colour, row.hex) for row in said.totals.rows]
    assert said.others[0] == "Globos metalizados, inflados con aire: 50 y estrella"
    assert "12" in said.others[1]
    kept = told(a_quote(replace(ANNIVERSARY, client_keeps=True)))
    assert "yours to keep" in kept.included


def test_a_colour_that_the_shop_does_not_keep_is_said_to_be_a_stand_in() -> None:
    shares = tuple(replace(share, colour="river mist") for share in ANNIVERSARY.palette[:1])
    quote = a_quote(replace(ANNIVERSARY, palette=shares))
    said = told(quote)
    (row,) = said.totals.rows
    # Nobody can tell its shade from such a name.
    assert (row.colour, row.hex) == ("river mist", None)
    assert said.stand_in == (
        "We don't keep river mist in stock, so the picture shows a stand-in: Ida Marsh will see to "
        "the right shade."
    )
    assert alt_of(quote, ENGLISH).endswith("Drawn in a stand-in shade: river mist.")
    assert told(a_quote()).stand_in == ""


def test_balloons_are_counted_by_colour_and_size() -> None:
    quote = a_quote()
    totals = told(quote).totals
    assert totals.head == "Color"
    assert all(len(row.counts) == len(totals.sizes) for row in totals.rows)
    counted = sum(each.count for piece in quote.estimate.pieces for each in piece.balloons)
    assert sum(sum(row.counts) for row in totals.rows) == counted


def test_a_firm_price_comes_to_a_sum_with_its_tax() -> None:
    quote = a_quote(replace(ANNIVERSARY, client_keeps=True), **FIRM)
    costs = told(quote).costs
    assert costs is not None
    (_, tax), (_, whole) = costs.taxed
    assert Decimal(whole[1:]) == Decimal(640) + Decimal(tax[1:])
    assert costs.tax == ""
    assert f"{tax} sales tax: {whole} in all" in told(quote).about[-1]


def test_a_letter_thanks_and_is_signed_while_the_price_stands() -> None:
    ballpark, firm = told(a_quote()), told(a_quote(**FIRM), language="es")
    assert ballpark.thanks.startswith("Thank you for asking us!")
    assert (ballpark.closing.endswith("yet."), ballpark.owner) == (True, "Ida Marsh")
    assert (firm.thanks[:9], firm.closing[:9]) == ("¡Gracias ", "Nos encan")
    booked = told(a_quote(), replace(QUOTED, state=LeadState.DONE, hold=a_hold()))
    assert booked.closing == "We hope it was a lovely day."
    gone = told(a_quote(), Standing(state=LeadState.LAPSED))
    assert (gone.thanks, gone.closing) == ("", "")


def test_the_gust_that_counts_is_told_from_that_of_the_weights() -> None:
    said = told(a_quote(replace(ANNIVERSARY, site=OUTDOORS))).cautions[-1]
    assert "What counts on the day: with gusts from" in said
    assert said.endswith("although the weights are for 15 mph.")


def test_the_weather_has_a_say_only_outdoors() -> None:
    standing = replace(QUOTED, clauses=CLAUSES)
    indoors = told(a_quote(), standing).conditions
    assert (indoors.terms, indoors.weather) == ("What is lost is paid for.", "")
    outdoors = told(a_quote(replace(ANNIVERSARY, site=OUTDOORS)), standing)
    assert outdoors.conditions.weather == "A storm has a say."
    assert any("gusts from" in caution for caution in outdoors.cautions)


def test_what_can_kill_is_said_first() -> None:
    assert told(a_quote()).cautions[0].startswith("WARNING: CHOKING HAZARD")
    assert told(a_quote(), language="es").cautions[0].startswith("ADVERTENCIA: PELIGRO DE ASFIXIA")


def test_what_was_left_open_is_said_as_the_price_has_it() -> None:
    unknown = a_brief(event=Event(), site=Site())
    open_ = told(a_quote(unknown)).open_points
    assert open_ is not None
    assert open_.title == "What would change the price"
    assert open_.intro
    firm = told(a_quote(unknown, **FIRM)).open_points
    assert firm is not None
    assert (firm.title, firm.intro) == ("What this rests on", "")
    assert firm.points == open_.points
