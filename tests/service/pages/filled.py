"""Forms as a browser sends them: every field with what is in it."""

from html.parser import HTMLParser

Fields = dict[str, list[str]]


class _Form(HTMLParser):
    def __init__(self, action: str) -> None:
        super().__init__()
        self.fields: Fields = {}
        self._action = action
        self._inside = False
        self._templates = 0
        self._name: str | None = None
        self._text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {key: value or "" for key, value in attrs}
        if tag == "form":
            self._inside = found.get("action", "").partition("#")[0] == self._action
        self._templates += tag == "template"
        if not self._inside or self._templates:
            return
        name, value = found.get("name", ""), found.get("value", "")
        ticked = found.get("type") not in ("checkbox", "radio") or "checked" in found
        if tag == "input" and name and ticked:
            self.fields.setdefault(name, []).append(value)
        elif tag in ("select", "textarea"):
            self._name, self._text = name, ""
        elif tag == "option" and self._name and "selected" in found:
            self.fields[self._name] = [value]

    def handle_endtag(self, tag: str) -> None:
        self._templates -= tag == "template"
        if tag == "form":
            self._inside = False
        if tag == "select" and self._name:
            self.fields.setdefault(self._name, [""])
        if tag == "textarea" and self._name:
            self.fields[self._name] = [self._text.removeprefix("\n")]
        if tag in ("select", "textarea"):
            self._name = None

    def handle_data(self, data: str) -> None:
        if self._name:
            self._text += data


def form_in(html: str, action: str) -> Fields:
    """What the form that goes to `action` sends of itself, without any button."""
    reader = _Form(action)
    reader.feed(html)
    return reader.fields
