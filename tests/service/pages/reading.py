"""Reading pages the way a person or a browser does."""

from html.parser import HTMLParser

from starlette.testclient import TestClient


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.hidden: dict[str, str] = {}
        self.elements: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.elements.append((tag, found))
        if tag == "input" and found.get("type") == "hidden" and found.get("name"):
            self.hidden.setdefault(str(found["name"]), found.get("value") or "")

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def _read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    return reader


def text_of(html: str) -> str:
    """The page's text with single spaces."""
    return " ".join("".join(_read(html).text).split())


def hidden_in(html: str) -> dict[str, str]:
    """Hidden fields of the page's forms by name, the first of each name."""
    return _read(html).hidden


def elements_of(html: str, tag: str) -> list[dict[str, str | None]]:
    """The attributes of every such element."""
    return [attributes for name, attributes in _read(html).elements if name == tag]


def agreed(html: str) -> dict[str, str]:
    """The fields by which a client agrees to the terms of a booking; none where none are asked."""
    boxes = (each for each in elements_of(html, "input") if each.get("name") in ("terms", "accept"))
    return {str(each["name"]): str(each["value"]) for each in boxes}


def sign_in(client: TestClient, token: str) -> None:
    """Choose the owner's password by the welcome link, which signs in."""
    page = client.get(f"/desk/welcome/{token}")
    entered = {"password": PASSWORD, "again": PASSWORD, "csrf": hidden_in(page.text)["csrf"]}
    assert client.post(f"/desk/welcome/{token}", data=entered).status_code == 303


PASSWORD = "air by the river"
