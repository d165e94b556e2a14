import os
from pathlib import Path

import pytest

from service.estimating import BookError
from service.storage.price_book_file import PriceBookFile, read_price_book

DEMO = Path(__file__).parents[3] / "deploy" / "price_book.yaml"


@pytest.fixture
def text() -> str:
    return DEMO.read_text(encoding="utf-8")


def line_of(text: str, part: str) -> int:
    return next(n for n, line in enumerate(text.splitlines(), 1) if part in line)


def faults_in(text: str) -> dict[str, str]:
    with pytest.raises(BookError) as caught:
        read_price_book(text, "book.yaml")
    return {problem.field: problem.detail for problem in caught.value.problems}


def test_the_demo_book_is_sound_and_its_version_follows_its_text(text: str) -> None:
    book = read_price_book(text, "book.yaml")
    assert book.shop.town == "Alder Mills"
    assert len(book.colours) >= 28
    assert book.version == read_price_book(text, "other.yaml").version
    assert book.version != read_price_book(text + "\n# a note", "book.yaml").version


def test_money_is_read_as_it_is_written(text: str) -> None:
    book = read_price_book(text, "book.yaml")
    assert {str(bag.unit_price) for bag in book.bags} >= {"2.60", "8.90", "15.40"}


def test_every_fault_names_its_line_its_key_what_is_wrong_and_what_is_allowed(text: str) -> None:
    broken = (
        text.replace("wage: 26.00", "wage: -26.00")
        .replace("rounding: 5.00", 'rounding: "five"', 1)
        .replace("support: hoop,              width_ft: 6", "support: hula, width_ft: 6")
        .replace("  minimum: 180.00\n", "")
        .replace("speed_mph: 24", "speed: 24")
    )
    faults = faults_in(broken)
    wage = f"book.yaml:{line_of(broken, 'wage: -26.00')} labour.wage"
    assert "greater than or equal to 0; found" in faults[wage]
    assert any("rounding" in field and "five" in detail for field, detail in faults.items())
    hoop = next(detail for field, detail in faults.items() if field.endswith("].support"))
    assert "use one of round_top_frame" in hoop
    policy = f"book.yaml:{line_of(broken, 'policy:')} policy.minimum"
    assert faults[policy] == "this entry is missing; add it"
    assert any(f.endswith("travel.speed") and "spelling" in d for f, d in faults.items())


def test_names_that_lead_nowhere_are_found_with_their_line(text: str) -> None:
    broken = text.replace(
        "default_palette: [white, cream, gold]", "default_palette: [white, creem]"
    ).replace("colour: navy,  count: 12", "colour: nevi,  count: 12")
    faults = faults_in(broken)
    palette = f"book.yaml:{line_of(broken, 'default_palette')} default_palette"
    assert "creem" in faults[palette]
    stock = next(field for field in faults if "stock[" in field)
    assert stock.startswith(f"book.yaml:{line_of(broken, 'colour: nevi')} ")


def test_a_supplier_that_is_not_listed_is_found(text: str) -> None:
    faults = faults_in(text.replace("[Millrace Party Supply, Two", "[Two"))
    assert all("is not among the suppliers" in detail for detail in faults.values())


def test_a_slip_of_the_form_names_the_line(text: str) -> None:
    broken = text.replace("  owner: Ida Marsh", "   owner: Ida Marsh")
    (field,) = faults_in(broken)
    assert field.startswith("book.yaml:")
    assert abs(int(field.split(":")[1]) - line_of(broken, "   owner: Ida Marsh")) <= 1


def test_a_key_written_twice_is_refused(text: str) -> None:
    (detail,) = faults_in(text + "\nstock: []\n").values()
    assert "duplicate key" in detail


def test_an_empty_file_is_refused() -> None:
    assert faults_in("") == {
        "book.yaml": "the file holds no entries; start from the example price book"
    }


def test_a_changed_file_is_read_again_and_a_broken_one_keeps_the_last_good_book(
    tmp_path: Path, text: str
) -> None:
    path = tmp_path / "book.yaml"
    path.write_text(text, encoding="utf-8")
    file = PriceBookFile(path)
    first = file.current()
    assert file.current() is first

    def write(changed: str, stamp: int) -> None:
        path.write_text(changed, encoding="utf-8")
        os.utime(path, ns=(stamp, stamp))

    write(text.replace("wage: 26.00", "wage: 27.50"), 2_000_000_000)
    second = file.current()
    assert str(second.labour.wage) == "27.50"
    write(text.replace("wage: 26.00", "wage: much"), 3_000_000_000)
    assert file.current() is second
    assert file.problem is not None
    assert "labour.wage" in file.problem
    write(text, 4_000_000_000)
    assert file.current().version == first.version
    assert file.problem is None
    path.unlink()
    assert file.current().version == first.version
    assert file.problem is not None
