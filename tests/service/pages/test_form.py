"""The website form, from the empty page to the price."""

import re
import threading
from collections.abc import Callable
from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    Floating,
    FloatKind,
    Fullness,
    Piece,
    Placement,
    Setting,
    Support,
)
from service.leads.lead import Client, Lead
from service.pages.form.supports import ASKED
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of

ROWING_CLUB: dict[str, Any] = {
    "p1-support": "round_top_frame",
    "p1-width-ft": "4",
    "p1-height-ft": "7",
    "fullness": "full",
    "colour": ["sage", "cream", "gold"],
    "occasion": "anniversary",
    "date": "2027-06-06",
    "time": "15:00",
    "place": "boathouse hall",
    "postal_code": "02472",
    "setting": "indoor",
    "name": "Nora Ålund",
    "email": "nora@rowing.example",
}


def opened(shop: BuiltShop, client: TestClient) -> str:
    """Open the form and take a minute over it; the token that it was opened with."""
    once = hidden_in(client.get("/form").text)["once"]
    shop.now += timedelta(minutes=1)
    return once


def send(shop: BuiltShop, client: TestClient, **entered: Any) -> Any:
    """Fill in the form as the rowing club would, with some fields changed, and send it."""
    once = opened(shop, client)
    return client.post("/form", data={"once": once} | ROWING_CLUB | entered)


def leads_in(shop: BuiltShop) -> list[Lead]:
    with shop.ports.read() as work:
        return work.leads.page(before=None, limit=50, state=None)


def the_brief(shop: BuiltShop) -> Brief:
    (lead,) = leads_in(shop)
    return lead.brief


def test_the_whole_way_from_the_form_to_the_ballpark(shop: BuiltShop, client: TestClient) -> None:
    answer = send(shop, client)
    assert answer.status_code == 303
    path = answer.headers["location"]
    assert path.startswith("/requests/")
    waiting = client.get(path)
    assert waiting.headers["refresh"] == "2"
    assert "We're working it out" in text_of(waiting.text)
    shop.work_off()
    answered = client.get(path)
    assert "refresh" not in answered.headers
    text = text_of(answered.text)
    assert re.search(r"Your ballpark is \$\d+ to \$\d+", text)
    (lead,) = leads_in(shop)
    quote_path, booking_path = shop.paths(lead)
    targets = [str(link["href"]) for link in elements_of(answered.text, "a")]
    assert any(target.endswith(quote_path) for target in targets)
    assert any(target.endswith(booking_path) for target in targets)


def test_the_brief_is_what_was_entered(shop: BuiltShop, client: TestClient) -> None:
    send(shop, client, guests="1,200", budget="$600", notes="by the river\r\nplease", foils="50")
    brief = the_brief(shop)
    assert brief.pieces == (
        Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336),
    )
    assert [share.colour for share in brief.palette] == ["sage", "cream", "gold"]
    assert brief.event.date == date(2027, 6, 6)
    assert brief.event.start_time == time(15)
    assert brief.event.occasion == "anniversary"
    assert brief.event.guests == 1200
    assert brief.site.setting is Setting.INDOOR
    assert (brief.site.place, brief.site.postal_code) == ("boathouse hall", "02472")
    shop_site = shop.price_books.current().shop
    found = (brief.site.latitude, brief.site.longitude)
    assert found == (shop_site.latitude, shop_site.longitude)
    assert brief.budget is not None
    assert brief.budget.max == Decimal("600.00")
    assert brief.foils == ("5", "0")
    assert brief.notes == "by the river\nplease"
    (lead,) = leads_in(shop)
    assert lead.channel == "form"
    assert lead.client == Client(name="Nora Ålund", email="nora@rowing.example")


def test_it_costs_what_the_same_brief_costs_elsewhere(shop: BuiltShop, client: TestClient) -> None:
    send(shop, client)
    entered, given = shop.estimate(the_brief(shop)), shop.estimate(a_brief())
    assert entered.price == given.price


def test_nothing_is_stored_by_opening_the_form(shop: BuiltShop, client: TestClient) -> None:
    client.get("/form")
    assert leads_in(shop) == []


