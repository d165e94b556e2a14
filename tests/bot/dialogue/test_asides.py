"""Questions beside the plan, and what else could be had for the money."""

from dataclasses import replace
from decimal import Decimal

import pytest

from bot.dialogue import Button, Offer
from tests.bot.dialogue.talking import SHOP, WHOLE, Talk

ANSWERING = replace(
    SHOP,
    answers={
        "deposit": {"en": "Half holds the date.", "es": "La mitad aparta la fecha."},
        "delivery": {"en": "We deliver within 25 miles."},
        "lasting": {"en": "", "es": ""},
    },
)
FRAME = {
    "support": "round_top_frame",
    "count": 1,
    "fullness": "full",
    "width_m": 1.2192,
    "height_m": 2.1336,
}


def offer(likely: int, *, fits: bool | None = True, **changes: object) -> Offer:
    return Offer(
        pieces=({**FRAME, **changes},),
        low=Decimal(likely - 30),
        likely=Decimal(likely),
        high=Decimal(likely + 40),
        fits=fits,
    )


AIRY = offer(240, fullness="airy")
SHORTER = offer(235, coverage=0.7)


# --- The owner's own answers -------------------------------------------------------------------


def test_a_side_question_is_answered_in_the_owners_words_and_the_open_one_is_asked_again() -> None:
    talk = Talk(shop=ANSWERING).say("a 6 ft hoop", "do you take a deposit?")
    assert talk.text == "Half holds the date. What day is the event?"
    assert not talk.outcomes[-1].calls_owner


@pytest.mark.parametrize(
    ("words", "answer"),
    [("is helium included?", "Air, no helium."), ("¿incluye helio?", "Aire, sin helio.")],
)
def test_the_owners_own_word_on_helium_stands_alone(words: str, answer: str) -> None:
    answers = {"helium": {"en": "Air, no helium.", "es": "Aire, sin helio."}}
    talk = Talk(shop=replace(SHOP, answers=answers), locale="es" if "¿" in words else "en")
    talk.say("a 6 ft hoop" if words.startswith("is") else "un aro de 6 pies", words)
    assert talk.text.startswith(f"{answer} ")
    assert talk.text.count("?") == 1  # the open question, and nothing about air again


def test_the_answer_is_in_the_clients_language_where_there_is_one() -> None:
    talk = Talk(shop=ANSWERING).say("quiero un aro de 6 pies", "¿piden anticipo?")
    assert talk.text.startswith("La mitad aparta la fecha.")
    assert talk.say("¿hacen entregas a domicilio?").text.startswith("We deliver within 25 miles.")


def test_facts_and_a_question_in_one_message_are_both_heard() -> None:
    talk = Talk(shop=ANSWERING).say("a 6 ft hoop. do you require a deposit?")
    assert talk.text == "Happy to help! Half holds the date. What day is the event?"
    assert talk.state.draft.pieces[0].support == "hoop"
    assert Talk(shop=ANSWERING).say(f"{WHOLE}. Is there a deposit?").last.kind == "readback"


@pytest.mark.parametrize("words", ["how long do they last?", "do you have insurance?"])
def test_what_the_shop_has_no_answer_to_goes_to_the_owner(words: str) -> None:
    talk = Talk(shop=ANSWERING).say("a 6 ft hoop", words)
    assert talk.outcomes[-1].calls_owner


def test_a_side_question_after_the_yes_changes_nothing() -> None:
    talk = Talk(shop=ANSWERING).say(WHOLE, "yes", "do you take a deposit?")
    assert (talk.text, talk.state.stage) == ("Half holds the date.", "sent")


# --- Less money --------------------------------------------------------------------------------


def priced() -> Talk:
    talk = Talk().say(WHOLE, "yes")
    talk.offers = (AIRY, SHORTER)
    return talk


@pytest.mark.parametrize(
    "words", ["too expensive, can you do $250?", "can you do 250?", "could you do it for $250"]
)
def test_a_budget_after_the_ballpark_brings_offers_that_fit_it(words: str) -> None:
    talk = priced().say(words)
    assert talk.wanted[0].budget == Decimal(250)
    assert talk.wanted[0].brief["budget"] == {"max": "250"}
    assert talk.text == "Within $250 it could be one of these:"
    labels = [button.label for button in talk.last.buttons]
    assert labels == ["About $240: airy", "About $235: 30% shorter", "Talk to Odile"]
    assert talk.state.stage == "sent"


def test_an_offer_that_is_taken_is_read_back_and_sent_after_one_tap() -> None:
    talk = priced().say("can you do $250?").press("About $235: 30% shorter")
    assert talk.last.kind == "readback"
    assert "7 ft tall, full, 70% covered" in talk.text
    talk.press("Yes, price it")
    assert talk.submissions[1].revises
    assert talk.brief["pieces"][0]["coverage"] == 0.7
    assert talk.brief["pieces"][0]["width_m"] == pytest.approx(1.2192)


def test_the_button_under_the_ballpark_asks_for_options_without_a_budget() -> None:
    talk = priced().press_old(Button(label="What would fit?", value="options"))
    assert talk.wanted[0].budget is None
    assert talk.text == "Here is how it could be built, and about what it costs:"


