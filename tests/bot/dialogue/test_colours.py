"""The client's colours, in words and pictures, beside those that the shop keeps."""

import pytest

from bot.dialogue import Found, Incoming
from tests.bot.dialogue.talking import Talk
from tests.bot.dialogue.walking import STOCK

REST = "a 6 ft hoop, june 6 3pm, indoors in 02139"
PHOTO = Found(colours=("#a9b79a", "#c9a24b", "#f59bbb"))


def stocked() -> Talk:
    return Talk(shop=STOCK)


def photo(talk: Talk, caption: str = "", found: Found = PHOTO) -> Talk:
    return talk.hear(Incoming(kind="photo", photo="p1", text=caption), found)


def names(talk: Talk) -> list[str]:
    return [swatch.name for swatch in talk.last.swatches]


# --- Words -------------------------------------------------------------------------------------


def test_what_the_shop_keeps_is_taken_without_a_word() -> None:
    talk = stocked().say(REST, "sage and ivory")
    assert talk.last.kind == "readback"
    assert "nearest" not in talk.text
    assert talk.state.draft.colours == ("sage", "cream")


def test_another_name_for_a_colour_of_the_shop_is_refused_like_the_colour() -> None:
    talk = stocked().say(REST, "sage, gold and cream", "no ivory please")
    assert talk.state.draft.colours == ("sage", "gold")
    assert talk.state.draft.unwanted == ("cream",)


def test_two_names_that_a_client_tells_apart_stay_two() -> None:
    talk = stocked().say(REST, "sage and cream", "ivory instead of cream")
    assert talk.state.draft.colours == ("sage", "ivory")


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("verde salvia y dorado", "verde salvia y dorado"),
        ("azul cobalto y amarillo pastel", "azul cobalto y amarillo pastel"),
        ("coral oscuro y perla", "coral oscuro y perla"),
    ],
)
def test_spanish_reads_its_colours_in_spanish(words: str, shown: str) -> None:
    talk = Talk().say("un aro de 6 pies, 6 de junio a las 3pm, adentro en 02139", words)
    assert f"• Colores: {shown}" in talk.text


def test_a_near_colour_is_offered_with_swatches_and_taken_with_one_tap() -> None:
    talk = stocked().say(REST, "champagne and pink")
    assert talk.asked == "shade"
    assert talk.text.startswith("The nearest we keep to champagne: sand, cream and gold.")
    assert names(talk) == ["sand", "cream", "gold"]
    talk.press("Sand")
    assert talk.last.kind == "readback"
    assert talk.state.draft.colours == ("sand", "pink")


def test_a_near_colour_may_be_named_in_words_and_changes_no_other() -> None:
    talk = stocked().say(REST, "pink and champagne", "the gold please")
    assert talk.state.draft.colours == ("pink", "gold")
    talk = stocked().say(REST, "champagne and pink", "yes")
    assert talk.state.draft.colours == ("sand", "pink")


def test_each_near_colour_is_asked_about_by_itself() -> None:
    talk = stocked().say(REST, "champagne and peach")
    talk.press("Sand")
    assert talk.asked == "shade"
    assert "keep to peach" in talk.text
    talk.press("Leave it to you")
    assert talk.state.draft.colours == ("sand", "peach")
    assert talk.last.kind == "readback"


def test_a_brief_told_at_once_is_read_back_and_offers_the_near_colour_there() -> None:
    talk = stocked().say(f"{REST}, champagne and pink")
    assert talk.last.kind == "readback"
    assert "The nearest we keep to champagne: sand, cream and gold." in talk.text
    assert names(talk) == ["sand", "cream", "gold"]
    talk.press("Sand for champagne")
    assert "• Colors: sand and pink" in talk.text
    assert "nearest" not in talk.text


def test_an_unknown_word_stays_as_it_was_said_and_is_named_to_be_matched() -> None:
    talk = stocked().say(f"{REST}, pink and clear")
    assert "• Colors: pink and clear" in talk.text
    assert "To be matched: clear." in talk.text
    talk.say("yes")
    assert talk.brief["palette"] == [{"colour": "pink"}, {"colour": "clear"}]
    assert "To be matched: clear" in talk.brief["notes"]


def test_a_colour_that_is_plainly_another_is_no_offer() -> None:
    talk = stocked().say(f"{REST}, pink and navy")
    assert "nearest" not in talk.text
    assert "To be matched: navy." in talk.text


def test_a_shop_that_tells_no_colours_matches_none() -> None:
    talk = Talk().say(f"{REST}, champagne and unicorn")
    assert "match" not in talk.text
    assert talk.last.swatches == ()


