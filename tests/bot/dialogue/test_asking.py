"""Questions and their pickers: days, sizes, hours, likenesses, and what is never asked."""

from statistics import median
from time import process_time

import pytest

from bot.dialogue.draft import Piece
from bot.dialogue.likenesses import LIKENESSES, likeness, sizes_like
from bot.dialogue.supports import SUPPORTS, is_size_of
from tests.bot.dialogue.talking import WHOLE, Talk
from tests.bot.dialogue.walking import STOCK


def labels(talk: Talk) -> list[str]:
    return [button.label for button in talk.last.buttons]


# --- Days --------------------------------------------------------------------------------------


def test_the_date_is_picked_from_a_calendar_that_turns_in_place() -> None:
    talk = Talk().say("a 6 ft hoop")
    assert {"January 2027", "Su", "10", "31"} <= set(labels(talk))
    assert not talk.last.edits
    talk.press("Feb ›")
    assert (talk.asked, talk.last.edits) == ("date", "m1")
    assert "February 2027" in labels(talk)
    talk.press("14")
    assert (talk.asked, str(talk.state.draft.event_date)) == ("place", "2027-02-14")


def test_a_month_that_was_said_is_the_one_that_is_shown() -> None:
    talk = Talk().say("a 6 ft hoop", "june")
    assert talk.text.endswith("Which day in June?")
    assert "June 2027" in labels(talk)


def test_the_calendar_speaks_the_clients_language() -> None:
    talk = Talk().say("quiero un aro de 6 pies")
    assert {"Enero de 2027", "Do", "Aún no sé"} <= set(labels(talk))


def test_a_day_that_may_be_two_is_asked_with_both_as_buttons() -> None:
    talk = Talk().say("a 6 ft hoop on june 6 or june 13")
    assert talk.text.endswith("I want to be sure of the day. What day is the event?")
    assert labels(talk)[:2] == ["Sunday, June 6, 2027", "Sunday, June 13, 2027"]
    talk.press("Sunday, June 13, 2027")
    assert (talk.asked, str(talk.state.draft.event_date)) == ("place", "2027-06-13")


def test_a_page_of_an_old_calendar_asks_for_the_date_again() -> None:
    talk = Talk().say("a 6 ft hoop, pink")
    page = talk.button("Feb ›")
    talk.say("june 6", "02139").press_old(page)
    assert (talk.asked, talk.last.edits) == ("date", "m1")
    talk.press("14")
    assert str(talk.state.draft.event_date) == "2027-02-14"


# --- Sizes -------------------------------------------------------------------------------------


def test_another_size_is_stepped_in_place_and_taken() -> None:
    talk = Talk().say("a hoop").press("Other size")
    assert (talk.asked, talk.last.edits) == ("size", "m1")
    assert "Take 6 ft across" in labels(talk)
    talk.press("+ 1 ft")
    assert "Take 7 ft across" in labels(talk)
    talk.press("− 1 in").press("Take 6 ft 11 in across")
    assert talk.asked == "date"
    assert talk.state.draft.pieces[0].width_m == pytest.approx(83 * 0.0254)


def test_each_piece_is_stepped_by_itself() -> None:
    talk = Talk().say("a 6 ft hoop and two columns").press("Other size")
    talk.press("+ 1 ft").press("Take 7 ft tall")
    hoop, columns = talk.state.draft.pieces
    assert hoop.width_m == pytest.approx(1.8288)
    assert columns.height_m == pytest.approx(2.1336)


# --- Likenesses --------------------------------------------------------------------------------


def test_what_a_size_is_likened_to_is_a_guess_to_confirm() -> None:
    talk = Talk().say("a hoop as wide as a garage door")
    assert talk.text.endswith("A garage door is usually 8 ft or 16 ft wide. Which comes closer?")
    assert talk.state.draft.pieces[0].width_m is None
    assert labels(talk)[:3] == ["8 ft across", "16 ft across", "Other size"]
    talk.press("16 ft across")
    assert talk.state.draft.pieces[0].width_m == pytest.approx(4.8768)
    assert talk.state.likened is None


