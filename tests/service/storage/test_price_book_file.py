import datetime as dt
import math
import os
from decimal import Decimal
from itertools import islice
from pathlib import Path

import pytest

from service.estimating import AccentKind, BookError, Ground, PriceBook
from service.estimating.book import Figure, Labour, LineKind, Per
from service.storage.price_book import PriceBookFile, read_price_book
from service.storage.price_book.public_holidays import PublicHolidays

DEMO = Path(__file__).parents[3] / "deploy" / "price_book.yaml"


@pytest.fixture
def text() -> str:
    return DEMO.read_text(encoding="utf-8")


@pytest.fixture
def book(text: str) -> PriceBook:
    return read_price_book(text, "book.yaml")


def line_of(text: str, part: str) -> int:
    return next(n for n, line in enumerate(text.splitlines(), 1) if part in line)


def faults_in(text: str) -> dict[str, str]:
    with pytest.raises(BookError) as caught:
        read_price_book(text, "book.yaml")
    return {problem.field: problem.detail for problem in caught.value.problems}


def the_fault_in(text: str, old: str, new: str) -> tuple[str, str]:
    """The only fault of the book with `old` written as `new`, which must be on that line."""
    assert text.count(old) == 1, old
    broken = text.replace(old, new)
    ((field, detail),) = faults_in(broken).items()
    where, path = field.split(" ")
    assert where == f"book.yaml:{text[: text.index(old)].count(chr(10)) + 1}"
    return path, detail


def test_the_demo_book_is_sound_and_its_version_follows_its_text(
    text: str, book: PriceBook
) -> None:
    assert book.shop.town == "Alder Mills"
    assert len(book.colours) >= 28
    assert book.version == read_price_book(text, "other.yaml").version
    assert book.version != read_price_book(text + "\n# a note", "book.yaml").version


def test_money_is_read_as_it_is_written(book: PriceBook) -> None:
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
    faults = faults_in(text.replace("{name: Millrace Party Supply", "{name: Millrace"))
    assert len(faults) > 20
    assert all("is not among the suppliers" in detail for detail in faults.values())


def test_peoples_units_become_metres_kilograms_and_seconds(book: PriceBook) -> None:
    frame = book.fittings.hardware[0]
    assert frame.mass_kg == pytest.approx(24 * 0.45359237)
    assert frame.base_m == pytest.approx(18 * 0.0254)
    five = book.size(5)
    assert five is not None
    assert (five.keeps_indoors_s, five.keeps_outdoors_s) == (48 * 3600, 12 * 3600)
    assert book.fittings.line.length_m == pytest.approx(300 * 0.3048)
    assert book.fittings.covers[0].seconds == 6 * 60
    assert book.workshop.temperature_c == pytest.approx(20)  # (68 - 32) / 1.8
    assert book.workshop.elevation_m == pytest.approx(12.192)  # 40 x 0.3048
    small = book.helium.cylinders[0]
    assert small.contents_m3 == pytest.approx(1.5574, abs=1e-4)  # 55 x 0.0283168
    assert book.wind.come_down_m_s == pytest.approx(10.729, abs=1e-3)  # 24 x 0.44704
    assert book.labour.ready_before == dt.timedelta(minutes=30)


def per_hour(sizing_s: float, pump_m3_s: float, sized_in: float) -> float:
    return 3600 / (sizing_s + math.pi / 6 * (sized_in * 0.0254) ** 3 / pump_m3_s)


def test_balloons_an_hour_are_those_of_a_practised_hand(book: PriceBook) -> None:
    labour: Labour = book.labour
    # 7.36 L at 5 L/s are 1.5 s, and 6 s besides: 482 an hour.
    assert per_hour(labour.sizing_s, labour.pump_m3_s, 9.5) == pytest.approx(480, rel=0.01)
    assert per_hour(labour.hand_sizing_s, labour.hand_pump_m3_s, 4.5) < 400
    assert 3600 / labour.tying_s == pytest.approx(800)