def test_swatches_are_called_as_the_client_would() -> None:
    talk = stocked().say("un aro de 6 pies, 6 de junio a las 3pm, adentro en 02139")
    talk.say("champaña y rosa")
    assert names(talk) == ["arena", "crema", "dorado"]
    assert talk.press("Arena").state.draft.colours == ("sand", "pink")


# --- Not wanted --------------------------------------------------------------------------------


def test_a_colour_that_is_not_wanted_is_kept_out_of_every_offer() -> None:
    talk = stocked().say(REST, "no sand please", "champagne and pink")
    assert names(talk) == ["cream", "gold"]
    talk.press("Cream")
    assert "• Not: sand" in talk.text
    photo(talk, found=Found(colours=("#d9c3a0", "#a9b79a")))
    assert "sand" not in names(talk)
    talk.press("Not those").say("yes")
    assert "Not wanted: sand" in talk.brief["notes"]


def test_a_colour_that_is_wanted_after_all_is_wanted() -> None:
    talk = stocked().say(f"{REST}, pink and gold", "no gold", "add gold")
    assert talk.state.draft.colours == ("pink", "gold")
    assert talk.state.draft.unwanted == ()


def test_a_colour_is_taken_away_in_spanish() -> None:
    talk = stocked().say(
        "un aro de 6 pies, 6 de junio a las 3pm, adentro en 02139, rosa y dorado", "sin dorado"
    )
    assert talk.state.draft.colours == ("pink",)
    assert "• Sin: dorado" in talk.text


# --- Pictures ----------------------------------------------------------------------------------


def test_a_picture_becomes_a_palette_to_confirm() -> None:
    talk = photo(stocked().say(REST))
    assert (talk.asked, names(talk)) == ("palette", ["sage", "gold", "pink"])
    assert "From your picture I'd take sage, gold and pink. Shall I?" in talk.text
    assert not talk.state.draft.colours
    talk.press("Take these colors")
    assert talk.last.kind == "readback"
    assert talk.state.draft.colours == ("sage", "gold", "pink")


def test_a_palette_is_taken_with_a_yes_and_left_with_a_no() -> None:
    assert photo(stocked().say(REST)).say("yes").state.draft.colours == ("sage", "gold", "pink")
    talk = photo(stocked().say(REST)).say("no")
    assert (talk.asked, talk.state.draft.colours) == ("colours", ())
    assert photo(stocked().say(REST)).say("cream and gold").state.draft.colours == ("cream", "gold")


def test_the_words_beside_a_picture_are_read_too() -> None:
    talk = photo(stocked(), "a 6 ft hoop like this for june 6")
    assert talk.asked == "palette"
    assert str(talk.state.draft.event_date) == "2027-06-06"
    talk.press("Take these colors")
    assert talk.asked == "place"


def test_a_complaint_with_a_picture_is_a_complaint() -> None:
    talk = photo(stocked(), "your garland fell down, I am very unhappy")
    assert "sorry" in talk.text
    assert talk.state.care


def test_a_picture_without_colours_is_answered_kindly() -> None:
    talk = photo(stocked().say("a 6 ft hoop"), found=Found())
    assert "couldn't make out its colors" in talk.text
    assert talk.asked == "date"
    talk = stocked().hear(Incoming(kind="photo"))
    assert "too large" in talk.text
    assert talk.asked == "support"


def test_a_picture_after_the_yes_leads_to_a_new_brief_only_where_it_is_taken() -> None:
    talk = photo(stocked().say(f"{REST}, cream", "yes"), found=Found())
    assert talk.state.stage == "sent"
    photo(talk).press("Take these colors")
    assert talk.last.kind == "readback"
    talk.say("yes")
    assert talk.submissions[1].revises


def test_a_palette_of_an_earlier_picture_is_not_taken_for_the_latest() -> None:
    talk = photo(stocked().say(REST))
    first = talk.button("Take these colors")
    photo(talk, found=Found(colours=("#f4e9d3",))).press_old(first)
    assert talk.text.startswith("That button was for the colors of a picture")
    assert talk.state.draft.colours == ()


# --- Places ------------------------------------------------------------------------------------


def test_a_shared_location_answers_where() -> None:
    talk = stocked().say("a 6 ft hoop, june 6")
    where = Found(postal_code="02139", town="Cambridge")
    talk.hear(Incoming(kind="location", text="42.37,-71.11"), where)
    draft = talk.state.draft
    assert (draft.postal_code, draft.place, talk.asked) == ("02139", "Cambridge", "setting")


def test_a_location_far_from_any_town_is_asked_in_words() -> None:
    talk = stocked().say("a 6 ft hoop, june 6")
    talk.hear(Incoming(kind="location", text="0,0"), Found())
    assert talk.text.startswith("I couldn't tell the town")
    assert talk.asked == "place"
