"""What clients say beside the plan: half answers, worries, grievances, second thoughts."""

import re

import pytest

from bot.dialogue.state import State
from tests.bot.dialogue.talking import WHOLE, Talk

# --- Half answers ------------------------------------------------------------------------------


def test_what_is_said_beside_the_size_is_not_lost() -> None:
    talk = Talk().say("could you do a hoop for our library's reopening?")
    assert talk.asked == "size"
    talk.say("it is 6 ft across, sage and cream, june 6 at 3pm, indoors, 02139")
    draft = talk.state.draft
    assert (str(draft.event_date), str(draft.start_time)) == ("2027-06-06", "15:00:00")
    assert talk.asked is None


def test_a_month_alone_is_kept_and_only_its_day_is_asked() -> None:
    talk = Talk().say("a 6 ft hoop", "june")
    assert (talk.asked, talk.text) == ("date", "Which day in June?")
    assert State.from_dict(talk.stored) == talk.state
    talk.say("6")
    assert str(talk.state.draft.event_date) == "2027-06-06"
    assert talk.state.draft.event_month is None


def test_a_day_that_its_month_does_not_have_is_asked_again_in_that_month() -> None:
    talk = Talk().say("a 6 ft hoop", "june 31")
    assert talk.text.endswith("Which day in June?")
    assert talk.state.draft.event_date is None


@pytest.mark.parametrize("beside", ["30 guests", "budget is 30 dollars", "two columns too"])
def test_a_figure_of_something_else_is_no_day(beside: str) -> None:
    talk = Talk().say("a 6 ft hoop", beside)
    assert talk.state.draft.event_date is None


def test_a_month_whose_day_stays_open_is_read_back_as_a_month() -> None:
    talk = Talk().say("a 6 ft hoop, pink, indoors in 02139, sometime in june")
    talk.press("Not sure yet").press("Not sure yet")
    assert "• Date: a day in June 2027" in talk.text


@pytest.mark.parametrize("answer", ["budget -$50", "about $300", "gracias", "thank you so much"])
def test_money_and_courtesy_are_no_place(answer: str) -> None:
    talk = Talk().say("a 6 ft hoop, june 6", answer)
    assert talk.asked == "place"
    assert talk.state.draft.place is None


def test_a_place_keeps_out_what_was_said_beside_it() -> None:
    talk = Talk().say("a 6 ft hoop on june 6", "Springfield, june 13")
    assert talk.state.draft.place == "Springfield"
    talk = Talk().say("a 6 ft hoop on june 6", "en interior en 02139")
    draft = talk.state.draft
    assert (draft.place, draft.postal_code, draft.setting) == (None, "02139", "indoor")


@pytest.mark.parametrize("words", ["boathouse entrance, doorway about 7ft by 8ft"])
def test_a_piece_named_twice_is_one_piece(words: str) -> None:
    talk = Talk().say(words)
    (piece,) = talk.state.draft.pieces
    assert piece.width_m == pytest.approx(2.1336)
    assert piece.height_m == pytest.approx(2.4384)
    (wall,) = Talk().say("garland for a wall, wall is 12 ft").state.draft.pieces
    assert wall.length_m == pytest.approx(3.6576)


def test_a_plural_without_a_number_is_asked_how_many() -> None:
    talk = Talk().say("columns")
    assert (talk.asked, talk.text) == ("count", "Happy to help! How many columns would you like?")
    talk.press("2 (a pair)")
    assert talk.asked == "size"
    assert talk.state.draft.pieces[0].count == 2


@pytest.mark.parametrize(("answer", "count"), [("4", 4), ("a pair", 2), ("just one", 1)])
def test_how_many_is_answered_in_words(answer: str, count: int) -> None:
    talk = Talk().say("6 ft columns", answer)
    (piece,) = talk.state.draft.pieces
    assert (piece.count, piece.uncounted, talk.asked) == (count, False, "date")
    assert piece.height_m == pytest.approx(1.8288)


