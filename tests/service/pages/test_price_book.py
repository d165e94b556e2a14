import re
from datetime import timedelta

import httpx2
from starlette.testclient import TestClient

from tests.service.building import PRICE_BOOK, BuiltShop, a_brief
from tests.service.pages.filled import Fields, form_in
from tests.service.pages.reading import elements_of, text_of

TEXT = PRICE_BOOK.read_text(encoding="utf-8")


def opened(owner: TestClient, page: str) -> Fields:
    """The page's form as it is."""
    answer = owner.get(f"/desk/book/{page}")
    assert answer.status_code == 200
    return form_in(answer.text, f"/desk/book/{page}")


def pressed(
    owner: TestClient, page: str, form: Fields, do: str = "look", **typed: str
) -> httpx2.Response:
    """The answer to a button of the page's form, after something was typed."""
    fields = form | {name.replace("__", "."): [value] for name, value in typed.items()}
    return owner.post(f"/desk/book/{page}", data={**fields, "do": do})


def saved(
    owner: TestClient, look: httpx2.Response, do: str = "save", note: str = ""
) -> httpx2.Response:
    """The answer to a button of the page that shows what changes."""
    assert look.status_code in (200, 409), text_of(look.text)
    fields = {name: values[0] for name, values in form_in(look.text, "/desk/book/save").items()}
    sent = {**fields, "do": do, "note": note}
    return owner.post("/desk/book/save", files={key: (None, value) for key, value in sent.items()})


def change(owner: TestClient, page: str, **typed: str) -> None:
    """Type, look and save."""
    answer = saved(owner, pressed(owner, page, opened(owner, page), **typed))
    assert answer.headers["location"] == "/desk/book?done=saved"


def wage(shop: BuiltShop) -> str:
    return str(shop.price_books.current().labour.wage)


def test_a_figure_is_changed_looked_at_and_saved(shop: BuiltShop, owner: TestClient) -> None:
    first = text_of(owner.get("/desk/book").text)
    assert "In use: the version of Sunday, January 10" in first
    assert "from the file" in first
    form = opened(owner, "work")
    assert form["labour.wage"] == ["26.00"]
    same = pressed(owner, "work", form)
    assert "Nothing is different yet" in text_of(same.text)
    look = pressed(owner, "work", form, labour__wage="30")
    text = text_of(look.text)
    assert "Nothing is saved yet" in text
    assert "Round frame, 4 × 7 ft, indoors on a Saturday $440 → $480 +$40" in text
    assert "was: wage: 26.00 # an hour is: wage: 30.00 # an hour" in text
    assert wage(shop) == "26.00"
    back = saved(owner, look, do="back")
    assert form_in(back.text, "/desk/book/work")["labour.wage"] == ["30.00"]
    done = saved(owner, look, note="everybody costs more")
    assert done.headers["location"] == "/desk/book?done=saved"
    assert wage(shop) == "30.00"
    after = text_of(owner.get("/desk/book?done=saved").text)
    assert "quotes that are out keep theirs" in after
    assert "you (everybody costs more)" in after
    newest = shop.price_books.newest()
    assert shop.price_books.text_of(newest.version) == TEXT.replace("wage: 26.00", "wage: 30.00")


def test_what_cannot_be_is_said_beside_its_field_and_nothing_typed_is_lost(
    shop: BuiltShop, owner: TestClient
) -> None:
    look = pressed(
        owner,
        "packs",
        opened(owner, "packs"),
        bags__0__price="cheap",
        suppliers__1__name="Two Bridges",
        bags__40__pack_size="",
    )
    assert look.status_code == 422
    form = form_in(look.text, "/desk/book/packs")
    assert form["bags.0.price"] == ["cheap"]
    assert form["suppliers.1.name"] == ["Two Bridges"]
    text = text_of(look.text)
    assert "Bags, 1, Price: Write a number, such as 4.5." in text
    assert "Fill this in." in text
    marked = [each for each in elements_of(look.text, "input") if each.get("aria-invalid")]
    assert [each["name"] for each in marked] == ["bags.0.price", "bags.40.pack_size"]
    rows = [each for each in elements_of(look.text, "details") if "open" in each]
    assert "bags.0" in [each["id"] for each in rows]
    assert "bags.1" not in [each["id"] for each in rows]
    change(owner, "travel", travel__speed_mph="25")
    assert "does not fit the rest" in text_of(
        pressed(owner, "sizes", _without(opened(owner, "sizes"), "sizes.1.")).text
    )
    assert wage(shop) == "26.00"


def _without(form: Fields, prefix: str) -> Fields:
    return {name: values for name, values in form.items() if not name.startswith(prefix)}


def test_rows_are_added_and_removed_by_buttons(shop: BuiltShop, owner: TestClient) -> None:
    form = opened(owner, "travel")
    more = pressed(owner, "travel", form, do="add travel.zones", travel__speed_mph="fast")
    form = form_in(more.text, "/desk/book/travel")
    assert (form["travel.zones.0.fee"], form["travel.speed_mph"]) == ([""], ["fast"])
    look = pressed(
        owner,
        "travel",
        form,
        travel__speed_mph="24",
        travel__zones__0__up_to_miles="5",
        travel__zones__0__fee="15",
    )
    saved(owner, look)
    (zone,) = shop.price_books.current().travel.zones
    assert str(zone.fee) == "15.00"
    fewer = pressed(owner, "travel", opened(owner, "travel"), do="remove travel.zones.0")
    form = form_in(fewer.text, "/desk/book/travel")
    assert "travel.zones.0.fee" not in form
    saved(owner, pressed(owner, "travel", form))
    assert shop.price_books.current().travel.zones == ()
    every = pressed(owner, "packs", opened(owner, "packs"), do="open")
    assert all("open" in each for each in elements_of(every.text, "details"))


