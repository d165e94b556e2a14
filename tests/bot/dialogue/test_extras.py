"""What goes on the pieces and beside them: extras, foils, floating balloons."""

from dataclasses import replace

import pytest

from bot.dialogue.brief import brief_json
from bot.dialogue.draft import Accent, Draft, Piece
from bot.dialogue.filling import fill
from bot.dialogue.heard import Heard
from bot.dialogue.state import State
from bot.understanding import Slots
from bot.understanding.slots import Extra, Structure
from service.contract.brief import Brief
from tests.bot.dialogue.talking import NOON, SHOP, WHOLE, Talk
from tests.bot.dialogue.walking import STOCK

HOOP = Piece(support="hoop", width_m=1.8288)
COLUMN = Piece(support="column", count=2, height_m=1.8288)
SIGN = Extra(kind="sign", words="Welcome")


def filled(slots: Slots, text: str = "", draft: Draft | None = None) -> Draft:
    state = State(stage="readback", draft=draft or Draft(pieces=(HOOP,)))
    heard = Heard(act="facts", text=text, slots=slots)
    return fill(state, heard, today=NOON.date(), shop=SHOP).draft


def test_a_sign_hangs_on_one_piece_and_greenery_dresses_all() -> None:
    slots = Slots(extras=(SIGN, Extra(kind="greenery"), Extra(kind="flowers", count=8)))
    draft = filled(slots, draft=Draft(pieces=(HOOP, COLUMN)))
    hoop, column = brief_json(draft)["pieces"]
    kinds = [[one["kind"] for one in piece.get("accents", ())] for piece in (hoop, column)]
    assert kinds == [["sign", "greenery", "flowers"], ["greenery"]]
    Brief.model_validate(brief_json(draft))


def test_an_extra_named_again_is_changed_and_one_taken_away_is_gone() -> None:
    draft = filled(Slots(extras=(SIGN, Extra(kind="flowers"))))
    draft = filled(Slots(extras=(replace(SIGN, words="Hello"),)), draft=draft)
    told = [(one.kind, one.words) for one in draft.accents]
    assert told == [("sign", "Hello"), ("flowers", None)]
    draft = filled(Slots(), "without the sign", draft=draft)
    assert draft.accents == (Accent(kind="flowers", each=True),)


def test_an_extra_is_taken_away_in_talk() -> None:
    talk = Talk().say("a 6 ft hoop with a sign that says Welcome", "remove the sign")
    assert talk.text.startswith("Changed.")
    assert talk.state.draft.accents == ()


def test_where_the_garland_lies_and_how_its_colours_follow_reach_the_wire() -> None:
    structure = Structure(kind="hoop", placement="one_side", coverage=0.4, pattern="ombre")
    draft = filled(Slots(structures=(structure,), fullness="lush"))
    piece = brief_json(draft)["pieces"][0]
    assert (piece["placement"], piece["coverage"]) == ("one_side", 0.4)
    assert (piece["pattern"], piece["fullness"]) == ("ombre", "lush")
    assert piece["width_m"] == pytest.approx(1.8288)


def test_a_number_of_floating_balloons_is_sent_as_latex() -> None:
    draft = filled(Slots(floating=12))
    assert brief_json(draft)["floating"] == [{"kind": "latex", "size_class": 11, "count": 12}]
    assert "floating" not in brief_json(filled(Slots()))


def test_some_floating_balloons_are_asked_for_their_number() -> None:
    talk = _floating()
    assert talk.asked == "floating"
    assert talk.text.endswith("How many balloons should float?")
    assert "Floating: 24 balloons on helium" in talk.press("24").text
    assert "Floating: 30 balloons on helium" in _floating().say("about 30").text


def test_a_number_that_stays_open_is_said_to_the_owner() -> None:
    talk = _floating().press("Not sure yet")
    assert "Floating: some on helium, number open" in talk.text
    talk.say("yes")
    assert "floating" not in talk.brief
    assert "how many is open" in talk.brief["notes"]


def _floating() -> Talk:
    """A talk in which all is known but how many float."""
    talk = Talk().say("a 6 ft hoop, june 6 3pm, indoors in 02139, pink")
    draft = replace(talk.state.draft, floating=0)
    talk.stored = replace(talk.state, draft=draft).to_dict()
    return talk.say("status")


def test_a_foil_that_is_no_shape_of_the_shops_is_left_to_the_owner() -> None:
    talk = Talk(shop=STOCK).say("a 6 ft hoop, june 6 3pm, indoors in 02139, pink, foil star")
    foils = ("star", "dragon", "LOVE", "5")
    talk.stored = replace(talk.state, draft=replace(talk.state.draft, foils=foils)).to_dict()
    talk.say("nothing else, thanks").say("status")
    assert "Odile looks into the foil dragon; the price leaves it out." in talk.text
    talk.say("yes")
    assert talk.brief["foils"] == ["star", "LOVE", "5"]
    assert "Foil shapes wished, not in the price: dragon" in talk.brief["notes"]


def test_a_shop_that_names_no_shapes_takes_all() -> None:
    talk = Talk().say("a 6 ft hoop, june 6 3pm, indoors in 02139, pink, foil star", "yes")
    assert talk.brief["foils"] == ["star"]


@pytest.mark.parametrize("words", ["no eucalyptus", "sin eucalipto"])
def test_greenery_that_is_refused_is_gone_and_is_no_colour(words: str) -> None:
    talk = Talk().say(f"{WHOLE}, with some eucalyptus")
    assert [accent.kind for accent in talk.state.draft.accents] == ["greenery"]
    talk.say(words)
    assert talk.state.draft.accents == ()
    assert talk.state.draft.unwanted == ()
    assert talk.state.draft.colours == ("sage", "cream", "gold")


def test_a_sign_does_not_make_another_occasion() -> None:
    talk = Talk().say(f"{WHOLE}, for the library's reopening")
    before = talk.state.draft.occasion
    assert before is not None
    talk.say("also can you put a sign saying Welcome Back")
    assert talk.state.draft.occasion == before
