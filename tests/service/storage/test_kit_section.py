"""The price book's section on what comes along to a job."""

from typing import Any

import pytest
from pydantic import ValidationError

from service.estimating.book import USUAL_WORK_KIT, KitEach, KitSort, KitThing, KitWhen, WorkKit
from service.storage.price_book import read_price_book
from service.storage.price_book.editor import Editor
from service.storage.price_book.kit import WorkKitEntry
from tests.service.building import PRICE_BOOK

TEXT = PRICE_BOOK.read_text(encoding="utf-8")


def without(text: str) -> str:
    """The book as it was before there was such a section."""
    before, _, rest = text.partition("\nkit:\n")
    return f"{before}\n{rest[rest.index(chr(10) + 'labour:') :]}"


def test_a_book_without_it_has_the_usual_kit() -> None:
    assert WorkKitEntry().value() == USUAL_WORK_KIT
    assert read_price_book(TEXT, "book").kit == USUAL_WORK_KIT
    assert read_price_book(without(TEXT), "book").kit == USUAL_WORK_KIT


def test_an_empty_list_is_empty_and_feet_become_metres() -> None:
    entry = {
        "things": [{"label": "lamp", "sort": "tools", "when": "outdoors", "each": "person"}],
        "ladders": [],
    }
    assert WorkKitEntry.model_validate(entry).value() == WorkKit(
        things=(
            KitThing(label="lamp", sort=KitSort.TOOLS, when=KitWhen.OUTDOORS, each=KitEach.PERSON),
        ),
        ladders=(),
    )
    one = {"ladders": [{"label": "steps", "reaches_ft": 10}]}
    (ladder,) = WorkKitEntry.model_validate(one).value().ladders
    assert ladder.reaches_m == pytest.approx(3.048)


@pytest.mark.parametrize(
    ("thing", "says"),
    [
        ({"label": "lamp", "sort": "lights"}, "use one of tools, spares, safety"),
        ({"label": "lamp", "sort": "tools", "when": "at night"}, "use one of always"),
        ({"label": "lamp", "sort": "tools", "count": 0}, "greater than or equal to 1"),
        ({"label": "", "sort": "tools"}, "at least 1 character"),
    ],
)
def test_slips_of_the_pen_are_refused(thing: dict[str, Any], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        WorkKitEntry.model_validate({"things": [thing]})


def test_the_page_of_a_book_without_it_shows_the_usual_kit() -> None:
    form = Editor().form(without(TEXT), "kit")
    values = {text for part in form.parts for text in _texts(part)}
    assert {"first aid kit", "stepladder 6 ft", "with_helium"} < values


def _texts(part: Any) -> set[str]:
    inside = (*getattr(part, "parts", ()), *getattr(part, "rows", ()))
    return {text for each in inside for text in _texts(each)} | set(getattr(part, "values", ()))