def test_two_tabs_do_not_undo_one_another(shop: BuiltShop, owner: TestClient) -> None:
    one, other = opened(owner, "work"), opened(owner, "work")
    look = pressed(owner, "work", other, labour__wage="31")
    saved(owner, pressed(owner, "work", one, labour__wage="30"))
    late = saved(owner, look)
    assert late.status_code == 409
    assert "was changed in the meantime (you, " in text_of(late.text)
    assert "was: wage: 30.00 # an hour is: wage: 31.00 # an hour" in text_of(late.text)
    assert wage(shop) == "30.00"
    saved(owner, late)
    assert wage(shop) == "31.00"
    later = pressed(owner, "work", one, labour__wage="32")
    assert later.status_code == 409
    assert form_in(later.text, "/desk/book/work")["labour.wage"] == ["32"]
    saved(owner, pressed(owner, "work", form_in(later.text, "/desk/book/work")))
    assert wage(shop) == "32.00"


def test_the_book_goes_down_and_up_as_one_file(shop: BuiltShop, owner: TestClient) -> None:
    page = owner.get("/desk/book/file")
    down = owner.get("/desk/book/file/price_book.yaml")
    assert down.text == TEXT
    assert down.headers["content-disposition"] == 'attachment; filename="price_book.yaml"'
    fields = form_in(page.text, "/desk/book/file")

    def send(content: bytes) -> httpx2.Response:
        files: dict[str, tuple[str | None, bytes | str]] = {
            "csrf": (None, fields["csrf"][0]),
            "basis": (None, fields["basis"][0]),
            "book": ("mine.yaml", content),
        }
        return owner.post("/desk/book/file", files=files)

    for content, said in (
        (b"", "Pick a file first."),
        (b"\xff\xfe\x00", "not a text in UTF-8"),
        (b"#" * (1024 * 1024 + 1), "larger than 1 MB"),
        (TEXT.encode(), "says what the book says already"),
    ):
        refused = send(content)
        assert (refused.status_code, said in text_of(refused.text)) == (422, True), said
    wrong = send(TEXT.replace("wage: 26.00", "wage: much").encode())
    assert wrong.status_code == 422
    line = TEXT[: TEXT.index("wage: 26.00")].count("\n") + 1
    assert f"Line {line}, labour.wage:" in text_of(wrong.text)
    look = send(
        b"\xef\xbb\xbf" + TEXT.replace("wage: 26.00", "wage: 33.00").replace("\n", "\r\n").encode()
    )
    saved(owner, look)
    assert wage(shop) == "33.00"
    assert owner.get("/desk/book/file/price_book.yaml").text == TEXT.replace("26.00  ", "33.00  ")


def test_versions_are_listed_compared_and_gone_back_to(shop: BuiltShop, owner: TestClient) -> None:
    first = shop.price_books.newest().version
    shop.now += timedelta(days=1)
    change(owner, "work", labour__wage="30")
    shop.now += timedelta(days=1)
    change(owner, "prices", policy__minimum="200")
    listed = owner.get("/desk/book/versions")
    assert len(re.findall(r'href="/desk/book/versions/[0-9a-f]{12}"', listed.text)) == 3
    middle = shop.price_books.versions(3)[1].version
    page = owner.get(f"/desk/book/versions/{first}?against={middle}")
    assert "was: wage: 30.00 # an hour is: wage: 26.00 # an hour" in text_of(page.text)
    assert "minimum" not in text_of(page.text).partition("All of its text")[0]
    assert "$440 → " not in text_of(page.text)
    page = owner.get(f"/desk/book/versions/{first}")
    assert "$480 → $440 −$40" in text_of(page.text)
    path = f"/desk/book/versions/{first}/back"
    form = {name: values[0] for name, values in form_in(page.text, path).items()}
    assert owner.post(path, data=form).headers["location"] == "/desk/book?done=saved"
    assert wage(shop) == "26.00"
    assert owner.post(path, data=form).status_code == 409
    assert "It is the one in use." in text_of(owner.get(f"/desk/book/versions/{first}").text)
    assert owner.get("/desk/book/versions/000000000000").status_code == 404
    assert owner.get("/desk/book/nowhere").status_code == 404


def test_every_page_of_the_book_opens_and_wants_nothing_that_it_does_not_show(
    shop: BuiltShop, owner: TestClient
) -> None:
    for page in shop.price_books.editor.pages():
        form = opened(owner, page.key)
        assert "Nothing is different yet" in text_of(pressed(owner, page.key, form).text), page.key


def test_a_quote_that_is_out_keeps_the_book_it_was_made_by(
    shop: BuiltShop, owner: TestClient, client: TestClient
) -> None:
    lead = shop.quoted(a_brief())
    path, _ = shop.paths(lead)
    before = text_of(client.get(path).text)
    desk_before = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "kept for at least 2 days" in before
    shop.now += timedelta(hours=1)
    change(owner, "calendar", calendar__hold_hours="12", calendar__quote_valid_days="3")
    change(owner, "prices", policy__deposit_percent="10", policy__tax__0__percent="9")
    after = text_of(client.get(path).text)
    assert after.partition("You could also")[0] == before.partition("You could also")[0]
    desk_after = text_of(owner.get(f"/desk/leads/{lead.id}").text)
    assert "price book of January 10, 2027" in desk_before
    assert "price book of January 10, 2027" in desk_after
    assert "Mark-up, 45%" in desk_after
