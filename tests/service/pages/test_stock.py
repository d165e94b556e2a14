"""The desk's stock: what is on hand, promised and short, counted and moved."""

from dataclasses import replace

from starlette.testclient import TestClient

from service.estimating import ColourShare
from service.leads import stocking
from service.leads.lead import Client, Lead, LeadState
from tests.service.building import BuiltShop, a_brief
from tests.service.pages.reading import elements_of, hidden_in, text_of

NAVY_AND_WHITE = tuple(ColourShare(colour=name) for name in ("navy", "white"))


def booked(shop: BuiltShop) -> Lead:
    """A booked job in navy and white, which the shop has some of."""
    lead = shop.quoted(a_brief(palette=NAVY_AND_WHITE), client=Client(name="Nora Ålund"))
    with shop.ports.work() as work:
        work.leads.save(replace(lead, state=LeadState.BOOKED))
        quote = work.quotes.latest(lead.id)
        assert quote is not None
        stocking.take_out(work, lead, quote.estimate, who="owner", now=shop.now)
        work.commit()
    return lead


def free(shop: BuiltShop) -> dict[tuple[int, str], int]:
    with shop.ports.read() as work:
        return {(e.size_class, e.colour): e.free for e in work.stock.on_hand()}


def enter(owner: TestClient, path: str, **typed: str) -> int:
    """Fill in the form of that page and press its button."""
    hidden = hidden_in(owner.get(path).text)
    return owner.post(path, data=hidden | typed).status_code


def test_the_page_shows_what_is_on_hand_with_its_color(shop: BuiltShop, owner: TestClient) -> None:
    page = owner.get("/desk/stock").text
    assert "navy 10 in 12 – 12" in text_of(page)
    # As clients read it, whatever the price book calls it.
    assert '<option value="grey">gray</option>' in page
    assert "#" in str(
        [circle["fill"] for circle in elements_of(page, "circle") if "fill" in circle]
    )
    assert "counted; Sunday, January 10, 2027" in text_of(page)
    assert "Short" not in text_of(page)


def test_booked_jobs_and_what_is_short_are_named(shop: BuiltShop, owner: TestClient) -> None:
    # Both were priced when the same balloons were still on the shelf.
    first = shop.quoted(a_brief(palette=NAVY_AND_WHITE))
    second = booked(shop)
    with shop.ports.work() as work:
        quote = work.quotes.latest(first.id)
        assert quote is not None
        work.leads.save(replace(first, state=LeadState.BOOKED))
        stocking.take_out(work, first, quote.estimate, who="owner", now=shop.now)
        work.commit()
    page = owner.get("/desk/stock").text
    said = text_of(page)
    assert "Booked jobs were promised more than you have: 58 white (5 in) 12 navy (10 in)" in said
    assert "The cheapest way to them, $" in said
    assert "1 pack of navy 10 in" in said
    for lead in (first, second):
        assert f'<a href="/desk/leads/{lead.id}">{lead.number}</a>, Sunday, June 6, 2027:' in page
    assert "navy 10 in 12 24 short 12" in said


def test_new_prices_reckon_with_what_is_left(shop: BuiltShop) -> None:
    before = shop.price_books.current()
    again = shop.estimate(a_brief(palette=NAVY_AND_WHITE))
    assert again.shopping.from_stock
    booked(shop)
    after = shop.price_books.current()
    assert after.version == before.version
    assert (10, "navy") not in after.stock_of
    estimate = shop.estimate(a_brief(palette=NAVY_AND_WHITE))
    assert not any(line.colour == "navy" for line in estimate.shopping.from_stock)
    assert estimate == shop.estimate(a_brief(palette=NAVY_AND_WHITE))


def test_some_come_in_and_some_go_out(shop: BuiltShop, owner: TestClient) -> None:
    typed = {"colour": "sage", "size": "11", "count": "1,000"}
    assert enter(owner, "/desk/stock", why="bought", **typed) == 303
    assert free(shop)[11, "sage"] == 1000
    assert enter(owner, "/desk/stock", why="used", **typed | {"count": "40"}) == 303
    assert free(shop)[11, "sage"] == 960
    assert "used or burst" in text_of(owner.get("/desk/stock/moves").text)


def test_a_double_press_counts_once(shop: BuiltShop, owner: TestClient) -> None:
    hidden = hidden_in(owner.get("/desk/stock").text)
    data = hidden | {"colour": "navy", "size": "10", "count": "5", "why": "used"}
    assert owner.post("/desk/stock", data=data).status_code == 303
    assert owner.post("/desk/stock", data=data).status_code == 409
    assert free(shop)[10, "navy"] == 7


def test_what_cannot_be_is_said_beside_its_field(shop: BuiltShop, owner: TestClient) -> None:
    before = free(shop)
    for typed, text in (
        ({"count": "some"}, "Give a whole number."),
        ({"count": "0"}, "from 1 up"),
        ({"count": "13"}, "not so many on the shelf"),
        ({"count": "1", "colour": "plaid"}, "no balloon of that size and color"),
    ):
        hidden = hidden_in(owner.get("/desk/stock").text)
        usual = {"colour": "navy", "size": "10", "why": "used"}
        answer = owner.post("/desk/stock", data=hidden | usual | typed)
        assert answer.status_code == 422
        assert 'id="count-fault"' in answer.text
        assert text in text_of(answer.text)
    assert free(shop) == before


def test_a_stock_take_counts_many_at_once_and_leaves_the_rest(
    shop: BuiltShop, owner: TestClient
) -> None:
    page = owner.get("/desk/stock/count").text
    hidden = hidden_in(page)
    place = next(name for name, value in hidden.items() if value == "10 navy").split("-")[1]
    typed = {
        f"count-{place}": "9",
        "newcolour-0": "sage",
        "newsize-0": "11",
        "newcount-0": "50",
    }
    before = free(shop)
    assert owner.post("/desk/stock/count", data=hidden | typed).status_code == 303
    assert free(shop) == before | {(10, "navy"): 9, (11, "sage"): 50}
    wrong = typed | {f"count-{place}": "a few", "newcolour-0": ""}
    answer = owner.post("/desk/stock/count", data=hidden | wrong)
    assert answer.status_code == 422
    assert {f"count-{place}", "newcount-0"} <= set(elements_ids(answer.text))
    assert "a few" in str(elements_of(answer.text, "input"))


def elements_ids(page: str) -> list[str]:
    """The fields that something is said of."""
    said = [str(p.get("id", "")) for p in elements_of(page, "p")]
    return [name.removesuffix("-fault") for name in said if name.endswith("-fault")]


def test_moves_go_on_where_the_page_ended(shop: BuiltShop, owner: TestClient) -> None:
    with shop.ports.work() as work:
        for number in range(50):
            book = shop.price_books.current()
            stocking.count(work, book, {(10, "navy"): 100 + number}, who="owner", now=shop.now)
        work.commit()
    first = owner.get("/desk/stock/moves").text
    (older,) = [a["href"] for a in elements_of(first, "a") if "before=" in str(a.get("href"))]
    assert "white (18 in)" in text_of(owner.get(str(older)).text)
