"""What the shop says to a client, over real estimates and the shipped catalogues."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    Budget,
    ColourShare,
    Event,
    Floating,
    FloatKind,
    Fullness,
    Option,
    Piece,
    Placement,
    Setting,
    Site,
    Support,
    estimate,
    options,
)
from service.leads import wording
from service.leads.assumed import assumed
from service.leads.differing import changes
from service.leads.lead import Client, Hold, Lead, LeadState, Quote, QuoteKind, Stay, Window
from service.leads.messages import Message
from service.leads.shop_time import zone_of
from service.leads.words import Words
from service.storage.price_book import PriceBookFile
from service.wording import load
from tests.service.building import PRICE_BOOK, a_brief

TODAY = date(2027, 1, 10)
NOON = datetime(2027, 1, 10, 17, tzinfo=UTC)
BOOK = PriceBookFile(PRICE_BOOK).current()
WORDING = load(None)
EN, ES = WORDING.in_language("en"), WORDING.in_language("es")
KNOWN = Site(setting=Setting.INDOOR, place="boathouse hall", latitude=42.37, longitude=-71.18)
ANNIVERSARY = a_brief(site=KNOWN)


def a_lead(brief: Brief) -> Lead:
    return Lead(
        id="lead",
        number="G1001",
        state=LeadState.NEW,
        channel="webchat",
        chat_id="chat",
        language="en",
        client=Client(),
        brief=brief,
        created_at=NOON,
    )


def a_quote(brief: Brief, kind: QuoteKind = QuoteKind.BALLPARK) -> Quote:
    answer = estimate(brief, BOOK, today=TODAY)
    return Quote(
        id="quote",
        lead_id="lead",
        number="G1001-1",
        kind=kind,
        brief=brief,
        estimate=answer,
        low=answer.price.low,
        likely=answer.price.likely,
        high=answer.price.high,
        currency="USD",
        deposit=answer.price.deposit,
        created_at=NOON,
        expires_at=NOON + timedelta(days=14),
    )


def ballpark(brief: Brief, words: Words = EN, **more: Any) -> Message:
    links = {"url": "https://shop.example/q", "booking_url": "https://shop.example/b"} | more
    return wording.ballpark(a_lead(brief), a_quote(brief), BOOK, words, **links)


def firm(brief: Brief, words: Words = EN) -> Message:
    quote = a_quote(brief, QuoteKind.FIRM)
    links: dict[str, Any] = {
        "url": "https://shop.example/q",
        "booking_url": "https://shop.example/b",
    }
    return wording.firm(quote, BOOK, words, **links)


def bullets(text: str, under: str) -> list[str]:
    """The lines of the list that begins with these words."""
    (paragraph,) = [each for each in text.split("\n\n") if each.startswith(under)]
    return [line.removeprefix("• ") for line in paragraph.splitlines()[1:]]


def test_the_range_comes_first_and_what_is_in_it_next() -> None:
    first, second, *_ = ballpark(ANNIVERSARY).text.split("\n\n")
    assert re.fullmatch(
        r"Your ballpark is \$\d+ to \$\d+\.\nMost likely around \$\d+ \(no sales tax is added\)\.",
        first,
    )
    assert second.startswith("Included, ready before your guests arrive and taken down afterwards:")
    assert bullets(ballpark(ANNIVERSARY).text, "Included")[0] == (
        "round-top frame, 4 ft wide and 7 ft tall, full"
    )


def test_spanish_says_the_same_in_feet_and_dollars() -> None:
    text = ballpark(ANNIVERSARY, ES).text
    assert re.match(r"Tu precio aproximado es de \$\d+ a \$\d+\.\n", text)
    assert "• marco de arco, 4 pies de ancho y 7 pies de alto, estilo lleno" in text
    assert "globos en verde salvia, crema y dorado" in text
    assert "vale hasta el domingo, 24 de enero de 2027." in text


def test_a_colour_that_the_shop_does_not_keep_is_drawn_as_a_stand_in_and_said_so() -> None:
    odd = replace(ANNIVERSARY, palette=(ColourShare(colour="river mist"),))
    assert "We don't keep river mist in stock, so the picture shows" in ballpark(odd).text
    assert "la imagen muestra un tono provisional: Ida Marsh se" in ballpark(odd, ES).text
    assert "stand-in" not in ballpark(ANNIVERSARY).text


def test_at_most_three_open_points_are_said_what_moves_the_price_most_first() -> None:
    bare = Brief(
        pieces=(
            Piece(
                support=Support.ROUND_TOP_FRAME, width_m=1.2, height_m=2.1, measures_assumed=True
            ),
        ),
    )
    found = bullets(ballpark(bare).text, "What would change the price")
    assert len(found) == 3
    assert found[0] == "the real size of the round-top frame: we took a usual one"
    shares = [driver.name for driver in estimate(bare, BOOK, today=TODAY).drivers]
    assert shares.index("size not measured") < shares.index("indoors or outdoors")


def test_where_nothing_is_open_it_does_not_ask_for_more() -> None:
    text = ballpark(ANNIVERSARY).text
    assert "You've told us all that matters" in text
    assert "narrower" not in text


@pytest.mark.parametrize(
    ("rate", "said"),
    [
        ("0", r"The price is \$\d+; no sales tax is added\."),
        ("0.06", r"\$\d+, plus \$[\d.]+ sales tax: \$[\d.]+ in all\."),
    ],
)
def test_a_firm_price_says_of_the_tax_in_one_sentence(rate: str, said: str) -> None:
    quote = a_quote(a_brief(), QuoteKind.FIRM)
    price = replace(
        quote.estimate.price,
        tax_rate=Decimal(rate),
        taxable_share=Decimal(1),
        tax_included=False,
    )
    quote = replace(quote, estimate=replace(quote.estimate, price=price))
    text = wording.firm(quote, BOOK, EN, url="https://shop.example/q", booking_url=None).text
    assert re.search(said, text)


def test_a_firm_price_does_not_promise_a_narrower_range() -> None:
    for words in (EN, ES):
        text = firm(a_brief(event=Event(), palette=()), words).text
        assert "narrower" not in text
        assert "afinamos" not in text


# Three frames of a size that the shop has not, one side of each, letters, and a place of care.
EVERYTHING_ODD = Brief(
    pieces=(
        Piece(
            support=Support.ROUND_TOP_FRAME,
            count=3,
            width_m=1.0,
            height_m=2.0,
            placement=Placement.ASYMMETRIC,
            accents=(Accent(kind=AccentKind.FABRIC_COVER), Accent(kind=AccentKind.FLOWERS)),
        ),
        Piece(support=Support.COLUMN, height_m=1.8, fullness=Fullness.LUSH),
        Piece(support=Support.STAIRCASE, steps=12, size_class=10),
        Piece(support=Support.HOOP, width_m=1.8, height_m=1.0),
    ),
    palette=(ColourShare(colour="grey", share=0.4), ColourShare(colour="tiger", share=0.4)),
    site=Site(setting=Setting.OUTDOOR, place="the hospital lawn"),
    foils=("LOVE", "5"),
    floating=(Floating(kind=FloatKind.LATEX, size_class=11, count=6),),
)


def test_every_gap_has_words_for_the_client_and_notes_of_the_workshop_have_none() -> None:
    answer = estimate(EVERYTHING_ODD, BOOK, today=TODAY)
    assert any("to hire" in each.text for each in answer.assumptions)
    said = assumed(EN, EVERYTHING_ODD, answer, BOOK)
    together = "\n".join(said)
    assert "hire" not in together
    assert "asymmetric" not in together
    for expected in (
        "the day: weekends and short notice cost a little more",
        "the starting time: we took our usual set-up hours",
        "how much of the round-top frame is covered: we took ",
        "flowers: we took the usual number",
        "the column is built of balloons of one size, so it can't be airier or fuller",
        "the real size of the stairs: we counted 12 steps, as steep as in a house",
        "the staircase garland mixes balloon sizes, so a single size was left aside",
        "one of the measures of the hoop was not needed",
        "a color from stock: “tiger” is a special order",
        "the shares of the colors: they came to 80%, and we scaled them up",
        "“LOVE” is spelled with 4 foil letters",
        "the place: we couldn't find “the hospital lawn” on the map, so the drive is a guess",
        "foil in place of latex: a place of care may ask for it",
        "how warm it will be: we took mild weather",
        "the wind: the weights are for gusts of 15 mph",
        "what it stands on: we took grass",
        "outdoors helium balloons float for less time than indoors",
        "who keeps the helium balloons: we counted on taking them away",
    ):
        assert expected in together
    assert len(assumed(ES, EVERYTHING_ODD, answer, BOOK)) == len(said)


def test_what_several_pieces_lack_is_said_once() -> None:
    flowers = (Accent(kind=AccentKind.FLOWERS),)
    pieces = (replace(FRAME, accents=flowers), replace(WALL, accents=flowers))
    brief = Brief(pieces=pieces, palette=ANNIVERSARY.palette, site=KNOWN)
    said = assumed(EN, brief, estimate(brief, BOOK, today=TODAY), BOOK)
    assert said.count("flowers: we took the usual number") == 1
    assert len(set(said)) == len(said)


def test_the_spelling_is_that_of_the_united_states() -> None:
    assert (
        "in gray and gold"
        in ballpark(a_brief(palette=(ColourShare(colour="grey"), ColourShare(colour="gold")))).text
    )


def test_over_the_budget_it_says_so_kindly_and_lists_what_fits() -> None:
    wish = a_brief(site=KNOWN, budget=Budget(max=Decimal(275)))
    found = options(wish, BOOK, today=TODAY)
    message = ballpark(wish, options=found)
    assert "That's more than the $275 you had in mind." in message.text
    fitting = bullets(message.text, "That's more")
    assert 1 <= len(fitting) <= 3
    assert all(re.search(r": \$\d+ to \$\d+$", line) for line in fitting)
    assert message.buttons[-1].value == "options"
    assert "Es más de los $275 que tenías en mente" in ballpark(wish, ES, options=found).text


def test_what_does_not_fit_is_not_offered() -> None:
    wish = a_brief(site=KNOWN, budget=Budget(max=Decimal(50)))
    (cheapest,) = options(wish, BOOK, today=TODAY)
    message = ballpark(wish, options=(cheapest,))
    assert "Tell us what matters most to you" in message.text
    assert str(cheapest.estimate.price.low) not in message.text


def test_within_the_budget_there_is_nothing_to_choose() -> None:
    message = ballpark(a_brief(site=KNOWN, budget=Budget(max=Decimal(5000))))
    assert "had in mind" not in message.text
    assert [button.value for button in message.buttons] == [None, None]


def test_without_a_free_time_the_way_on_is_another_day_or_the_owner() -> None:
    message = ballpark(ANNIVERSARY, bookable=False)
    assert "no free set-up time just now. See which other days have one, or ask Ida" in message.text
    assert [button.label for button in message.buttons] == ["See the whole quote", "See other days"]
    assert message.buttons[1].url == "https://shop.example/b"


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (EN, "You can pay by check or bank transfer to Harbor"),
        (ES, "Puedes pagar con cheque o transferencia a Harbor"),
    ],
)
def test_a_held_time_names_day_times_deposit_and_the_ways_to_pay(
    words: Words, expected: str
) -> None:
    starts = datetime(2027, 6, 6, 13, tzinfo=UTC)
    hold = Hold(
        id="hold",
        lead_id="lead",
        quote_id="quote",
        window=Window(starts_at=starts, ends_at=starts + timedelta(hours=1)),
        stay=Stay(
            leaves_at=starts,
            free_at=starts + timedelta(hours=1),
            strikes_at=starts + timedelta(hours=5),
            struck_at=starts + timedelta(hours=6),
            returns_at=starts + timedelta(hours=6),
        ),
        expires_at=NOON + timedelta(days=2),
        client=Client(),
        made_at=NOON,
        changed_at=NOON,
    )
    url = "https://shop.example/b"
    held = wording.held(hold, BOOK, Decimal(165), "USD", words, url=url)
    text = held.text
    arrives = words.clock(starts.astimezone(zone_of(BOOK)))
    for said in (words.day(date(2027, 6, 6)), arrives, "$165", expected):
        assert said in text
    assert ".." not in text
    booked = wording.booked(hold, BOOK, words, paid=Decimal("165.50"), currency="USD", url=url)
    assert "165.50" in booked.text
    assert {button.url for each in (held, booked) for button in each.buttons} == {url}
    unsaid = replace(BOOK, booking=replace(BOOK.booking, pay_to={}))
    how = wording.held(hold, unsaid, Decimal(165), "USD", words, url=url).text
    assert words.reached_by(BOOK.shop.contact) in how
    for other in (
        booked,
        wording.moved(hold, BOOK, words, url=url),
        wording.given_back(hold, BOOK, words),
        wording.hold_over(hold, BOOK, words),
    ):
        assert words.day(date(2027, 6, 6)) in other.text
        assert ".." not in other.text


def test_the_owners_own_words_of_a_no_stay_as_they_are() -> None:
    assert wording.declined(BOOK, "Sorry, we are full.", ES).text == "Sorry, we are full."
    assert wording.declined(BOOK, None, ES).text.startswith("Gracias por escribirnos.")


FRAME = Piece(
    support=Support.ROUND_TOP_FRAME,
    width_m=1.2192,
    height_m=2.1336,
    accents=(Accent(kind=AccentKind.FLOWERS, count=8),),
)
WALL = Piece(support=Support.WALL, length_m=2.4384)


@pytest.mark.parametrize(
    ("changed", "said", "en_español"),
    [
        ({}, "as you asked", "como lo pediste"),
        (
            {"fullness": Fullness.AIRY},
            "airy instead of full",
            "estilo ligero en vez de estilo lleno",
        ),
        (
            {"coverage": 0.5, "placement": Placement.ASYMMETRIC},
            "half as long, long on one side and short on the other",
            "la mitad de largo, larga de un lado y corta del otro",
        ),
        ({"coverage": 0.7}, "30% shorter", "30% más corta"),
        (
            {"accents": (Accent(kind=AccentKind.FLOWERS, count=4),)},
            "half the flowers",
            "flores: solo la mitad",
        ),
        ({"accents": ()}, "without flowers", "sin flores"),
    ],
)
def test_how_another_way_differs_is_said_in_words(
    changed: dict[str, Any], said: str, en_español: str
) -> None:
    kept = {name: getattr(FRAME, name) for name in ("support", "width_m", "height_m", "accents")}
    other = Brief(pieces=(Piece(**(kept | changed)),))
    assert changes(EN, Brief(pieces=(FRAME,)), other) == said
    assert changes(ES, Brief(pieces=(FRAME,)), other) == en_español


def test_of_several_pieces_those_that_differ_are_named() -> None:
    lighter = Piece(support=Support.WALL, length_m=2.4384, fullness=Fullness.AIRY)
    wished, other = Brief(pieces=(FRAME, WALL)), Brief(pieces=(FRAME, lighter))
    assert changes(EN, wished, other) == "wall garland: airy instead of full"


def test_what_all_pieces_share_is_said_once_and_the_rest_with_its_piece() -> None:
    flowers = (Accent(kind=AccentKind.FLOWERS, count=4),)
    columns = Piece(support=Support.COLUMN, count=2, height_m=1.8)
    wall = Piece(support=Support.WALL, length_m=6.0)
    wished = Brief(pieces=(replace(columns, accents=flowers), replace(wall, accents=flowers)))
    other = Brief(pieces=(columns, replace(wall, fullness=Fullness.AIRY)))
    said = changes(EN, wished, other)
    assert said == "without flowers; wall garland: airy instead of full"


@pytest.mark.parametrize("most", [150, 200, 260])
def test_every_option_of_the_estimate_differs_in_words(most: int) -> None:
    wish = Brief(pieces=(FRAME, WALL), site=KNOWN, budget=Budget(max=Decimal(most)))
    found: tuple[Option, ...] = options(wish, BOOK, today=TODAY)
    said = [changes(EN, wish, option.brief) for option in found]
    assert len(set(said)) == len(said)
    assert "as you asked" not in said
