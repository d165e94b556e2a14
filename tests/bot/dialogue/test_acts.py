"""Back, start over, cancel, changes, languages, old buttons, and a second event."""

import pytest

from bot.dialogue import Button, Incoming
from bot.dialogue.state import State
from tests.bot.dialogue.talking import WHOLE, Talk
from tests.bot.dialogue.walking import STOCK


def press(talk: Talk, value: str) -> Talk:
    return talk.press_old(Button(label="an old one", value=value))


# --- Back --------------------------------------------------------------------------------------


def test_back_asks_the_last_question_again_with_its_answer_gone() -> None:
    talk = Talk().say("a 6 ft hoop", "june 6")
    assert talk.asked == "place"
    talk.press("Back")
    assert talk.text == "One step back. What day is the event?"
    assert talk.state.draft.event_date is None
    assert "june 6" not in talk.state.draft.words
    talk.say("june 13")
    assert (talk.asked, str(talk.state.draft.event_date)) == ("place", "2027-06-13")


def test_back_after_not_sure_yet_asks_it_again() -> None:
    talk = Talk().say("a 6 ft hoop").press("Not sure yet").press("Back")
    assert (talk.asked, talk.state.skipped) == ("date", ())


def test_back_drops_a_change_that_was_opened_and_undoes_one_that_was_made() -> None:
    talk = Talk().say(WHOLE).change("Change date").press("Back")
    assert talk.last.kind == "readback"
    talk.say("make it 8 ft tall").say("back")
    assert "4 ft wide × 7 ft tall" in talk.text


def test_back_goes_as_far_as_the_beginning_and_says_so() -> None:
    talk = Talk().say("a hoop", "6 ft", "june 6")
    for _ in range(3):
        talk.say("/back")
    assert talk.asked == "support"
    assert "the very beginning" in talk.say("/back").text
    assert "Back" not in [button.label for button in talk.last.buttons]


def test_back_after_a_correction_of_what_was_sent_leaves_it_as_it_was_sent() -> None:
    talk = Talk().say(WHOLE, "yes", "make it 8 ft tall")
    assert talk.last.kind == "readback"
    talk.say("back")
    assert talk.text == "It stays as it was sent."
    assert talk.state.stage == "sent"
    assert talk.state.draft.pieces[0].height_m == pytest.approx(2.1336)


def test_back_right_after_sending_shows_what_can_be_changed() -> None:
    talk = Talk().say(WHOLE, "yes", "back")
    assert talk.state.stage == "sent"
    assert talk.press("Change date").asked == "date"


@pytest.mark.parametrize("worry", ["my aunt is allergic to latex", "june 6, and a latex allergy"])
def test_back_never_takes_word_of_an_allergy_back(worry: str) -> None:
    talk = Talk().say("a 6 ft hoop", worry, "june 13", "02139")
    for _ in range(4):
        talk.say("back")
    assert worry in talk.state.draft.words
    assert worry in Talk().say(f"a 6 ft hoop, {worry}", "back").state.draft.words


# --- Cancel, start over, commands --------------------------------------------------------------


def test_cancelling_what_was_sent_says_what_that_means() -> None:
    talk = Talk().say(WHOLE, "yes", "/cancel")
    assert "If a date is already held or paid for" in talk.text
    assert talk.outcomes[-1].calls_owner
    talk = Talk().say(WHOLE, "yes", "make it 8 ft tall", "cancel")
    assert talk.outcomes[-1].calls_owner


@pytest.mark.parametrize(
    ("command", "says"),
    [
        ("/status", "still collecting"),
        ("/help", "in your own words"),
        ("/person", "Odile sees this conversation"),
        ("/language", "Which language"),
        ("/price", "How big should the hoop be?"),
        ("/over", "fresh start"),
        ("/cancel@garlands", "set that aside"),
    ],
)
def test_commands_are_understood(command: str, says: str) -> None:
    assert says in Talk().say("a hoop", command).text


def test_start_over_in_the_list_of_changes_is_no_other_event() -> None:
    talk = Talk().say(WHOLE).change("Start over")
    assert talk.text.startswith("All right, fresh start.")
    assert talk.asked == "support"