def test_sending_the_same_form_twice_makes_one_lead(shop: BuiltShop, client: TestClient) -> None:
    once = opened(shop, client)
    answers = [client.post("/form", data={"once": once} | ROWING_CLUB) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert answers[0].headers["location"] == answers[1].headers["location"]
    assert len(leads_in(shop)) == 1


def test_pressing_the_button_many_times_at_once_makes_one_lead(
    shop: BuiltShop, client: TestClient, browser: Callable[[], TestClient]
) -> None:
    once = opened(shop, client)
    places: list[str] = []

    def press() -> None:
        answer = browser().post("/form", data={"once": once} | ROWING_CLUB)
        places.append(answer.headers["location"])

    threads = [threading.Thread(target=press) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(places) == 6
    assert len(set(places)) == 1
    assert len(leads_in(shop)) == 1


def test_going_back_and_changing_something_asks_anew(shop: BuiltShop, client: TestClient) -> None:
    once = opened(shop, client)
    for feet in ("7", "8"):
        client.post("/form", data={"once": once} | ROWING_CLUB | {"p1-height-ft": feet})
    assert len(leads_in(shop)) == 2


@pytest.mark.parametrize(
    ("entered", "field", "said"),
    [
        ({"p1-support": ""}, "p1-support", "Choose what should carry the balloons"),
        ({"p1-support": "trellis"}, "p1-support", "Choose one from the list"),
        ({"p1-width-ft": ""}, "p1-width", "Tell us how wide it is"),
        ({"p1-height-ft": "tall"}, "p1-height", "Write the size in numbers"),
        ({"p1-height-ft": "🎈"}, "p1-height", "Write the size in numbers"),
        ({"p1-height-ft": "-7"}, "p1-height", "Write the size in numbers"),
        ({"p1-width-ft": "900"}, "p1-width", "900 ft is more than one piece can be"),
        ({"p1-width-ft": "0"}, "p1-width", "too small for balloons"),
        ({"p1-height-ft": "1"}, "p1-height", "the height has to be more than that"),
        ({"p1-count": "500"}, "p1-count", "whole number from 1 to 50"),
        ({"p1-count": "many"}, "p1-count", "whole number from 1 to 50"),
        ({"colours": "🎈, 🎉"}, "colours", "Please write colors in words"),
        ({"colours": "a, b, c, d, e, f, g, h, i, j, k, l, m"}, "colours", "That is 16 colors"),
        ({"colours": "x" * 41}, "colours", "Name each color in a word or two"),
        ({"foils": "9" * 41}, "foils", "more foil than fits"),
        ({"sign": "a" * 121}, "sign", "A sign holds 120 characters"),
        ({"floats": "many"}, "floats", "whole number up to 500"),
        ({"floats": "501"}, "floats", "whole number up to 500"),
        ({"date": "2027-01-09"}, "date", "Saturday, January 9, 2027 has already gone by"),
        ({"date": "6/6/2077"}, "date", "Please check the year"),
        ({"date": "soon"}, "date", "Write the day as month/day/year"),
        ({"date": "2027-02-30"}, "date", "Write the day as month/day/year"),
        ({"time": "after lunch"}, "time", "Write the time like 3:00 PM"),
        ({"guests": "a few"}, "guests", "whole number"),
        ({"guests": "-3"}, "guests", "whole number"),
        ({"budget": "-50"}, "budget", "Write the budget like 450 or 1,450"),
        ({"budget": "480,50"}, "budget", "Write the budget like 450 or 1,450"),
        ({"budget": "NaN"}, "budget", "Write the budget like 450 or 1,450"),
        ({"budget": "9" * 9}, "budget", "Please check the amount"),
        ({"notes": "a" * 4001}, "notes", "keep this to 4,000 characters; it has 4,001"),
        ({"place": "a" * 201}, "place", "keep this to 200 characters"),
        ({"name": ""}, "name", "Tell us your name"),
        ({"email": ""}, "email", "one of the two is enough"),
        ({"email": "nora@"}, "email", "doesn't look like an email address"),
        ({"phone": "none"}, "phone", "phone number doesn't work"),
        ({"website": "https://spam.example"}, "website", "If you are a person"),
    ],
)
def test_what_cannot_be_taken_is_said_kindly_beside_its_field(
    entered: dict[str, str], field: str, said: str, shop: BuiltShop, client: TestClient
) -> None:
    answer = send(shop, client, **entered)
    assert answer.status_code == 422
    html = answer.text
    assert said in text_of(html)
    assert f'<a href="#{field}">' in html  # in the summary
    assert f'id="{field}-fault"' in html  # and beside the field
    assert any(attributes.get("id") == field for _, attributes in _fields(html))
    assert leads_in(shop) == []
    for typed in entered.values():
        if typed and field != "p1-support":
            assert any(typed in values for values in _values(html)), "what was typed is kept"


def test_a_refused_form_says_so_in_its_title_and_takes_the_reader_to_the_faults(
    shop: BuiltShop, client: TestClient
) -> None:
    assert "<title>Ask for a price" in client.get("/form").text
    html = send(shop, client, name="").text
    assert "<title>Check: Ask for a price" in html
    (summary,) = [box for box in elements_of(html, "div") if box.get("id") == "faults"]
    assert "autofocus" in summary
    assert summary["tabindex"] == "-1"


def test_it_promises_no_more_than_it_keeps(client: TestClient) -> None:
    text = text_of(client.get("/form").text)
    assert "some requests Ida Marsh looks at first" in text
    assert "One of the two is enough." in text
    assert "some requests Ida Marsh looks at first" in text_of(client.get("/").text)


def _fields(html: str) -> list[tuple[str, dict[str, str | None]]]:
    return [(tag, a) for tag in ("input", "select", "textarea") for a in elements_of(html, tag)]


def _values(html: str) -> list[str]:
    values = [str(box.get("value") or "") for box in elements_of(html, "input")]
    notes = re.search(r"<textarea[^>]*>\n?(.*?)</textarea>", html, re.DOTALL)
    return [*values, notes[1] if notes else ""]


def test_all_faults_are_said_at_once_and_nothing_typed_is_lost(
    shop: BuiltShop, client: TestClient
) -> None:
    answer = send(
        shop, client, **{"p1-width-ft": "x", "budget": "-5", "name": "", "date": "2027-01-01"}
    )
    assert answer.status_code == 422
    text = text_of(answer.text)
    assert "A few things need another look" in text
    assert answer.text.count('class="fault"') == 4
    assert 'value="boathouse hall"' in answer.text
    ticked = [
        box["value"]
        for box in elements_of(answer.text, "input")
        if box.get("name") == "colour" and "checked" in box
    ]
    assert ticked == ["cream", "sage", "gold"]
    shop.now += timedelta(minutes=1)
    corrected = client.post("/form", data={"once": hidden_in(answer.text)["once"]} | ROWING_CLUB)
    assert corrected.status_code == 303
    assert len(leads_in(shop)) == 1


def test_an_empty_form_names_what_is_needed(shop: BuiltShop, client: TestClient) -> None:
    answer = client.post("/form", data={})
    assert answer.status_code == 422
    assert (
        answer.text.count('class="fault"') == 4
    )  # what to build, the name, a way to reach, the time
    assert leads_in(shop) == []


def test_garbage_instead_of_a_form_is_answered_kindly(shop: BuiltShop, client: TestClient) -> None:
    for body in (b"\xff\xfe\x00", b"{]", b"a=1&" * 1000, "🎈".encode() * 100):
        answer = client.post(
            "/form", content=body, headers={"Content-Type": "application/x-www-form-urlencoded"}
        )
        assert answer.status_code == 422
        assert "Traceback" not in answer.text
    huge = client.post("/form", data=ROWING_CLUB | {"notes": "a" * 300_000})
    assert huge.status_code == 413
    assert "Please shorten your text" in huge.text
    assert leads_in(shop) == []


def test_four_thousand_emoji_are_notes_like_any_other(shop: BuiltShop, client: TestClient) -> None:
    assert send(shop, client, notes="🎈" * 4000).status_code == 303
    assert the_brief(shop).notes == "🎈" * 4000


def test_characters_that_no_text_should_hold_are_left_out(
    shop: BuiltShop, client: TestClient
) -> None:
    assert (
        send(shop, client, name="Nora\x00 \x1bÅlund", notes="\x00by the river").status_code == 303
    )
    (lead,) = leads_in(shop)
    assert lead.client.name == "Nora Ålund"
    assert lead.brief.notes == "by the river"


@pytest.mark.parametrize("support", ASKED)
def test_every_support_on_offer_can_be_asked_for_by_its_measures(
    support: Support, shop: BuiltShop, client: TestClient
) -> None:
    sizes = zip(ASKED[support].measures, ASKED[support].usual_in, strict=True)
    entered = {"p1-width-ft": "", "p1-height-ft": ""}
    entered |= {f"p1-{name}-in": str(inches) for name, inches in sizes}
    assert send(shop, client, **{"p1-support": support} | entered).status_code == 303
    (piece,) = the_brief(shop).pieces
    assert piece.support is support
    assert not piece.measures_assumed


@pytest.mark.parametrize("support", ASKED)
def test_whoever_is_unsure_of_the_size_gets_a_usual_one_and_it_is_marked_so(
    support: Support, shop: BuiltShop, client: TestClient
) -> None:
    entered = {"p1-support": support, "p1-width-ft": "", "p1-height-ft": "", "p1-unsure": "1"}
    assert send(shop, client, **entered).status_code == 303
    (piece,) = the_brief(shop).pieces
    assert piece.measures_assumed
    assert 1.0 < piece.path.length_m < 12.0


def test_measures_of_another_support_are_not_mixed_in(shop: BuiltShop, client: TestClient) -> None:
    # Chosen first as a frame, then changed to a hoop: the height is still in the form.
    send(shop, client, **{"p1-support": "hoop", "p1-width-ft": "6"})
    (piece,) = the_brief(shop).pieces
    assert piece == Piece(support=Support.HOOP, width_m=1.8288)


@pytest.mark.parametrize(
    ("feet", "inches", "metres"),
    [
        ("6", "6", 1.9812),
        ("6.5", "", 1.9812),
        ("6,5", "", 1.9812),
        ("6'6\"", "", 1.9812),
        ("6 ft 6 in", "", 1.9812),
        ("6 feet", "6 inches", 1.9812),
        ("", "78", 1.9812),
        ("6 pies 6 pulgadas", "", 1.9812),
        ("1.8 m", "", 1.8),
        ("1,8 metros", "", 1.8),
        ("1 m 80", "", 1.8),
        ("180 cm", "", 1.8),
    ],
)
def test_a_size_may_be_written_the_way_people_do(
    feet: str, inches: str, metres: float, shop: BuiltShop, client: TestClient
) -> None:
    send(shop, client, **{"p1-height-ft": feet, "p1-height-in": inches})
    (piece,) = the_brief(shop).pieces
    assert piece.height_m == pytest.approx(metres)


def test_up_to_three_pieces_share_one_fullness(shop: BuiltShop, client: TestClient) -> None:
    send(
        shop,
        client,
        **{
            "fullness": "lush",
            "p2-support": "column",
            "p2-height-ft": "6",
            "p2-count": "2",
            "p3-support": "table",
            "p3-length-ft": "8",
        },
    )
    pieces = the_brief(shop).pieces
    assert [(piece.support, piece.count) for piece in pieces] == [
        (Support.ROUND_TOP_FRAME, 1),
        (Support.COLUMN, 2),
        (Support.TABLE, 1),
    ]
    assert {piece.fullness for piece in pieces} == {Fullness.LUSH}


def test_each_piece_has_its_own_placement_and_the_first_one_the_extras(
    shop: BuiltShop, client: TestClient
) -> None:
    entered = {
        "p1-placement": "asymmetric",
        "p2-support": "wall",
        "p2-length-ft": "8",
        "p2-placement": "centred",
        "extra": ["flowers", "ribbon", "fireworks"],
        "sign": "Fifty years afloat",
    }
    send(shop, client, **entered)
    first, second = the_brief(shop).pieces
    assert (first.placement, second.placement) == (Placement.ASYMMETRIC, Placement.CENTRED)
    assert first.accents == (
        Accent(kind=AccentKind.FLOWERS),
        Accent(kind=AccentKind.RIBBON),
        Accent(kind=AccentKind.SIGN, words="Fifty years afloat"),
    )
    assert second.accents == ()


@pytest.mark.parametrize(
    ("entered", "floating"),
    [
        ({"floats": ""}, ()),
        ({"floats": "0"}, ()),
        ({"floats": "12"}, (Floating(kind=FloatKind.LATEX, size_class=11, count=12),)),
        (
            {"floats": "2", "floats_kind": "foil_star"},
            (Floating(kind=FloatKind.FOIL_STAR, size_class=18, count=2),),
        ),
    ],
)
def test_balloons_that_float_are_asked_for_by_number_and_kind(
    entered: dict[str, str],
    floating: tuple[Floating, ...],
    shop: BuiltShop,
    client: TestClient,
) -> None:
    send(shop, client, **entered)
    assert the_brief(shop).floating == floating


def test_pieces_that_are_too_much_together_are_refused(shop: BuiltShop, client: TestClient) -> None:
    # 50 columns of 90 ft each: every one could be built, all of them not.
    answer = send(shop, client, **{"p2-support": "column", "p2-height-ft": "90", "p2-count": "50"})
    assert answer.status_code == 422
    assert "All pieces together are more than one crew can build" in text_of(answer.text)
    assert leads_in(shop) == []


@pytest.mark.parametrize(
    ("written", "foils"),
    [
        ("50", ("5", "0")),
        ("LOVE", ("LOVE",)),
        ("50 and LOVE", ("5", "0", "LOVE")),
        ("Happy Birthday", ("Happy Birthday",)),
        ("star", ("star",)),
        ("2 stars, 7", ("star", "star", "7")),
    ],
)
def test_foils_are_read_as_digits_words_and_shapes(
    written: str, foils: tuple[str, ...], shop: BuiltShop, client: TestClient
) -> None:
    send(shop, client, foils=written)
    assert the_brief(shop).foils == foils


def test_ticked_and_written_colours_come_together_once(shop: BuiltShop, client: TestClient) -> None:
    send(shop, client, colour=["sage"], colours="Dusty Rose, sage and off white")
    palette = [share.colour for share in the_brief(shop).palette]
    assert palette == ["sage", "dusty rose", "off white"]


def test_a_phone_number_is_kept_in_its_international_form(
    shop: BuiltShop, client: TestClient
) -> None:
    send(shop, client, email="", phone="(617) 555-0123")
    (lead,) = leads_in(shop)
    assert lead.client.phone == "+1 617-555-0123"


def test_markup_in_any_field_comes_back_as_text(shop: BuiltShop, client: TestClient) -> None:
    evil = '"><script>alert(1)</script>'
    texts = ("colours", "foils", "place", "postal_code", "guests", "budget", "notes", "name")
    entered = dict.fromkeys((*texts, "email", "phone", "date", "time", "p1-width-ft"), evil)
    answer = send(shop, client, **entered)
    assert answer.status_code == 422
    assert "<script>" not in answer.text
    assert "&lt;script&gt;alert(1)" in answer.text


def test_the_form_needs_no_script_and_its_trap_is_out_of_sight(client: TestClient) -> None:
    html = client.get("/form").text
    assert [str(script["src"])[:18] for script in elements_of(html, "script")] == [
        "/static/framed.js?"
    ]
    assert '<div class="field trap" aria-hidden="true">' in html
    (trap,) = [box for box in elements_of(html, "input") if box.get("name") == "website"]
    assert trap["tabindex"] == "-1"
    assert trap["autocomplete"] == "off"


def test_every_field_has_a_label(client: TestClient) -> None:
    html = client.get("/form").text
    labelled = {label.get("for") for label in elements_of(html, "label")}
    for tag, attributes in _fields(html):
        if attributes.get("type") in ("hidden", "radio", "checkbox"):
            continue
        named = attributes.get("id") in labelled or attributes.get("aria-label")
        assert named, (tag, attributes)
