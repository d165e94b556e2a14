"""The brief at the desk: every field of it, what it comes to, and storing it."""

from datetime import date, time
from decimal import Decimal
from typing import Any

from starlette.testclient import TestClient

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    Budget,
    Build,
    ColourShare,
    Event,
    Floating,
    FloatKind,
    Fullness,
    Ground,
    Pattern,
    Piece,
    Placement,
    Setting,
    Shape,
    Site,
    Support,
)
from service.leads import words
from service.leads.figures import direct_cost
from service.leads.lead import Client, Lead
from service.pages.desk.brief.reading import read_brief
from service.pages.desk.brief.shown import fields_of
from service.pages.posted import Posted
from tests.service.building import BuiltShop, a_brief, a_piece
from tests.service.pages.reading import elements_of, hidden_in, text_of

NORA = Client(name="Nora Ålund", email="nora@rowing.example", phone="+1 617-555-0123")

# In metres, by thirds: nothing that feet, inches and percent could say without a rest.
WHOLE = Brief(
    pieces=(
        Piece(
            support=Support.FREESTANDING_ARCH,
            width_m=2.5,
            height_m=2.3333333,
            shape=Shape.SEMI_ELLIPSE,
            fullness=Fullness.LUSH,
            placement=Placement.ASYMMETRIC,
            coverage=1 / 3,
            pattern=Pattern.OMBRE,
            accents=(
                Accent(kind=AccentKind.FLOWERS, count=8, words="white roses"),
                Accent(kind=AccentKind.SIGN, words="Fifty years afloat"),
            ),
        ),
        Piece(
            support=Support.COLUMN,
            count=2,
            height_m=1.83,
            build=Build.QUADS,
            size_class=11,
            sized_m=0.2301,
        ),
        Piece(support=Support.STAIRCASE, steps=12, measures_assumed=True),
        Piece(support=Support.TABLE, length_m=2.4384, drop_m=0.61),
        Piece(support=Support.SWAG, width_m=3.01, sag_m=0.44),
    ),
    palette=(ColourShare(colour="Navy", share=1 / 3), ColourShare(colour="white")),
    event=Event(
        occasion="a regatta",
        date=date(2027, 6, 12),
        start_time=time(14, 30, 15),
        end_time=time(18),
        guests=120,
    ),
    site=Site(
        setting=Setting.OUTDOOR,
        place="boathouse lawn",
        postal_code="02472",
        latitude=42.37,
        longitude=-71.18,
        elevation_m=13.3,
        temperature_c=29.4,
        gust_m_s=8.1,
        beaufort=3,
        ground=Ground.GRASS,
        access_from=time(7),
        access_until=time(21, 30),
    ),
    budget=Budget(min=Decimal("300.125"), max=Decimal(2000)),
    foils=("5", "0", "star"),
    floating=(
        Floating(kind=FloatKind.LATEX, size_class=11, count=12, treated=True),
        Floating(kind=FloatKind.FOIL_STAR, size_class=19, count=2),
    ),
    client_keeps=False,
    notes="The lawn slopes.\n\nA little.",
)


def posted(lead: Lead, **typed: str) -> Posted:
    return Posted({name: (text,) for name, text in {**fields_of(lead), **typed}.items()})


def read(shop: BuiltShop, lead: Lead, **typed: str) -> Any:
    book = shop.price_books.current()
    return read_brief(posted(lead, **typed), lead, book, today=date(2027, 1, 10))


def form_of(owner: TestClient, lead: Lead) -> dict[str, str]:
    """What a browser would send of the form, unchanged."""
    html = owner.get(f"/desk/leads/{lead.id}/brief").text
    hidden = hidden_in(html)
    return hidden | dict(fields_of(lead)) | {"revision": hidden["revision"]}


def save(owner: TestClient, lead: Lead, **typed: str) -> Any:
    return owner.post(f"/desk/leads/{lead.id}/brief", data=form_of(owner, lead) | typed)


def test_a_form_that_nobody_touched_is_the_brief_exactly(shop: BuiltShop) -> None:
    lead = shop.take_lead(WHOLE, client=NORA)
    reading = read(shop, lead)
    assert reading.faults == {}
    assert reading.brief == WHOLE
    assert reading.client == NORA