# --- The list of changes -----------------------------------------------------------------------


def test_the_readback_has_two_buttons_and_the_list_opens_in_its_place() -> None:
    talk = Talk().say(WHOLE)
    assert [button.label for button in talk.last.buttons] == ["Yes, price it", "Change something"]
    talk.press("Change something")
    assert (talk.last.kind, talk.last.edits) == ("readback", "m1")
    assert talk.text.endswith("What should be different?")
    assert "Shall I price it?" not in talk.text
    labels = [button.label for button in talk.last.buttons]
    assert labels[-4:] == ["Leave it as it is", "Where it stands", "Start over", "Cancel"]
    assert {button.row for button in talk.last.buttons} == set(range((len(labels) + 1) // 2))
    talk.press("Leave it as it is")
    assert (talk.last.kind, talk.last.edits) == ("readback", "m1")
    assert len(talk.press("Yes, price it").submissions) == 1


@pytest.mark.parametrize(
    ("label", "asks", "answer", "shown"),
    [
        ("How full", "fullness", "Airy", "7 ft tall, airy"),
        ("Where it goes", "placement", "On one side", "7 ft tall, on one side"),
        ("Color pattern", "pattern", "In ombré", "7 ft tall, in ombré"),
        ("When it ends", "end_time", "6:00 PM", "Starts: 3:00 PM to 6:00 PM"),
    ],
)
def test_usual_choices_are_changed_by_button(
    label: str, asks: str, answer: str, shown: str
) -> None:
    talk = Talk().say(WHOLE).change(label)
    assert talk.asked == asks
    assert shown in talk.press(answer).text


@pytest.mark.parametrize(
    ("label", "answer", "shown"),
    [
        ("Guests", "about 80", "Guests: 80"),
        ("When it ends", "6pm", "Starts: 3:00 PM to 6:00 PM"),
        ("Budget", "400", "Budget: up to $400"),
    ],
)
def test_what_is_never_asked_is_changed_in_words(label: str, answer: str, shown: str) -> None:
    assert shown in Talk().say(WHOLE).change(label).say(answer).text


def test_the_looks_reach_the_wire() -> None:
    talk = Talk().say(WHOLE).change("Where it goes").press("On one side")
    talk.change("Color pattern").press("In ombré").press("Yes, price it")
    piece = talk.brief["pieces"][0]
    assert (piece["placement"], piece["pattern"]) == ("one_side", "ombre")


# --- Language ----------------------------------------------------------------------------------


def test_the_language_is_what_the_client_writes_and_the_brief_carries_it() -> None:
    talk = Talk().say("un aro de 6 pies, 6 de junio a las 3pm, adentro en 02139, rosa", "sí")
    assert talk.submissions[0].language == "es"
    assert talk.stored["language"] == "es"
    assert Talk().say(WHOLE, "sí").submissions[0].language == "en"


def test_the_device_decides_until_something_is_written() -> None:
    talk = Talk(locale="es-MX").start()
    assert talk.text.startswith("¡Hola!")
    assert (
        talk.say("I would like a hoop please").text == "Happy to help! How big should the hoop be?"
    )
    assert Talk(locale="fr").start().text.startswith("Hi, this is")


def test_short_words_prove_no_english() -> None:
    talk = Talk().say("hola", "no sé")
    assert "marco de arco" in talk.text


def test_the_language_is_changed_by_button_and_in_words() -> None:
    talk = Talk().say("a hoop, please, 6 ft").say("en español")
    assert talk.text == "Seguimos en español. ¿Qué día es el evento?"
    assert talk.say("june 6 would be nice for us").text.startswith("¿Dónde será?")
    assert talk.press("English").text.startswith("In English, then.")


def test_who_plainly_writes_the_other_language_is_offered_it() -> None:
    talk = Talk().say("I would like a hoop please", "es para la fiesta de mi hija el 6 de junio")
    assert talk.press("Español").state.language == "es"


# --- Buttons of long ago -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "says", "asks"),
    [
        (
            "answer:1:setting:indoor",
            "That button was for indoors or outdoors in an earlier",
            "size",
        ),
        ("skip:1:date", "That button was for the date in an earlier request.", "size"),
        ("confirm:1:2", "That button was for an earlier request.", "size"),
        ("page:1:date:2027-03", "That button was for the date in an earlier request.", "size"),
        ("back:1", "That button was for an earlier request.", "size"),
        ("cancel:1", "That button was for an earlier request.", "size"),
        ("answer:1:offer:2", "That button was for the price in an earlier request.", "size"),
        ("restart:1", "That button was for an earlier request.", "size"),
    ],
)
def test_a_button_of_an_earlier_brief_says_what_it_was_for(
    value: str, says: str, asks: str
) -> None:
    talk = press(Talk().say("a hoop", "start over", "a hoop"), value)
    assert talk.text.startswith(says)
    assert talk.asked == asks
    assert len(talk.state.draft.pieces) == 1


def test_an_old_button_that_is_still_true_is_taken() -> None:
    talk = Talk().say("a 6 ft hoop, june 6, 02139")
    outdoors = talk.button("Outdoors")
    talk.press("Indoors").say("pink")
    assert talk.press_old(outdoors).state.draft.setting == "outdoor"
    assert press(talk, "person:7").outcomes[-1].calls_owner


def test_an_old_day_that_has_gone_by_is_not_taken() -> None:
    talk = Talk().say("a 6 ft hoop")
    day = talk.button("20")
    talk.wait(days=30).press_old(day)
    assert talk.text.startswith("That day has already gone by")
    assert talk.asked == "date"


def test_a_yes_to_an_older_version_of_what_was_sent_is_explained() -> None:
    talk = Talk().say(WHOLE)
    first = talk.button("Yes, price it")
    talk.say("make it 8 ft tall").press("Yes, price it").press_old(first)
    assert talk.text.startswith("That yes was for an earlier version")
    assert len(talk.submissions) == 1


# --- A second event ----------------------------------------------------------------------------


def test_a_second_event_waits_its_turn_and_is_a_lead_of_its_own() -> None:
    talk = Talk().say(WHOLE, "and for another party on july 8 we need a 6 ft hoop")
    assert "one at a time" in talk.text
    assert [piece.support for piece in talk.state.draft.pieces] == ["round_top_frame"]
    talk.say("yes")
    assert "kept what you said about the other event" in talk.text
    talk.press("Start the other event")
    assert talk.text.startswith("Now to the other event.")
    draft = talk.state.draft
    assert [piece.support for piece in draft.pieces] == ["hoop"]
    assert (str(draft.event_date), draft.colours) == ("2027-07-08", ())
    while talk.asked:
        talk.press("Not sure yet")
    talk.say("yes")
    assert [one.key_suffix.split("-")[0] for one in talk.submissions] == ["1", "2"]
    assert not talk.submissions[1].revises


def test_two_events_in_one_message_are_told_apart() -> None:
    talk = Talk().say(
        "two events: a 6 ft hoop for a wedding on june 6 and two columns for a birthday on july 8"
    )
    assert "one at a time" in talk.text
    draft = talk.state.draft
    assert [(piece.support, piece.count) for piece in draft.pieces] == [("hoop", 1)]
    assert (draft.occasion, str(draft.event_date)) == ("wedding", "2027-06-06")
    assert talk.state.another == "two columns for a birthday on july 8"


def test_what_waits_is_not_lost_by_a_cancel() -> None:
    talk = Talk().say(WHOLE, "and for another party on july 8 we need a 6 ft hoop", "cancel")
    talk.press("Start the other event")
    assert [piece.support for piece in talk.state.draft.pieces] == ["hoop"]
    assert talk.state.another == ""


def test_the_other_event_cannot_be_begun_before_the_first_is_sent() -> None:
    talk = Talk().say(WHOLE, "and for another party on july 8 we need a 6 ft hoop")
    press(talk, "other:1")
    assert talk.last.kind == "readback"
    assert talk.state.number == 1


# --- Who it is ---------------------------------------------------------------------------------


def test_a_number_that_was_shared_goes_with_the_brief() -> None:
    talk = Talk().say(WHOLE, "talk to a person")
    (share,) = talk.last.buttons
    assert (share.share, share.label) == ("contact", "Share my number")
    talk.hear(Incoming(kind="contact", text="+16175550142"))
    assert "your number goes along" in talk.text
    talk.say("yes")
    assert talk.submissions[0].phone == "+16175550142"
    assert talk.brief["notes"].startswith("Phone: +16175550142\n")


def test_a_number_that_comes_after_the_yes_calls_the_owner() -> None:
    talk = Talk().say(WHOLE, "yes").hear(Incoming(kind="contact", text="+16175550142"))
    assert talk.outcomes[-1].calls_owner


def test_the_campaign_of_the_link_goes_with_the_brief() -> None:
    talk = Talk().hear(Incoming(kind="start", text="spring-fair")).say(WHOLE, "yes")
    assert talk.submissions[0].source == "spring-fair"


@pytest.mark.parametrize("label", ["Not sure yet", "Back", "Talk to Odile"])
def test_the_keys_of_a_phones_keyboard_are_understood_as_text(label: str) -> None:
    talk = Talk().say("a 6 ft hoop", "june 6").say(label)
    asked = {"Not sure yet": "setting", "Back": "date", "Talk to Odile": None}
    assert talk.asked == asked[label]


def test_the_place_is_asked_with_a_way_to_share_it() -> None:
    talk = Talk(shop=STOCK).say("a 6 ft hoop, june 6")
    assert [button.share for button in talk.last.buttons if button.share] == ["location"]
    assert State.from_dict(talk.stored).asked == "place"


def test_leaving_the_list_of_changes_leaves_what_was_sent() -> None:
    talk = Talk().say(WHOLE, "yes", "change something").press("Leave it as it is")
    assert (talk.text, talk.state.stage) == ("It stays as it was sent.", "sent")


def test_another_occasion_on_another_day_is_another_event() -> None:
    talk = Talk().say(
        "a 6 ft hoop for a wedding on june 6", "and a birthday on july 8, two columns"
    )
    assert "one at a time" in talk.text
    assert (talk.state.draft.occasion, len(talk.state.draft.pieces)) == ("wedding", 1)


def test_every_question_has_a_way_to_everything_else_in_its_place() -> None:
    talk = Talk().say("a 6 ft hoop").press("More")
    labels = [button.label for button in talk.last.buttons]
    assert labels == ["Go on", "Where it stands", "Start over", "Cancel"]
    assert (talk.last.edits, talk.state.asked) == ("m1", "date")
    talk.press("Go on")
    assert (talk.asked, talk.last.edits) == ("date", "m1")
    assert "still collecting" in talk.press("More").press("Where it stands").text
    assert talk.press("More").press("Cancel").state.stage == "new"


def test_a_greeting_before_two_events_and_two_colours_within_the_first_keep_them_apart() -> None:
    talk = Talk().say(
        "hi! we need balloons for two events: a graduation on june 12, 8 ft wide 8 ft tall arch in"
        " blue and white, indoors 02139, and a retirement party on july 3 with two columns, 6 ft"
    )
    draft = talk.state.draft
    assert [piece.support for piece in draft.pieces] == ["freestanding_arch"]
    assert (draft.occasion, str(draft.event_date)) == ("graduation", "2027-06-12")
    assert (draft.colours, draft.postal_code) == (("blue", "white"), "02139")
    assert talk.state.another == "a retirement party on july 3 with two columns, 6 ft"


@pytest.mark.parametrize(
    ("words", "said", "language"),
    [("mejor en inglés por favor", "In English, then.", "en"),
     ("can we do this in spanish please", "Seguimos en español.", "es")],
)  # fmt: skip
def test_another_language_is_wished_for_amid_other_words(
    words: str, said: str, language: str
) -> None:
    first = "quiero un aro de 6 pies" if language == "en" else "I would like a 6 ft hoop"
    talk = Talk().say(first, words)
    assert talk.text.startswith(said)
    assert talk.state.language == language