def test_a_count_after_the_noun_counts() -> None:
    (piece,) = Talk().say("columns please, two 6 ft").state.draft.pieces
    assert piece.count == 2
    assert piece.height_m == pytest.approx(1.8288)
    (piece,) = Talk().say("columns", "two of them, taller, 9").state.draft.pieces
    assert piece.count == 2
    assert piece.height_m == pytest.approx(2.7432)


def test_who_does_not_know_how_many_gets_a_pair_said_openly() -> None:
    talk = Talk().say("columns").press("Not sure yet")
    assert "pair" in talk.text
    assert talk.state.draft.pieces[0].count == 2


def test_along_and_high_are_the_run_and_rise_of_stairs() -> None:
    talk = Talk().say("stair rail, 10 ft along and 8 ft high, in pink")
    while talk.asked:
        talk.press("Not sure yet")
    assert "• Staircase, 10 ft along × 8 ft high\n" in talk.text
    talk.say("yes")
    piece = talk.brief["pieces"][0]
    assert (piece["run_m"], piece["rise_m"]) == (pytest.approx(3.048), pytest.approx(2.4384))
    assert "length_m" not in piece


def test_one_length_of_stairs_says_that_a_usual_slope_was_taken() -> None:
    talk = Talk().say("a staircase", "14 ft")
    while talk.asked:
        talk.press("Not sure yet")
    assert "• Staircase, 14 ft long, at a usual slope\n" in talk.text
    talk.change("Change size").press("12 ft long")
    assert "12 ft long, at a usual slope" in talk.text


def test_another_length_takes_the_place_of_run_and_rise() -> None:
    talk = Talk().say("a staircase, 10 ft along and 8 ft high")
    while talk.asked:
        talk.press("Not sure yet")
    talk.change("Change size").press("12 ft long")
    piece = talk.state.draft.pieces[0]
    assert (piece.width_m, piece.height_m) == (None, None)


@pytest.mark.parametrize("answer", ["tall", "the height"])
def test_which_way_stays_open_until_it_is_answered(answer: str) -> None:
    talk = Talk().say(WHOLE, "actually make it 8 ft")
    assert [button.label for button in talk.last.buttons[:2]] == ["8 ft wide", "8 ft tall"]
    talk.say("hmm")
    assert "Is the 8 ft the width or the height?" in talk.text
    assert "Changed." not in talk.text
    talk.say(answer)
    assert talk.text.startswith("Changed.")
    assert "4 ft wide × 8 ft tall" in talk.text
    assert talk.state.unsure is None


def test_a_side_that_is_named_is_no_riddle_and_one_that_is_not_leads_to_the_other() -> None:
    talk = Talk().say("an arch", "about 10 ft wide")
    assert "How tall should the freestanding arch be?" in talk.text
    talk = Talk().say("an arch", "8 ft").press("8 ft tall")
    assert talk.text == "8 ft tall so far. How wide should the freestanding arch be?"
    piece = talk.say("10").state.draft.pieces[0]
    assert piece.width_m == pytest.approx(3.048)
    assert piece.height_m == pytest.approx(2.4384)


def test_a_wall_as_wide_as_said_carries_a_garland_as_long() -> None:
    talk = Talk().say("a wall", "12 ft wide and 8 ft tall")
    assert talk.asked == "date"
    assert talk.state.draft.pieces[0].length_m == pytest.approx(3.6576)


def test_the_missing_side_is_asked_by_its_name() -> None:
    assert "How tall should the freestanding arch be?" in Talk().say("an arch 8 ft wide").text
    assert "How wide should the round-top frame be?" in Talk().say("an arch frame 7 ft tall").text


def test_an_arch_of_one_foot_is_asked_again() -> None:
    talk = Talk().say("an arch 1 ft by 1 ft")
    assert talk.asked == "size"
    assert "misread" in talk.text


@pytest.mark.parametrize("words", ["medium", "whatever you think", "not sure, something welcoming"])
def test_vague_answers_take_a_usual_size(words: str) -> None:
    talk = Talk().say("a hoop", words)
    assert talk.state.draft.pieces[0].assumed
    assert "6 ft across" in talk.text


