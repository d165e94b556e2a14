from typing import Any

import httpx2

from tests.service.api.conftest import Service
from tests.service.building import PRICE_BOOK

TEXT = PRICE_BOOK.read_text(encoding="utf-8")
DEARER = TEXT.replace("wage: 26.00", "wage: 30.00")


def put(service: Service, text: str, basis: str | None, **how: Any) -> httpx2.Response:
    headers = {"Content-Type": "application/yaml"} | ({"If-Match": basis} if basis else {})
    return service.client("owner").put(
        "/v1/price-book", content=text.encode(), headers=headers, **how
    )


def test_a_text_is_read_and_replaced_with_its_version_as_the_basis(service: Service) -> None:
    owner = service.client("owner")
    answer = owner.get("/v1/price-book")
    first = answer.json()
    assert (first["text"], first["made_by"]) == (TEXT, "from the file")
    etag = answer.headers["ETag"]
    assert etag == f'"{first["version"]}"'
    assert put(service, DEARER, None).status_code == 428
    done = put(service, DEARER, etag)
    assert done.status_code == 200
    assert done.headers["ETag"] == f'"{done.json()["version"]}"'
    assert str(service.ports.price_books.current().labour.wage) == "30.00"
    # The same again changes nothing; an old basis is refused.
    assert put(service, DEARER, done.headers["ETag"]).json() == done.json()
    late = put(service, TEXT, etag)
    assert late.status_code == 412
    assert late.headers["content-type"] == "application/problem+json"
    json = {"text": TEXT, "note": "as it was"}
    back = owner.put("/v1/price-book", json=json, headers={"If-Match": done.headers["ETag"]})
    assert (back.json()["version"], back.json()["note"]) == (first["version"], "as it was")


def test_what_cannot_be_is_told_line_by_line(service: Service) -> None:
    basis = service.ports.price_books.newest().version
    wrong = put(service, TEXT.replace("wage: 26.00", "wage: much"), basis)
    assert wrong.status_code == 422
    (error,) = wrong.json()["errors"]
    line = TEXT[: TEXT.index("wage: 26.00")].count("\n") + 1
    assert error["field"] == f"price book:{line} labour.wage"
    assert put(service, "a: &a [1]\nb: *a\n", basis).status_code == 422
    owner = service.client("owner")
    for content in (b"", b"\xff"):
        sent = owner.put("/v1/price-book", content=content, headers={"If-Match": basis})
        assert sent.status_code == 422
    unknown = owner.put("/v1/price-book", json={"words": ""}, headers={"If-Match": basis})
    assert unknown.status_code == 422
    assert service.ports.price_books.newest().version == basis


def test_versions_are_listed_and_read(service: Service) -> None:
    owner, first = service.client("owner"), service.ports.price_books.newest().version
    second = put(service, DEARER, first).json()["version"]
    listed = owner.get("/v1/price-book/versions").json()
    assert [(each["version"], each["made_by"]) for each in listed] == [
        (second, "owner"),
        (first, "from the file"),
    ]
    assert len(owner.get("/v1/price-book/versions?limit=1").json()) == 1
    assert owner.get(f"/v1/price-book/versions/{first}").json()["text"] == TEXT
    assert owner.get("/v1/price-book/versions/000000000000").status_code == 404
    assert owner.get("/v1/price-book/versions/first").status_code == 422


def test_a_preview_tells_what_would_change_and_keeps_nothing(service: Service) -> None:
    owner, first = service.client("owner"), service.ports.price_books.newest().version
    answer = owner.post("/v1/price-book/preview", json={"text": DEARER})
    preview = answer.json()
    assert answer.status_code == 200, preview
    assert len(preview["jobs"]) == 5
    for job in preview["jobs"]:
        assert float(job["after"]["price"]) > float(job["before"]["price"])
        assert job["after"]["hours"] == job["before"]["hours"]
    assert preview["changed"] == [
        {
            "where": "Work and hours",
            "gone": ["  wage: 26.00 # an hour"],
            "come": ["  wage: 30.00 # an hour"],
        }
    ]
    assert service.ports.price_books.newest().version == first
    assert owner.post("/v1/price-book/preview", content=b"shop: 1").status_code == 422


def test_only_the_owner_s_key_opens_the_book(service: Service) -> None:
    for role in ("bot", "worker", "website"):
        assert service.client(role).get("/v1/price-book").status_code == 403
    assert service.client().get("/v1/price-book").status_code == 401