def test_a_yes_takes_the_one_size_that_was_guessed() -> None:
    talk = Talk().say("a garland on a wall, as long as my sofa")
    assert "A sofa is usually 7 ft wide" in talk.text
    talk.say("yes")
    assert talk.state.draft.pieces[0].length_m == pytest.approx(2.1336)


def test_a_likeness_waits_until_it_is_known_what_carries_the_garland() -> None:
    talk = Talk().say("a garland as long as my sofa")
    assert talk.asked == "support"
    assert "A sofa is usually 7 ft wide" in talk.press("Wall").text


def test_a_likeness_that_we_do_not_know_is_asked_with_examples() -> None:
    talk = Talk().say("an arch as wide as my spaceship")
    assert "a door is 3 ft wide" in talk.text
    assert talk.asked == "size"


@pytest.mark.parametrize("one", LIKENESSES, ids=lambda one: one.name)
@pytest.mark.parametrize("support", SUPPORTS)
def test_every_likeness_gives_sizes_of_every_support(one: object, support: str) -> None:
    piece = Piece(support=support)
    sizes = sizes_like(one, piece)  # type: ignore[arg-type]
    assert 0 < len(sizes) <= 4
    assert all(is_size_of(support, size) for size in sizes)


def test_a_likeness_keeps_the_measure_that_is_known() -> None:
    door = likeness("a door")
    assert door is not None
    arch = Piece(support="freestanding_arch", height_m=2.4384)
    assert sizes_like(door, arch) == ((36, 96),)
    assert sizes_like(door, Piece(length_m=3.0)) == ()


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("a garage door", "garage_door"),
        ("the double doors", "double_door"),
        ("una puerta", "door"),
        ("an 8 foot table", "eight_foot_table"),
        ("a queen bed", "queen_bed"),
        ("mi sofá", "sofa"),
        ("the moon", None),
    ],
)
def test_likenesses_are_known_by_their_names(words: str, name: str | None) -> None:
    found = likeness(words)
    assert (found.name if found else None) == name


# --- Hours, floating balloons, and the rest ----------------------------------------------------


def test_the_hour_is_picked_and_noon_is_called_noon() -> None:
    talk = Talk().say("a 6 ft hoop, june 6, indoors in 02139, pink")
    assert talk.asked == "start_time"
    assert "12:00 PM" not in labels(talk)
    talk.press("noon")
    assert "Starts: noon" in talk.text


def test_every_question_has_a_way_out_and_a_way_back() -> None:
    talk = Talk().say("columns")
    while talk.asked:
        assert "Not sure yet" in labels(talk)
        assert "Back" in labels(talk)
        talk.press("Not sure yet")


def test_what_is_left_open_is_met_in_a_word_of_its_own() -> None:
    talk = Talk().say("a 6 ft hoop")
    openings = []
    while talk.asked:
        talk.press("Not sure yet")
        openings.append(talk.text.split(".")[0])
    assert len(set(openings)) == len(openings) == 5


def test_hints_differ_from_question_to_question() -> None:
    hints = []
    for answers in ((), ("a hoop",), ("a 6 ft hoop",), ("a 6 ft hoop", "june 6")):
        talk = Talk().start().say(*answers, "blorp")
        hints.append(talk.text)
    assert len(set(hints)) == 4
    assert not any("is perfect" in hint for hint in hints)


def test_fullness_placement_pattern_end_and_guests_are_never_asked() -> None:
    talk = Talk(shop=STOCK).start()
    asked = []
    for answer in ("a hoop", "6 ft", "june 6", "02139", "indoors", "sage and gold", "3 pm"):
        asked.append(talk.asked)
        talk.say(answer)
    assert asked == ["support", "size", "date", "place", "setting", "colours", "start_time"]
    assert "• As usual: full, along the whole length, colors mixed" in talk.text
    assert Talk().say(WHOLE).last.kind == "readback"


def test_a_turn_takes_milliseconds() -> None:
    spent = []
    for texts in ((WHOLE,), ("a hoop", "6 ft", "june 6", "02139", "indoors", "champagne", "3 pm")):
        for _ in range(5):
            talk = Talk(shop=STOCK)
            for text in texts:
                begun = process_time()
                talk.say(text)
                spent.append(process_time() - begun)
    assert median(spent) < 0.015