def test_one_point_of_fixing_costs_the_same_by_clip_and_bands(book: PriceBook) -> None:
    line = book.fittings.line
    # 1 x 0.14 + 2 x 0.04
    assert line.clips_per_point * line.price_per_clip + (
        line.bands_per_point * line.price_per_band
    ) == Decimal("0.22")


def test_every_new_kind_of_entry_arrives_in_the_core(book: PriceBook) -> None:
    corner, wholesale = book.suppliers
    assert [str(corner.delivery), corner.free_from, corner.lead_days] == ["0.00", None, 1]
    assert str(wholesale.delivery) == "9.50"
    assert str(wholesale.free_from) == "120.00"
    assert str(wholesale.minimum) == "40.00"
    assert wholesale.lead_days == 4
    assert book.substitutes[0].instead == 11
    assert [size.size_class for size in book.sizes if size.by_hand] == [5]
    assert [item.label for item in book.fittings.hardware if item.panel] == [
        "adjustable backdrop stand"
    ]
    assert set(book.fittings.accents) == set(AccentKind)
    assert book.fittings.accents[AccentKind.FLOWERS].kind is AccentKind.FLOWERS
    assert {item.per for item in book.fittings.consumables} == set(Per)
    assert set(book.wind.friction) == set(Ground)
    assert book.helium.balloon_price[11] == Decimal("0.32")
    assert {rule.when.figure for rule in book.review} >= {Figure.OUTDOORS, Figure.HELIUM_BALLOONS}


def test_a_long_balloon_as_line_needs_no_quotes(text: str) -> None:
    book = read_price_book(text.replace("kind: cord ", "kind: 260 "), "book.yaml")
    assert book.fittings.line.kind is LineKind.LONG_260


def test_the_longest_prefix_has_a_tax_rule_of_its_own(text: str) -> None:
    here = '- {postal_prefix: "03", percent: 0, when_kept: [], when_taken_back: []}'
    book = read_price_book(text.replace("  tax:\n", f"  tax:\n    {here}\n"), "book.yaml")
    assert [rule.postal_prefix for rule in book.policy.tax] == ["03", ""]
    assert [rule.rate for rule in book.policy.tax] == [0, Decimal("0.0625")]
    assert "balloons" in book.policy.tax[1].when_kept
    assert "wear" not in book.policy.tax[1].when_kept


def test_holidays_have_their_names_in_every_year(book: PriceBook) -> None:
    holidays = book.policy.holidays
    assert holidays[dt.date(2027, 7, 4)] == "Independence Day"
    assert holidays[dt.date(2071, 7, 4)] == "Independence Day"
    # The third Monday of April: kept in Massachusetts, not in the country.
    assert holidays[dt.date(2027, 4, 19)] == "Patriots' Day"
    assert dt.date(2027, 4, 19) not in PublicHolidays("US")
    assert holidays.get(dt.date(2027, 6, 8)) is None
    # The fourth of July is a Sunday in 2027, so the Monday after is kept too.
    assert holidays[dt.date(2027, 7, 5)] == "Independence Day (observed)"


def test_holidays_can_be_walked_through_and_compared() -> None:
    first = list(islice(PublicHolidays("US", "MA"), 30))
    assert first == sorted(first)
    assert PublicHolidays("US", "MA") == PublicHolidays("US", "MA")
    assert PublicHolidays("US", "MA") != PublicHolidays("US")