# --- Worries -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    ["one guest has a latex allergy", "it's at the children's hospital", "for our care home"],
)
def test_latex_is_spoken_of_once_and_the_owner_reads_the_words(words: str) -> None:
    talk = Talk().say("a 6 ft hoop", words)
    assert "latex" in talk.text
    assert "Odile will look at this before any price" in talk.text
    assert words in talk.state.draft.words
    assert talk.state.draft.guests is None
    talk.say("as I said, there is an allergy")
    assert talk.text.startswith("That goes into the notes too; Odile looks at it before any price.")
    assert talk.state.misses == 0


def test_an_allergy_is_never_cut_off_the_notes() -> None:
    talk = Talk().say("a 6 ft hoop " + "we would love it " * 300, "my aunt is allergic to latex")
    assert talk.state.draft.words.startswith("my aunt is allergic to latex\n")
    assert len(talk.state.draft.words) == 4000


def test_an_allergy_told_after_the_yes_leads_to_a_brief_that_says_it() -> None:
    talk = Talk().say(WHOLE, "yes", "oh, one guest has a latex allergy", "yes")
    assert len(talk.submissions) == 2
    assert "latex allergy" in talk.brief["notes"]


def test_helium_is_answered_and_mentioned_once_beside_a_wish() -> None:
    talk = Talk().say("do you use helium?")
    assert "filled with air, so no helium is needed" in talk.text
    assert not talk.outcomes[-1].calls_owner
    talk = Talk().say("helium arch")
    assert "no helium is needed" in talk.text
    assert talk.asked == "size"
    assert "helium" not in talk.say("8 by 8, with helium").text


def test_a_balloon_drop_goes_to_the_owner_and_is_no_garland() -> None:
    talk = Talk().say("a balloon drop for our rowing club's 50th on june 6")
    assert "Odile" in talk.text
    assert talk.outcomes[-1].calls_owner
    assert talk.asked is None
    draft = talk.state.draft
    assert (draft.pieces, str(draft.event_date)) == ((), "2027-06-06")
    talk = Talk().say("a balloon drop and a 6 ft hoop")
    assert [piece.support for piece in talk.state.draft.pieces] == ["hoop"]
    assert talk.asked == "date"


# --- Grievances --------------------------------------------------------------------------------


@pytest.mark.parametrize("words", ["hello?", "anybody there", "it was on june 6", "is it ready?"])
def test_after_a_complaint_nothing_is_sold(words: str) -> None:
    talk = Talk().say("your garland fell down at our party, I am very unhappy", words)
    assert talk.text == "Odile has your message and answers here."
    assert talk.last.buttons == ()
    assert talk.outcomes[-1].calls_owner


def test_a_client_who_complained_can_still_ask_for_a_price() -> None:
    talk = Talk().say("your garland fell down, I am very unhappy", "hello?")
    talk.say("how much for a 6 ft hoop?")
    assert talk.asked == "date"
    assert not talk.state.care


def test_the_way_to_the_owner_is_told_at_length_only_once() -> None:
    talk = Talk().say("a 6 ft hoop", "do you have insurance?")
    assert "odile@harborlane.example" in talk.text
    talk.say("do you take credit cards?")
    assert talk.text.startswith("Odile answers that here.")
    assert "odile@" not in talk.text
    assert talk.outcomes[-1].calls_owner


# --- After the yes -----------------------------------------------------------------------------


def test_a_question_about_a_known_fact_reopens_nothing() -> None:
    talk = Talk().say(WHOLE, "yes", "is june 6 free?")
    assert talk.last.kind == "say"
    assert "Shall I price it?" not in talk.text
    assert talk.state.stage == "sent"


def test_a_question_whose_fact_was_used_is_not_handed_over() -> None:
    talk = Talk().say("a 6 ft hoop", "is june 6 free?")
    assert (talk.asked, talk.outcomes[-1].calls_owner) == ("place", False)
    talk = Talk().say("a 6 ft hoop", "june 6. do you have insurance?")
    assert talk.outcomes[-1].calls_owner
    assert str(talk.state.draft.event_date) == "2027-06-06"


