"""The terms of a booking, and who agreed to them as they read."""

from pathlib import Path

import pytest

from service.leads import terms
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, build_shop


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def a_shop_with(folder: Path, old: str, new: str) -> BuiltShop:
    text = PRICE_BOOK.read_text(encoding="utf-8")
    assert text.count(old) == 1
    folder.mkdir()
    (folder / "book.yaml").write_text(text.replace(old, new), encoding="utf-8")
    return build_shop(folder, price_book=folder / "book.yaml")


def test_the_terms_say_the_shops_figures_in_every_language(shop: BuiltShop) -> None:
    found = terms.current(shop.ports)
    english, spanish = found.said("en"), found.said("es")
    steps = "all of it until 30 days before, half until 14 days before and a quarter until 7 days"
    assert f"{steps} before your event; after that, nothing." in english.terms
    assert "te devolvemos del depósito: todo hasta 30 días antes, la mitad hasta" in spanish.terms
    said = "the rest is due 3 days before, or with the deposit if that is later."
    assert said in english.terms
    assert "later it costs $45" in english.terms
    assert "después cuesta $45" in spanish.terms
    assert "se paga 3 días antes" in spanish.terms
    assert spanish.weather.startswith("Al aire libre")
    assert found.said("fr") == english


def test_a_share_that_has_no_word_is_said_in_percent(tmp_path: Path) -> None:
    shop = a_shop_with(
        tmp_path / "other", "days_before: 14, percent: 50", "days_before: 14, percent: 40"
    )
    assert "40% until 14 days before" in terms.current(shop.ports).said("en").terms


def test_the_version_goes_by_what_clients_read(shop: BuiltShop, tmp_path: Path) -> None:
    here = terms.current(shop.ports).version
    again = a_shop_with(tmp_path / "again", "rush_days: 7 ", "rush_days: 8 ")
    dearer = a_shop_with(tmp_path / "dearer", "fee: 45.00}", "fee: 60.00}")
    assert terms.current(again.ports).version == here
    assert terms.current(dearer.ports).version != here


def test_a_client_agrees_once_to_each_version_and_its_text_is_kept(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    for _ in range(2):
        with shop.ports.work() as work:
            terms.accept(work, shop.ports, lead, language="es", now=shop.now)
            work.commit()
    current = terms.current(shop.ports)
    with shop.ports.read() as work:
        accepted = terms.accepted(work, lead.id)
        assert accepted is not None
        assert (accepted.version, accepted.language) == (current.version, "es")
        assert work.agreements.terms(accepted.version) == current


def test_where_money_goes_is_said_in_the_clients_language(shop: BuiltShop) -> None:
    book = shop.price_books.current()
    assert terms.pay_to(book, "es").startswith("Puedes pagar con cheque")
    assert terms.pay_to(book, "fr") == terms.pay_to(book, "en")