def test_every_field_of_the_brief_is_on_the_page(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(WHOLE, client=NORA)
    html = owner.get(f"/desk/leads/{lead.id}/brief").text
    fields = {
        str(each["name"])
        for tag in ("input", "select", "textarea")
        for each in elements_of(html, tag)
        if each.get("name")
    }
    assert set(fields_of(lead)) <= fields
    assert {"p6-support", "c3-colour", "f3-kind", "p1-a3-kind"} <= fields  # room for one more


def test_feet_and_inches_percent_and_degrees_are_read(shop: BuiltShop) -> None:
    lead = shop.take_lead(WHOLE)
    typed = {
        "p1-width-ft": "9",
        "p1-width-in": "6",
        "p1-coverage": "50 %",
        "p2-count": "4",
        "p3-support": "",
        "p6-support": "hoop",
        "p6-width-ft": "6",
        "c1-share": "25",
        "c3-colour": "gold",
        "temperature": "86",
        "gust": "20",
        "access_from": "8 am",
        "budget_min": "$350",
        "foils": "60, heart",
        "keeps": "yes",
        "f2-kind": "",
    }
    brief = read(shop, lead, **typed).brief
    assert [piece.support for piece in brief.pieces] == [
        *(Support.FREESTANDING_ARCH, Support.COLUMN, Support.TABLE, Support.SWAG, Support.HOOP),
    ]
    arch, columns, *_, hoop = brief.pieces
    assert (arch.width_m, arch.coverage, arch.height_m) == (2.8956, 0.5, 2.3333333)
    assert (columns.count, hoop.width_m) == (4, 1.8288)
    assert brief.palette == (
        ColourShare(colour="Navy", share=0.25),
        ColourShare(colour="white"),
        ColourShare(colour="gold"),
    )
    assert brief.site.temperature_c == 30.0
    assert round(brief.site.gust_m_s, 3) == 8.941
    assert (brief.site.access_from, brief.site.access_until) == (time(8), time(21, 30))
    assert brief.site.latitude == 42.37
    assert brief.budget == Budget(min=Decimal(350), max=Decimal(2000))
    assert brief.foils == ("6", "0", "heart")
    assert brief.client_keeps is True
    assert brief.floating == WHOLE.floating[:1]


def test_another_place_has_to_be_found_on_the_map_again(shop: BuiltShop) -> None:
    lead = shop.take_lead(WHOLE)
    for typed in ({"postal_code": "02139"}, {"place": "the library"}):
        site = read(shop, lead, **typed).brief.site
        assert (site.latitude, site.longitude) == (None, None)


def test_a_day_gone_by_is_kept_but_not_taken(shop: BuiltShop) -> None:
    lead = shop.take_lead(a_brief(event=Event(date=date(2027, 1, 2))))
    assert read(shop, lead).brief.event.date == date(2027, 1, 2)
    assert "gone by" in read(shop, lead, date="2027-01-03").faults["date"]


FAULTS: tuple[tuple[dict[str, str], str, str], ...] = (
    ({"p1-support": "", "p2-support": ""}, "p1-support", "one piece at least"),
    ({"p1-support": "a boat"}, "p1-support", "Choose one from the list"),
    ({"p1-width-ft": "wide"}, "p1-width", "Write the size in numbers"),
    ({"p1-width-ft": "", "p1-width-in": ""}, "p1-width", "A round top frame needs this measure"),
    ({"p1-width-ft": "400"}, "p1-width", "Between 4 in and 98 ft"),
    ({"p1-height-ft": "1"}, "p1-height", "(2 ft)"),
    ({"p1-count": "99"}, "p1-count", "from 1 to 50"),
    ({"p1-coverage": "140"}, "p1-coverage", "from 1 to 100"),
    ({"c1-share": "80", "c2-share": "70"}, "c1-colour", "150%"),
    ({"f1-kind": "latex", "f1-size": "5"}, "f1-size", "does not float"),
    ({"date": "soon"}, "date", "month/day/year"),
    ({"time": "noonish"}, "time", "Write the time like"),
    ({"access_from": "10:00", "access_until": "9:00"}, "access_until", "later than the first"),
    ({"guests": "many"}, "guests", "a whole number"),
    ({"budget_max": "480,50"}, "budget_max", "like 450 or 1,450"),
    ({"budget_min": "900", "budget_max": "800"}, "budget_min", "swap them"),
    ({"email": "nora"}, "email", "email address"),
    ({"phone": "12"}, "phone", "area code"),
    ({"notes": "a" * 4001}, "notes", "4,000 characters"),
)


def test_every_fault_is_told_beside_its_field(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.take_lead(a_brief())
    for typed, field, said in FAULTS:
        faults = read(shop, lead, **typed).faults
        assert said in faults.get(field, ""), (typed, faults)
    answer = save(owner, lead, **{"p1-width-ft": "wide", "guests": "many"})
    assert answer.status_code == 422
    links = [link["href"] for link in elements_of(answer.text, "a")]
    assert {"#p1-width", "#guests"} <= set(links)
    assert {"p1-width", "guests"} <= {each.get("id") for each in elements_of(answer.text, "input")}
    assert 'value="wide"' in answer.text
    assert shop.lead(lead.id).revision == 0


def test_working_it_out_shows_what_changes_and_stores_nothing(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = f"/desk/leads/{lead.id}/brief/estimate"
    typed = form_of(owner, lead) | {"p1-width-ft": "5"}
    wider = shop.estimate(
        a_brief(pieces=(a_piece(support=Support.ROUND_TOP_FRAME, width_m=1.524, height_m=2.1336),))
    )
    was = shop.estimate(a_brief())
    for part in ("", "figures"):
        answer = owner.post(path, data=typed | {"part": part})
        text = text_of(answer.text)
        assert f"${wider.price.likely:.0f} was ${was.price.likely:.0f}" in text
        assert "round top frame: width 4 ft → 5 ft" in text
        assert ("<form" in answer.text) == (part == "")
    unfit = owner.post(path, data=typed | {"part": "figures", "p1-width-ft": "wide"})
    assert "Write the size in numbers" in text_of(unfit.text)
    assert shop.lead(lead.id).revision == 0
    assert owner.post(path, data=typed | {"csrf": "made up"}).status_code == 403


def test_saving_leads_back_to_a_price_that_waits(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    answer = save(owner, lead, **{"p1-width-ft": "5", "name": "Nora"})
    assert answer.status_code == 303
    page = text_of(owner.get(answer.headers["location"]).text)
    assert "a new price that only you see" in page
    assert "not sent yet" in page
    assert "The client still sees ballpark of" in page
    assert "You changed the brief" in page
    assert "round top frame: width 4 ft → 5 ft" in page
    assert "name left open → Nora" in page
    assert shop.lead(lead.id).brief.pieces[0].width_m == 1.524


def test_a_save_on_an_old_page_keeps_what_was_typed_and_says_what_changed(
    shop: BuiltShop, owner: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    old = form_of(owner, lead)
    assert save(owner, lead, **{"p1-width-ft": "5"}).status_code == 303
    path = f"/desk/leads/{lead.id}/brief"
    late = owner.post(path, data=old | {"foils": "50"})
    assert late.status_code == 409
    text = text_of(late.text)
    assert "changed in the meantime: round top frame: width 4 ft → 5 ft" in text
    assert "Nothing of yours was saved" in text
    assert "round top frame: width 5 ft → 4 ft" in text  # what saving once more would do
    assert 'value="50"' in late.text
    assert shop.lead(lead.id).brief.foils == ()
    again = owner.post(
        path, data=old | {"foils": "50", "revision": hidden_in(late.text)["revision"]}
    )
    assert again.status_code == 303
    assert shop.lead(lead.id).brief.foils == ("5", "0")


def test_a_client_whose_price_was_sent_before_sees_that_brief_and_price(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path = shop.paths(lead)[0]
    before = client.get(path).text
    added = {"p2-support": "hoop", "p2-width-ft": "6", "place": "the library"}
    assert save(owner, lead, **added).status_code == 303
    assert client.get(path).text == before
    shop.send_firm(lead)
    after = text_of(client.get(path).text)
    assert "hoop, 6 ft across" in after
    assert "the library" in after


def test_a_way_costs_what_its_lines_come_to(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief())
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    cost = words.money(direct_cost(quote.estimate), quote.currency)
    for path in ("", "/options"):
        page = text_of(owner.get(f"/desk/leads/{lead.id}{path}").text)
        assert "What it costs you" in page
        assert cost in page


def test_an_option_can_become_the_brief(shop: BuiltShop, owner: TestClient) -> None:
    lead = shop.quoted(a_brief(budget=Budget(max=Decimal(250))))
    path = f"/desk/leads/{lead.id}/options"
    html = owner.get(path).text
    assert "What comes within the budget of $250" in text_of(html)
    chosen = hidden_in(html)
    answer = owner.post(path, data=chosen)
    assert answer.status_code == 303
    changed = shop.lead(lead.id)
    assert changed.revision == 1
    with shop.ports.read() as work:
        draft = work.quotes.latest(lead.id)
    assert draft is not None
    assert f"={draft.likely}" in chosen["option"]
    again = owner.post(path, data=chosen)  # a double press
    assert again.status_code == 409
    assert shop.lead(lead.id).revision == 1


def test_nothing_of_a_request_that_is_not_there(owner: TestClient, shop: BuiltShop) -> None:
    lead = shop.take_lead(a_brief())
    csrf = {"csrf": hidden_in(owner.get(f"/desk/leads/{lead.id}/brief").text)["csrf"]}
    for path in ("brief", "lines", "options", "merge", "quotes/G1-1"):
        assert owner.get(f"/desk/leads/nothing/{path}").status_code == 404
    posts = ("brief", "brief/estimate", "lines", "lines/total", "options", "notes")
    for path in posts:
        answer = owner.post(f"/desk/leads/nothing/{path}", data=csrf | {"note": "Hello."})
        assert answer.status_code == 404, path
