import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import Engine, event, insert

from service.estimating import BookError
from service.leads.lead import NotFound, StaleDecision
from service.leads.price_books import FROM_THE_FILE, dated
from service.leads.stock import Move, Why
from service.storage import tables as t
from service.storage.database import open_engine
from service.storage.price_book import PriceBookShelf
from service.storage.stock import SqlStock

DEMO = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
TEXT = DEMO.read_text(encoding="utf-8")
NOON = datetime(2027, 3, 3, 17, 0, tzinfo=UTC)


def with_wage(wage: str, text: str = TEXT) -> str:
    return text.replace("  wage: 26.00 ", f"  wage: {wage} ")


class Shop:
    """One database and one file, with as many processes as are opened."""

    def __init__(self, engine: Engine, path: Path) -> None:
        self.engine, self.path = engine, path
        self.now, self.tick = NOON, 0.0
        self._stamp = 1_000_000_000
        self.write(TEXT)

    def write(self, text: str) -> None:
        self._stamp += 1_000_000_000
        self.path.write_text(text, encoding="utf-8")
        os.utime(self.path, ns=(self._stamp, self._stamp))

    def process(self, engine: Engine | None = None) -> PriceBookShelf:
        return PriceBookShelf(
            engine or self.engine, self.path, now=lambda _zone: self.now, ticks=lambda: self.tick
        )


@pytest.fixture
def shop(engine: Engine, tmp_path: Path) -> Shop:
    return Shop(engine, tmp_path / "book.yaml")


def wage(books: PriceBookShelf) -> str:
    return str(books.current().labour.wage)


def made_by(books: PriceBookShelf) -> list[str]:
    return [each.made_by for each in books.versions(20)]


def test_the_file_is_the_first_version_and_a_restart_does_not_undo_the_desk(shop: Shop) -> None:
    books = shop.process()
    first = books.newest()
    assert (first.made_by, first.note, first.made_at) == (FROM_THE_FILE, "book.yaml", NOON)
    assert books.text_of(first.version) == TEXT
    books.save(with_wage("28.00"), by="owner", note="a raise", basis=first.version)
    assert wage(books) == "28.00"
    again = shop.process()
    assert wage(again) == "28.00"
    assert made_by(again) == ["owner", FROM_THE_FILE]
    zone = ZoneInfo(again.current().shop.time_zone)
    assert dated(again, first.version, zone) == "price book of March 3, 2027"
    assert dated(again, "0" * 12, zone) is None


def test_a_changed_file_becomes_a_version_also_with_a_text_it_had_before(shop: Shop) -> None:
    books = shop.process()
    shop.write(with_wage("27.00"))
    assert wage(books) == "27.00"
    shop.write(TEXT)
    assert wage(books) == "26.00"
    shop.write(TEXT)
    assert wage(books) == "26.00"
    assert made_by(books) == [FROM_THE_FILE] * 3
    # A machine that starts late with an old file takes nobody's book away.
    books.save(with_wage("29.00"), by="owner", note="", basis=books.newest().version)
    assert wage(shop.process()) == "29.00"


def test_a_file_that_cannot_be_read_changes_nothing_and_is_told(shop: Shop) -> None:
    books = shop.process()
    shop.write(with_wage("much"))
    assert wage(books) == "26.00"
    assert books.problem is not None
    assert "labour.wage" in books.problem
    # A shop that has a book opens with it.
    again = shop.process()
    assert wage(again) == "26.00"
    assert again.problem is not None
    shop.write(with_wage("27.00"))
    assert wage(books) == "27.00"
    assert books.problem is None


def test_a_shop_without_any_book_does_not_open(shop: Shop) -> None:
    shop.write("shop: 1\n")
    with pytest.raises(BookError):
        shop.process()


def test_a_save_on_an_old_basis_is_refused(shop: Shop) -> None:
    one, other = shop.process(), shop.process()
    basis = one.newest().version
    version = one.save(with_wage("28.00"), by="owner", note="", basis=basis)
    with pytest.raises(StaleDecision, match="changed in the meantime"):
        other.save(with_wage("29.00"), by="owner", note="", basis=basis)
    assert wage(one) == "28.00"
    # The same again is no new version.
    assert one.save(with_wage("28.00"), by="owner", note="", basis=version) == version
    assert len(one.versions(20)) == 2
    with pytest.raises(BookError, match="price book:"):
        one.save(with_wage("much"), by="owner", note="", basis=version)


