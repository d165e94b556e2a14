"""The desk's review rules: read, changed, tried on past requests, saved."""

import re

from starlette.testclient import TestClient

from service.estimating import Setting, Site
from service.estimating.book import Figure, Test
from service.leads.lead import Client, LeadState
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of

OUTDOORS = Site(setting=Setting.OUTDOOR, place="meadow", postal_code="02472")


def form_of(page: str) -> dict[str, str]:
    """What the browser would send of the rules on the page."""
    fields = {
        name: value for name, value in hidden_in(page).items() if name in ("csrf", "basis", "rows")
    }
    for select in re.findall(r"<select.*?</select>", page, re.DOTALL):
        (name,) = re.findall(r'name="([^"]+)"', select)
        fields[name] = next(iter(re.findall(r'value="([^"]*)" selected', select)), "")
    for element in elements_of(page, "input"):
        if element.get("type") != "hidden":
            fields[str(element["name"])] = element["value"] or ""
    return fields


def press(owner: TestClient, page: str, button: str, **typed: str) -> str:
    answer = owner.post("/desk/rules", data=form_of(page) | typed | {"do": button})
    assert answer.status_code in (200, 422), answer.status_code
    return answer.text


def rules_on(page: str) -> list[str]:
    return [" ".join(said.split()) for said in re.findall(r"<legend>(.*?)</legend>", page)]


def test_the_page_says_the_rules_in_words_and_what_no_rule_can_switch_off(
    owner: TestClient,
) -> None:
    page = owner.get("/desk/rules").text
    assert rules_on(page) == [
        "1. It is outdoors.",
        "2. The likely price is over $1,500.",
        "3. It is outside the usual area.",
        "4. The drive is over 35 miles, and it is within the usual area.",
        "5. It is under 5 days away.",
        "6. Any balloon on helium.",
        "7. The client is not sure of the size.",
        "8. Over 4 things had to be assumed.",
        "9. The margin is under 25%.",
    ]
    said = text_of(page)
    assert "cannot be switched off: The date is in the past. A latex allergy" in said
    assert "would not stand in the wind" in said


def test_rows_are_added_moved_and_taken_out_without_saving(owner: TestClient) -> None:
    page = owner.get("/desk/rules").text
    page = press(owner, page, "up-8")
    assert rules_on(page)[7] == "8. The margin is under 25%."
    for _ in range(8):
        page = press(owner, page, "remove-0")
    assert rules_on(page) == ["1. Over 4 things had to be assumed."]
    page = press(owner, page, "add")
    assert rules_on(page)[1] == "2. New rule"
    assert len(rules_on(owner.get("/desk/rules").text)) == 9


def test_a_changed_rule_is_saved_and_new_requests_go_by_it(
    shop: BuiltShop, owner: TestClient
) -> None:
    page = owner.get("/desk/rules").text
    typed = {"limit-1": "$200", "also-1": "weekend is yes", "limit-8": "20%"}
    answer = owner.post("/desk/rules", data=form_of(page) | typed | {"do": "save"})
    assert answer.headers["location"] == "/desk/rules?saved=1"
    page = owner.get("/desk/rules?saved=1").text
    assert "Saved." in text_of(page)
    assert rules_on(page)[1] == "2. The likely price is over $200, and it is on a weekend."
    lead = shop.quoted(a_brief())
    assert lead.state is LeadState.REVIEW
    (why,) = lead.review_reasons
    assert re.fullmatch(r"The likely price of \$\d+ is over \$200, and it is on a weekend\.", why)
    last = shop.price_books.current().review[-1].when
    assert (last.figure, last.test, last.threshold) == (Figure.MARGIN_PERCENT, Test.BELOW, 20)
    assert shop.price_books.newest().made_by == "owner"


def test_an_old_page_saves_nothing(shop: BuiltShop, owner: TestClient) -> None:
    page = owner.get("/desk/rules").text
    first = form_of(page) | {"limit-1": "900", "do": "save"}
    assert owner.post("/desk/rules", data=first).status_code == 303
    again = form_of(page) | {"limit-1": "700", "do": "save"}
    answer = owner.post("/desk/rules", data=again)
    assert answer.status_code == 409
    assert shop.price_books.current().review[1].when.threshold == 900


def test_what_is_no_rule_is_said_beside_its_field(owner: TestClient) -> None:
    page = owner.get("/desk/rules").text
    for typed, field, text in (
        ({"limit-1": "plenty"}, "limit-1", "Give a number"),
        ({"limit-1": ""}, "limit-1", "Give a number"),
        ({"limit-1": "9,000,000"}, "limit-1", "from 0 to 1,000,000"),
        ({"limit-4": "0"}, "limit-4", "never below 0"),
        ({"when-0": ""}, "when-0", "Choose what the rule goes by"),
        ({"when-0": "moon is yes"}, "when-0", "Choose what the rule goes by"),
        ({"also-0": "outdoors is yes"}, "also-0", "name another condition"),
        ({"alsolimit-0": "5"}, "also-0", "Choose what else must hold"),
    ):
        for button in ("save", "try"):
            answer = press(owner, page, button, **typed)
            assert f'id="{field}-fault"' in answer, typed
            assert text in text_of(answer), typed
            assert 'id="tried"' not in answer
    assert len(rules_on(owner.get("/desk/rules").text)) == 9


def test_edited_rules_are_tried_on_past_requests_before_they_are_saved(
    shop: BuiltShop, owner: TestClient
) -> None:
    waits = shop.quoted(a_brief(site=OUTDOORS), client=Client(name="Nora Ålund"))
    shop.quoted(a_brief())
    page = owner.get("/desk/rules").text
    tried = press(owner, page, "try", days="30")
    said = text_of(tried)
    assert "Of the 2 requests with a price in the last 30 days, 1 would have waited" in said
    assert "It is outdoors. 1 caught: 0 worth a look, 0 for nothing, 1 not decided" in said
    assert f'<a href="/desk/leads/{waits.id}">{waits.number}, Nora Ålund</a>' in tried
    without = press(owner, press(owner, page, "remove-0"), "try")
    said = text_of(without)
    assert "0 would have waited" in said
    assert "By the rules in use it is 1." in said
    assert "Waits by the rules in use, and would go out at once 1" in said
    assert "Nothing has been saved." in said
    assert rules_on(without)[0] == "1. The likely price is over $1,500."
    assert shop.price_books.current().review[0].when.figure is Figure.OUTDOORS


def test_every_choice_that_the_page_offers_can_be_saved(shop: BuiltShop, owner: TestClient) -> None:
    page = owner.get("/desk/rules").text
    select = re.findall(r'<select id="when-0".*?</select>', page, re.DOTALL)[0]
    choices = re.findall(r'value="([^"]+)"', select)
    assert len(choices) > 50
    data = {"csrf": hidden_in(page)["csrf"], "days": "90", "do": "try"}
    for some in (choices[:30], choices[30:]):
        rows = {f"when-{i}": choice for i, choice in enumerate(some)}
        limits = {f"limit-{i}": "7" for i in range(len(some))}
        basis = shop.price_books.newest().version
        entered = data | rows | limits | {"rows": str(len(some)), "basis": basis, "do": "save"}
        assert owner.post("/desk/rules", data=entered).status_code == 303
        assert len(shop.price_books.current().review) == len(some)
        assert len(rules_on(owner.get("/desk/rules").text)) == len(some)
