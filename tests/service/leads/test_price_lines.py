"""The lines of a price: as the estimate has them, and as the owner set them."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from service.leads import handling, price_lines
from service.leads.lead import Lead, PriceLine, Quote, StaleDecision
from service.leads.price_lines import compared, line_changes, lines_of, told
from service.wording import load
from tests.service.building import BuiltShop, a_brief, build_shop

IDA = "Ida Marsh"
BUILDING = "Building it beforehand"


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def newest(shop: BuiltShop, lead: Lead) -> Quote:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    return quote


def send(shop: BuiltShop, lead: Lead, *lines: tuple[str, str], basis: str | None = None) -> Quote:
    sent = tuple(PriceLine(label=label, amount=Decimal(amount)) for label, amount in lines)
    shop.send_firm(lead, basis_number=basis, lines=sent, reason="they open late")
    return newest(shop, lead)


def test_the_price_is_exactly_what_the_lines_come_to(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    ballpark = newest(shop, lead)
    kept = [(line.label, f"{line.amount}") for line in lines_of(ballpark, IDA)]
    quote = send(shop, lead, *kept, ("Early access on Sunday", "40.25"), ("For old times", "-5"))
    assert quote.likely == quote.low == quote.high == ballpark.likely + Decimal("35.25")
    assert quote.lines is not None
    assert sum(line.amount for line in quote.lines) == quote.likely
    assert quote.deposit == handling.deposit_of(quote.likely, shop.price_books.current())
    assert lines_of(quote, IDA) == quote.lines


def test_a_line_keeps_what_the_estimate_made_of_it(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    estimated = {line.label: line.amount for line in lines_of(newest(shop, lead), IDA)}
    send(shop, lead, (BUILDING, "100"), ("Early access on Sunday", "40"))
    again = send(shop, lead, (BUILDING, "120"), ("Early access on Sunday", "60"))
    assert again.lines is not None
    assert [(line.label, line.was) for line in again.lines] == [
        (BUILDING, estimated[BUILDING]),
        ("Early access on Sunday", None),
    ]


def test_the_history_says_which_lines_changed_and_why(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    estimated = lines_of(newest(shop, lead), IDA)
    (building,) = [line for line in estimated if line.label == BUILDING]
    others = [(line.label, f"{line.amount}") for line in estimated if line.label != BUILDING]
    send(shop, lead, (BUILDING, "300"), others[0], ("Early access", "40"))
    with shop.ports.read() as work:
        sent = work.leads.history(lead.id)[-1]
    assert sent.detail["reason"] == "they open late"
    assert sent.detail["lines"] == [
        f"{BUILDING}: ${building.amount:.0f} → $300",
        "Early access: added, $40",
        f"{others[1][0]}: taken out",
    ]


def test_lines_on_an_old_page_are_refused(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    basis = newest(shop, lead).number
    send(shop, lead, (BUILDING, "300"), basis=basis)
    with pytest.raises(StaleDecision, match="has gone out already"):
        send(shop, lead, (BUILDING, "300"), basis=basis)


def test_a_price_alone_drops_the_lines_of_another_price(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    kept = send(shop, lead, (BUILDING, "300"), ("Early access", "40"))
    for price, lines in ((None, kept.lines), (Decimal("340"), kept.lines), (Decimal(500), None)):
        shop.send_firm(lead, price, reason="so be it")
        assert newest(shop, lead).lines == lines


def test_the_client_reads_the_shops_own_lines_in_their_language(shop: BuiltShop) -> None:
    spanish = load(None).in_language("es")
    lead = shop.quoted(a_brief())
    quote = send(shop, lead, (BUILDING, "300"), ("Early access, 7 %", "40"))
    labels = [line.label for line in told(quote, IDA, spanish)]
    assert labels == ["Armarlo antes", "Early access, 7 %"]
    shop.send_firm(lead, Decimal(777), reason="so be it")
    adjusted = told(newest(shop, lead), IDA, spanish)[-1]
    assert adjusted.label == "Añadido por Ida Marsh al revisarlo con calma"
    shop.send_firm(lead, Decimal(111), reason="a gift")
    lowered = told(newest(shop, lead), IDA, spanish)[-1]
    assert lowered.label == "Descuento de Ida Marsh"


def test_changes_and_comparisons_go_by_the_name_of_a_line() -> None:
    one = PriceLine(label="one", amount=Decimal(10))
    more = PriceLine(label="one", amount=Decimal("12.50"))
    assert line_changes([one], [one], "USD") == ()
    assert line_changes([one], [more], "USD") == ("one: $10 → $12.50",)
    estimated = replace(one, was=Decimal(10))
    assert compared([more], [estimated]) == (replace(more, was=Decimal(10)),)
    assert compared([more], [one]) == (more,)
    assert price_lines.total_of([one, more]) == Decimal("22.50")