def test_of_several_that_save_at_once_one_wins(shop: Shop) -> None:
    processes = [shop.process() for _ in range(4)]
    basis, begin = processes[0].newest().version, threading.Barrier(4)
    outcomes: list[str] = []

    def save(index: int) -> None:
        begin.wait()
        try:
            text = with_wage(f"3{index}.00")
            processes[index].save(text, by="owner", note="", basis=basis)
            outcomes.append("saved")
        except StaleDecision:
            outcomes.append("refused")

    threads = [threading.Thread(target=save, args=(index,)) for index in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["refused", "refused", "refused", "saved"]
    assert len(processes[0].versions(20)) == 2


def test_other_processes_see_a_change_within_a_second_and_look_no_oftener(shop: Shop) -> None:
    elsewhere = open_engine(shop.engine.url.render_as_string(hide_password=False))
    one, other = shop.process(), shop.process(elsewhere)
    wage(other)
    with queries() as asked:
        for _ in range(100):
            wage(other)
    assert asked == []
    one.save(with_wage("28.00"), by="owner", note="", basis=one.newest().version)
    assert wage(one) == "28.00"
    assert wage(other) == "26.00"
    shop.tick += 1.0
    with queries() as asked:
        assert wage(other) == "28.00"
        assert wage(other) == "28.00"
    assert sum("max(" in query for query in asked) == 2
    shop.tick += 1.0
    with queries() as asked:
        wage(other)
    assert len(asked) == 2
    elsewhere.dispose()


@contextmanager
def queries() -> Iterator[list[str]]:
    """What any database is asked meanwhile."""
    asked: list[str] = []

    def note(_c: object, _cursor: object, statement: str, *_rest: object) -> None:
        if "SELECT" in statement and "pg_" not in statement:
            asked.append(statement)

    event.listen(Engine, "before_cursor_execute", note)
    yield asked
    event.remove(Engine, "before_cursor_execute", note)


def test_going_back_makes_a_new_row_of_the_old_version(shop: Shop) -> None:
    books = shop.process()
    first = books.newest().version
    second = books.save(with_wage("28.00"), by="owner", note="", basis=first)
    shop.now += timedelta(days=9)
    assert books.back_to(first, by="owner", basis=second) == first
    assert wage(books) == "26.00"
    newest, *_ = books.versions(20)
    assert (newest.version, newest.note) == (first, "back to the one of 2027-03-03")
    assert len(books.versions(20)) == 3
    # The first time that it was made stays its date.
    about = books.about(first)
    assert about is not None
    assert about.made_at == NOON
    with pytest.raises(NotFound):
        books.back_to("0" * 12, by="owner", basis=first)
    with pytest.raises(StaleDecision):
        books.back_to(second, by="owner", basis=second)


def test_earlier_versions_stay_readable(shop: Shop) -> None:
    books = shop.process()
    first = books.newest().version
    second = books.save(with_wage("28.00"), by="owner", note="", basis=first)
    earlier = books.of(first)
    assert earlier is not None
    assert str(earlier.labour.wage) == "26.00"
    assert books.of(first) is earlier
    assert books.of(second) is books.current()
    assert books.of("0" * 12) is None


def test_a_version_that_can_no_longer_be_read_gives_way_to_the_one_before(shop: Shop) -> None:
    books = shop.process()
    with shop.engine.begin() as connection:
        connection.execute(
            insert(t.price_books).values(
                version="f" * 12, text="shop: 1\n", made_at=NOON, made_by="owner", note=""
            )
        )
    assert wage(books) == "26.00"
    assert books.problem is not None
    assert books.of("f" * 12) is None
    again = shop.process()
    assert wage(again) == "26.00"
    again.save(with_wage("28.00"), by="owner", note="", basis="f" * 12)
    assert (wage(again), again.problem) == ("28.00", None)


def test_a_file_that_changes_while_a_writer_is_at_work_is_taken_in_afterwards(shop: Shop) -> None:
    books = shop.process()
    shop.write(with_wage("27.00"))
    if shop.engine.dialect.name == "sqlite":
        with shop.engine.begin():
            assert wage(books) == "26.00"
    assert wage(books) == "27.00"


def test_balloons_on_hand_are_those_that_were_counted(shop: Shop) -> None:
    books = shop.process()
    assert books.current().stock[0].count == 34
    with shop.engine.begin() as connection:
        SqlStock(connection).add([_counted("white", 7), _counted("no such colour", 3)])
    assert [(each.colour, each.count) for each in books.current().stock] == [("white", 7)]
    assert books.read(TEXT).stock == books.current().stock
    books.save(with_wage("28.00"), by="owner", note="", basis=books.newest().version)
    assert [(each.colour, each.count) for each in books.current().stock] == [("white", 7)]


def _counted(colour: str, count: int) -> Move:
    return Move(size_class=10, colour=colour, count=count, why=Why.COUNTED, at=NOON, who="owner")