def test_too_expensive_is_answered_with_what_brings_the_price_down() -> None:
    talk = Talk().say(WHOLE, "yes", "too expensive, can you do $200?")
    assert talk.last.kind == "say"
    labels = [button.label for button in talk.last.buttons]
    assert labels == ["Make it airy", "A smaller size", "Talk to Odile"]
    talk.press("Make it airy")
    assert "• Round-top frame, 4 ft wide × 7 ft tall, airy\n" in talk.text
    talk.press("Yes, price it")
    assert talk.brief["pieces"][0]["fullness"] == "airy"
    assert talk.brief["budget"] == {"max": "200"}
    talk.say("still too expensive")
    assert [button.label for button in talk.last.buttons] == ["A smaller size", "Talk to Odile"]
    assert talk.press("A smaller size").asked == "size"


def test_columns_are_not_offered_an_airier_look() -> None:
    talk = Talk().say(
        "two 6 ft columns, june 6 3pm, indoors in 02139, pink", "yes", "too expensive"
    )
    assert "airy" not in " ".join(button.label for button in talk.last.buttons)


@pytest.mark.parametrize(("words", "counts"), [("drop one column", [2]), ("drop the columns", [])])
def test_a_number_of_columns_can_be_taken_away(words: str, counts: list[int]) -> None:
    talk = Talk().say("3 columns 6 ft", words)
    assert [piece.count for piece in talk.state.draft.pieces] == counts


def test_two_figures_resize_what_there_is_without_a_unit() -> None:
    talk = Talk().say(WHOLE, "actually 5 by 8")
    assert "5 ft wide × 8 ft tall" in talk.text


def test_a_spanish_yes_is_a_yes() -> None:
    assert len(Talk().say(WHOLE, "sí").submissions) == 1


def test_the_arch_is_the_frame_that_was_spoken_of() -> None:
    talk = Talk().say(WHOLE, "make the arch 8 ft tall")
    (piece,) = talk.state.draft.pieces
    assert piece.support == "round_top_frame"
    assert piece.height_m == pytest.approx(2.4384)
    talk.say("remove the arch")
    assert talk.text.startswith("Without the round-top frame, then.")
    assert talk.asked == "support"


# --- Small words -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "opening"),
    [
        ("an arch for our rowing club's 50th", "Your rowing club's 50th, lovely!"),
        ("an arch for my daughter's 5th birthday", "Your daughter's 5th birthday, lovely!"),
        ("an arch for an anniversary", "An anniversary, lovely!"),
        ("an arch for the library's grand reopening", "An opening, lovely!"),
        ("an arch for a funeral", "Happy to help!"),
    ],
)
def test_a_first_message_is_met_with_its_occasion(words: str, opening: str) -> None:
    assert Talk().say(words).text.startswith(opening)


def test_a_colour_that_is_not_there_needs_no_taking_away() -> None:
    talk = Talk().say("a 6 ft hoop, pink", "no gold")
    assert talk.text.startswith("There's no gold in it, and there won't be.")
    assert (talk.asked, talk.state.misses) == ("date", 0)


def test_the_readback_is_free_of_words_that_say_nothing() -> None:
    talk = Talk().say(f"{WHOLE}, a farewell party, foil number 50")
    assert "• Foil balloons: 50" in talk.text
    assert not re.search("For: (celebration|other)", talk.text)


def test_a_brief_sent_again_takes_the_place_of_what_was_sent_before() -> None:
    talk = Talk().say(WHOLE).press("Yes, price it")
    first = talk.outcomes[-1].submit
    talk.say("actually make it 8 ft tall").press("Yes, price it")
    second = talk.outcomes[-1].submit
    assert first is not None
    assert second is not None
    assert (first.revises, second.revises) == (False, True)
    assert first.key_suffix != second.key_suffix