@pytest.mark.parametrize(
    ("old", "new", "path", "detail"),
    [
        ("size_class: 5,  sized_in: 4.5", "size_class: 5,  sized_in: 45", "sizes[0]", "5 in is"),
        ("size_class: 16, sized", "size_class: 17, sized", "sizes[3].size_class", "10, 11, 12, 16"),
        ("lead_days: 4}", "lead_days: -4}", "suppliers[1].lead_days", "greater than or equal to 0"),
        ("instead: 11}", "instead: 10}", "substitutes[0]", "stands in for itself"),
        ("instead: 11}", "instead: 11, instead_colour: red}", "substitutes[0]", "that is wanted"),
        ("instead: 11}", "instead: 12}", "substitutes[0].instead", "no size 12 under sizes"),
        ("mass_lb: 26", "mass_lb: 0", "hardware[2].mass_lb", "greater than 0"),
        (
            'navy fabric cover",  fits: ["round top frame 4 x 7 ft"]',
            'navy fabric cover",  fits: ["round top frame"]',
            "covers[1].fits",
            "no 'round top frame' under hardware",
        ),
        ("kind: cord ", "kind: rope ", "line.kind", "use one of cord, 260"),
        ("spool_ft: 300", "spool_ft: 1", "line.spool_ft", "greater than or equal to 3"),
        ("  greenery: ", "  ivy: ", "accents.ivy", "use one of flowers, greenery"),
        ("usual: 6", "usual: 0", "accents.ribbon.usual", "greater than or equal to 1"),
        ("per: job,  ", "per: day,  ", "consumables[3].per", "job, piece, hundred_balloons"),
        ("quad: 25, ", "", "labour.seconds_per_cluster", "add quad"),
        ("speedup: 1.67", "speedup: 2.5", "labour.pair_speedup", "less than or equal to 2"),
        ("_f: 68", "_f: 200", "workshop.temperature_f", "less than or equal to 120"),
        ("{10: 0.28", "{5: 0.28", "helium.balloon_prices[5]", "from 10 in on"),
        ("weight_factor: 1.5", "weight_factor: 0.5", "helium.weight_factor", "than or equal to 1"),
        ("down_mph: 24", "down_mph: 38", "wind.come_down_mph", "less than or equal to 24"),
        ("timber: 0.3, ", "", "wind.friction", "add timber"),
        ("timber: 0.3", "sand: 0.3", "wind.friction.sand", "grass, paving, timber, carpet"),
        ("country: US", "country: UX", "policy.holidays.country", 'a code such as "US"'),
        ("subdivision: MA", "subdivision: XM", "policy.holidays.subdivision", "AK, AL, AR"),
        (
            "line, fixings, foils, acc",
            "line, fixing, foils, acc",
            "policy.tax[0].when_kept[3]",
            "no such cost line; use any of balloons, leftovers, line",
        ),
        ("hours_percent: 22", "hours_percent: 0", "spread.hours_percent", "greater than 0"),
        (
            "helium_balloons, above: 0",
            "gas, above: 0",
            "review[5].when",
            "use one of likely_price, margin_percent, over_budget",
        ),
        ("days_of_notice, below: 5", "days_of_notice, is: 5", "review[4].is", "use one of yes, no"),
        ("days_of_notice, below: 5", "days_of_notice, is: yes", "review[4]", "above: or below:"),
        ("days_of_notice, below: 5", "days_of_notice", "review[4]", "one of above:, below:, is:"),
        ("days_of_notice, below: 5", "days_of_notice, below: 0", "review[4]", "never below 0"),
        ("assumptions, above: 4", "assumptions, above: -4", "review[7].above", "or equal to 0"),
        ("size_unsure, is: yes", "size_unsure, above: 1", "review[6]", "is: yes or is: no"),
        (
            "size_unsure, is: yes",
            "support, is: yes",
            "review[6]",
            "takes is: with one of round_top",
        ),
        (
            "and: {when: out_of_area, is: no}",
            "and: {when: miles, above: 35}",
            "review[3]",
            "name another condition",
        ),
    ],
)
def test_a_fault_of_one_entry_is_found_on_its_line(
    text: str, old: str, new: str, path: str, detail: str
) -> None:
    found = the_fault_in(text, old, new)
    assert found[0] == path
    assert detail in found[1]


def test_a_tax_rule_for_any_other_place_must_be_there(text: str) -> None:
    broken = text.replace("    - percent:", '    - postal_prefix: "02"\n      percent:')
    ((field, detail),) = faults_in(broken).items()
    assert field == f"book.yaml:{line_of(broken, '  tax:')} policy.tax"
    assert "a rule without a postal_prefix" in detail


def test_two_tax_rules_for_one_place_are_refused(text: str) -> None:
    again = "- {percent: 5, when_kept: [], when_taken_back: []}"
    faults = faults_in(text.replace("  tax:\n", f"  tax:\n    {again}\n"))
    (detail,) = faults.values()
    assert detail.startswith('more than one rule for the postal_prefix ""')


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