def test_where_nothing_fits_the_nearest_is_said_to_be_just_that() -> None:
    talk = priced()
    talk.offers = (offer(260, fullness="airy", fits=False),)
    assert talk.say("can you do $100?").text.startswith("I found nothing within $100")


def test_without_any_offer_the_usual_ways_are_told() -> None:
    talk = Talk().say(WHOLE, "yes", "too expensive")
    assert "A shorter garland or an airier look" in talk.text


def test_what_fits_can_be_asked_before_the_yes_and_not_before_there_is_a_size() -> None:
    talk = Talk().say("a hoop", "what would fit my budget?")
    assert talk.text.startswith("Once I know what to build")
    assert (talk.asked, talk.wanted) == ("size", [])
    talk = Talk()
    talk.offers = (AIRY,)
    talk.say(WHOLE, "what can I get for $250?")
    assert talk.text == "Within $250 it could be one of these:"
    assert talk.press("About $240: airy").last.kind == "readback"


def test_an_offer_that_leaves_all_as_it_is_says_so() -> None:
    talk = priced()
    talk.offers = (offer(280), AIRY)
    talk.say("can you do $300?")
    assert talk.last.buttons[0].label == "About $280: as you asked"


def test_fewer_extras_are_named_and_taken() -> None:
    talk = Talk().say(f"{WHOLE}, with a sign that says Welcome", "yes")
    talk.offers = (offer(230, accents=()), offer(240, fullness="airy"))
    talk.say("can you do $240?")
    assert talk.last.buttons[0].label == "About $230: without a sign"
    talk.press("About $230: without a sign")
    assert talk.state.draft.accents == ()


def test_who_finds_it_too_dear_is_offered_nothing_that_costs_more() -> None:
    talk = priced()
    talk.offers = (offer(280), AIRY, offer(320, fullness="lush"))
    talk.say("hmm that's too expensive")
    assert [button.label for button in talk.last.buttons][:-1] == ["About $240: airy"]


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("can you do 250?", "Odile sees this conversation"),
        ("too expensive", "Odile sees this conversation"),
        ("está muy caro", "Odile ve esta conversación"),
    ],
)
def test_no_price_is_named_while_the_owner_looks_first(words: str, answer: str) -> None:
    talk = priced()
    if words.startswith("está"):
        talk.say("en español por favor")
    talk.under_review = True
    talk.say(words)
    assert "$" not in talk.text
    assert "$" not in "".join(button.label for button in talk.last.buttons)
    assert answer in talk.text
    assert talk.outcomes[-1].calls_owner
    assert talk.wanted == []


def test_prices_are_named_again_once_the_owner_has_looked() -> None:
    talk = priced()
    talk.under_review = True
    talk.say("too expensive")
    talk.under_review = False
    assert "About $240: airy" in [button.label for button in talk.say("too expensive").last.buttons]


def test_what_the_client_would_pay_is_their_budget_before_the_yes() -> None:
    talk = Talk(shop=ANSWERING).say(WHOLE, "can you do 300?")
    assert "Budget: up to $300" in talk.text


def test_a_town_that_is_asked_about_is_not_where_the_event_is() -> None:
    talk = Talk(shop=ANSWERING).say(WHOLE, "do you deliver to Springfield?")
    assert talk.text.startswith("We deliver within 25 miles.")
    assert (talk.state.draft.place, talk.state.draft.postal_code) == ("hall", "02139")


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ("a 6 ft hoop, june 6", "is that price final?"),
        ("un aro de 6 pies, 6 de junio", "¿ese precio es final?"),
    ],
)
def test_a_question_is_not_where_the_event_is(piece: str, words: str) -> None:
    talk = Talk().say(piece)
    assert talk.asked == "place"
    assert talk.say(words).state.draft.place is None


def test_who_would_book_is_shown_the_way() -> None:
    talk = priced().say("ok book it")
    assert "set-up time" in talk.text
    talk.news = ("review",)
    assert "Odile is looking at your request" in talk.say("how do I book?").text


def test_a_release_is_not_told_that_outdoors_works() -> None:
    shop = replace(ANSWERING, answers={"outdoors": {"en": "Yes, outdoors works."}})
    talk = Talk(shop=shop).say("can you do a balloon release outdoors at the park?")
    assert "We don't do balloon releases" in talk.text
    assert "outdoors works" not in talk.text


@pytest.mark.parametrize("words", ["so what will it cost?", "¿cuánto va a costar?"])
def test_who_asks_for_the_price_again_is_told_where_it_is(words: str) -> None:
    talk = priced()
    talk.news = ("review",)
    assert "Odile" in talk.say(words).text
    assert talk.last.text == talk.say("/status").text


def test_a_glad_word_after_an_answer_skips_nothing() -> None:
    talk = Talk(shop=ANSWERING).say("a 6 ft hoop, june 6, 02139, indoors, navy")
    talk.say("do you take a deposit?", "sounds great", "great!")
    assert talk.asked == "start_time"
    assert talk.state.skipped == ()


@pytest.mark.parametrize("words", ["do you have darker greens?", "¿tienen verde oscuro?"])
def test_a_colour_that_is_asked_about_takes_no_other_ones_place(words: str) -> None:
    talk = Talk(shop=ANSWERING).say(WHOLE, words)
    assert talk.state.draft.colours == ("sage", "cream", "gold")
    assert talk.outcomes[-1].calls_owner
