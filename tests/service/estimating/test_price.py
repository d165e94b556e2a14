import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Brief, Piece, Price, PriceBook, Site, Support, estimate
from service.estimating.book import Charge, Policy, Task, TaxRule
from service.estimating.costing import Costs, Ledger, total
from service.estimating.price import asked, price_range, surcharges, tax_for, taxable_share

CENT = Decimal("0.01")
TODAY = dt.date(2027, 6, 1)
TUESDAY, SATURDAY = dt.date(2027, 6, 15), dt.date(2027, 6, 19)
WALL = Piece(support=Support.WALL, length_m=3)
LIKELY = (Decimal("0.8"), Decimal(1), Decimal("1.3"))
CERTAIN = (Decimal(1), Decimal(1), Decimal(1))

GOODS = frozenset({"balloons", "foils"})
RULES = (
    TaxRule(postal_prefix="", rate=Decimal("0.05"), when_kept=GOODS, when_taken_back=frozenset()),
    TaxRule(
        postal_prefix="0",
        rate=Decimal("0.06"),
        when_kept=GOODS,
        when_taken_back=frozenset({"labour"}),
    ),
    TaxRule(
        postal_prefix="024",
        rate=Decimal("0.07"),
        when_kept=GOODS | {"labour"},
        when_taken_back=frozenset({"delivery"}),
    ),
)


@pytest.fixture
def policy(book: PriceBook) -> Policy:
    """Round figures: every sum can be done in the head."""
    return replace(
        book.policy,
        charge=Charge.MARKUP,
        overhead=Decimal("0.10"),
        markup=Decimal("0.50"),
        hourly_target=Decimal(60),
        minimum=Decimal(100),
        rush_days=7,
        rush_share=Decimal("0.20"),
        weekend_share=Decimal("0.08"),
        holiday_share=Decimal("0.15"),
        holidays={TUESDAY: "Founders' Day", SATURDAY: "Regatta Day"},
        rounding=Decimal(5),
        deposit_share=Decimal("0.5"),
        deposit_rounding=Decimal(5),
        tax=RULES,
        tax_included=False,
    )


def costs(*taxed: str) -> Costs:
    """$100 of balloons, $40 of wear, 5 h at $20 ($100), $60 of driving: $300 in all."""
    ledger = Ledger(taxed)
    hours = dict.fromkeys(Task, 0.0) | {Task.TYING: 2.0, Task.INSTALL: 3.0}
    return Costs(
        materials=(ledger.line("balloons", "10 in balloons", 400, "balloon", Decimal("0.25")),),
        support=(ledger.line("wear", "frame: wear", 4, "use", Decimal(10)),),
        labour=tuple(
            ledger.labour({task.value: spent for task, spent in hours.items()}, Decimal(20))
        ),
        driving=(ledger.line("vehicle", "car", 100, "km", Decimal("0.60")),),
    )


HOURS: Mapping[str, float] = {"tying": 2.0, "install": 3.0}


def charged(
    amount: str,
    policy: Policy,
    *,
    levels: tuple[Decimal, ...] = CERTAIN,
    rate: str = "0",
    share: str = "1",
) -> Price:
    return price_range(
        Decimal(amount),
        levels,
        policy,
        "USD",
        tax_rate=Decimal(rate),
        taxable_share=Decimal(share),
    )


# -- what is asked -------------------------------------------------------------------------------


def test_markup_comes_on_cost_and_overhead(policy: Policy) -> None:
    # 300 * 1.10 * 1.50
    assert asked(costs(), HOURS, policy) == Decimal(495)


def test_an_hourly_target_takes_the_place_of_the_wage(policy: Policy) -> None:
    # (300 - 100) * 1.10 + 5 h * 60
    assert asked(costs(), HOURS, replace(policy, charge=Charge.HOURLY_TARGET)) == Decimal(520)


# -- dates ---------------------------------------------------------------------------------------


def test_notice_of_exactly_the_rush_days_is_no_rush(policy: Policy) -> None:
    plain = replace(policy, holidays={})
    assert surcharges(TODAY + dt.timedelta(days=7), TODAY, plain) == {}
    # Monday, 7 June, is six days ahead.
    assert surcharges(TODAY + dt.timedelta(days=6), TODAY, plain) == {
        "short notice": Decimal("0.20")
    }
    assert surcharges(TODAY, TODAY, plain) == {"short notice": Decimal("0.20")}


def test_saturday_and_sunday_are_the_weekend_and_friday_is_not(policy: Policy) -> None:
    plain = replace(policy, holidays={})
    days = [SATURDAY + dt.timedelta(days=ahead) for ahead in range(-1, 3)]
    assert [list(surcharges(day, TODAY, plain)) for day in days] == [
        [],
        ["weekend"],
        ["weekend"],
        [],
    ]


def test_a_holiday_is_charged_by_its_name(policy: Policy) -> None:
    assert surcharges(TUESDAY, TODAY, policy) == {"Founders' Day": Decimal("0.15")}


def test_a_holiday_on_a_weekend_bears_the_greater_of_the_two(policy: Policy) -> None:
    assert surcharges(SATURDAY, TODAY, policy) == {"Regatta Day": Decimal("0.15")}
    dear_weekends = replace(policy, weekend_share=Decimal("0.25"))
    assert surcharges(SATURDAY, TODAY, dear_weekends) == {"weekend": Decimal("0.25")}
    alike = replace(policy, weekend_share=Decimal("0.15"))
    assert surcharges(SATURDAY, TODAY, alike) == {"Regatta Day": Decimal("0.15")}


def test_short_notice_comes_on_top_of_the_weekend(policy: Policy) -> None:
    added = surcharges(SATURDAY, SATURDAY - dt.timedelta(days=2), replace(policy, holidays={}))
    assert added == {"short notice": Decimal("0.20"), "weekend": Decimal("0.08")}


def test_a_share_of_nought_is_not_named(policy: Policy) -> None:
    free = replace(policy, holiday_share=Decimal(0), weekend_share=Decimal(0), rush_days=0)
    assert surcharges(SATURDAY, TODAY, free) == {}
    assert surcharges(None, TODAY, policy) == {}


# -- rounding, minimum, deposit ------------------------------------------------------------------


def test_the_range_is_rounded_outwards_and_the_likely_price_half_up(policy: Policy) -> None:
    # 402.5 * 0.8 = 322, 402.5, 402.5 * 1.3 = 523.25
    price = charged("402.5", policy, levels=LIKELY)
    assert [price.low, price.likely, price.high] == [320, 405, 525]
    # Half up to the cent where the step is a cent: 402.505 is 402.51.
    fine = charged("402.505", replace(policy, rounding=CENT))
    assert fine.likely == Decimal("402.51")


def test_a_small_job_costs_the_minimum_and_keeps_its_range(policy: Policy) -> None:
    price = charged("20", policy, levels=LIKELY)
    assert [price.low, price.likely, price.high] == [100, 105, 110]


def test_a_minimum_between_two_steps_is_rounded_up(policy: Policy) -> None:
    assert charged("20", replace(policy, minimum=Decimal(101))).low == 105


def test_where_prices_include_tax_it_comes_on_the_minimum_too(policy: Policy) -> None:
    # 100 * (1 + 0.08 * 0.5) = 104, up to 105: the shop still has its hundred.
    price = charged("20", replace(policy, tax_included=True), rate="0.08", share="0.5")
    assert price.low == 105
    assert price.low / Decimal("1.04") >= 100


def test_the_deposit_is_rounded_up_and_never_above_the_price(policy: Policy) -> None:
    # Half of 405 is 202.50.
    assert charged("402.5", policy).deposit == 205
    steep = replace(policy, deposit_share=Decimal(1), deposit_rounding=Decimal(50))
    assert charged("402.5", steep).deposit == 405
    assert charged("402.5", replace(policy, deposit_share=Decimal(0))).deposit == 0


@given(
    amount=st.decimals("0", "5000", places=4),
    minimum=st.decimals("0", "500", places=2),
    step=st.sampled_from(["0.01", "0.05", "1", "5", "25"]),
    rate=st.decimals("0", "0.25", places=4),
    share=st.decimals("0", "1", places=4),
    included=st.booleans(),
)
def test_every_price_is_in_whole_steps_and_keeps_the_shop_its_minimum(
    book: PriceBook,
    amount: Decimal,
    minimum: Decimal,
    step: str,
    rate: Decimal,
    share: Decimal,
    included: bool,
) -> None:
    policy = replace(book.policy, minimum=minimum, rounding=Decimal(step), tax_included=included)
    price = charged(str(amount), policy, levels=LIKELY, rate=str(rate), share=str(share))
    assert price.low < price.likely < price.high
    assert all(each % Decimal(step) == 0 for each in (price.low, price.likely, price.high))
    factor = 1 + rate * share if included else Decimal(1)
    assert price.low / factor >= minimum - CENT
    assert 0 <= price.deposit <= price.likely
    # Tax is the rate on the taxable part of what is left without it, to half a cent.
    net = price.likely - price.tax if included else price.likely
    assert abs(price.tax - net * rate * share) <= CENT / 2 * (1 + rate)


# -- tax -----------------------------------------------------------------------------------------


def site(postal_code: str | None, *, keeps: bool | None = None) -> Brief:
    return Brief(pieces=(WALL,), site=Site(postal_code=postal_code), client_keeps=keeps)


@pytest.mark.parametrize(
    ("postal_code", "rate"),
    [
        ("02472", "0.07"),
        ("02472-1234", "0.07"),
        (" 02472", "0.07"),
        ("03901", "0.06"),
        ("90012", "0.05"),
        (None, "0.05"),
    ],
)
def test_the_longest_fitting_prefix_rules(
    policy: Policy, postal_code: str | None, rate: str
) -> None:
    assert tax_for(site(postal_code), policy).rate == Decimal(rate)


def test_gaps_and_capitals_in_a_postal_code_do_not_matter(policy: Policy) -> None:
    rule = replace(RULES[0], postal_prefix="K1A-0", rate=Decimal("0.13"))
    north = replace(policy, tax=(*RULES, rule))
    assert tax_for(site("k1a 0b1"), north).rate == Decimal("0.13")
    assert tax_for(site("K1A0B1"), north).rate == Decimal("0.13")
    assert tax_for(site("K2A0B1"), north).rate == Decimal("0.05")


def test_a_site_that_is_not_known_is_taxed_as_at_home(policy: Policy) -> None:
    assert tax_for(site(None), policy, home="02472").rate == Decimal("0.07")
    assert tax_for(site("90012"), policy, home="02472").rate == Decimal("0.05")


def test_what_is_taxed_depends_on_who_has_the_balloons_in_the_end(policy: Policy) -> None:
    assert tax_for(site("02472", keeps=True), policy).taxed == GOODS | {"labour"}
    assert tax_for(site("02472", keeps=False), policy).taxed == {"delivery"}
    assert tax_for(site("02472"), policy).taxed == {"delivery"}


def test_the_taxable_share_goes_by_line(policy: Policy) -> None:
    assert taxable_share(costs(), HOURS, policy) == 0
    # 100 of 300
    assert taxable_share(costs("balloons"), HOURS, policy) == Decimal("0.3333")
    assert taxable_share(costs("balloons", "labour"), HOURS, policy) == Decimal("0.6667")
    every = costs("balloons", "wear", "labour", "vehicle")
    assert taxable_share(every, HOURS, policy) == 1


def test_one_task_alone_can_be_taxed(policy: Policy) -> None:
    # 2 h of tying are 40 of 300; hanging is not taxed.
    assert taxable_share(costs("labour.tying"), HOURS, policy) == Decimal("0.1333")


def test_by_hourly_target_an_hour_is_taxed_as_what_it_is_charged_at(policy: Policy) -> None:
    hourly = replace(policy, charge=Charge.HOURLY_TARGET)
    # 300 of 520, though wages are only a third of the cost; goods 100 * 1.10 of 520.
    assert taxable_share(costs("labour"), HOURS, hourly) == Decimal("0.5769")
    assert taxable_share(costs("balloons"), HOURS, hourly) == Decimal("0.2115")
    assert taxable_share(costs("labour.install"), HOURS, hourly) == Decimal("0.3462")


def test_nothing_that_is_asked_for_bears_no_tax(policy: Policy) -> None:
    nothing = Costs(materials=(), support=(), labour=(), driving=())
    assert taxable_share(nothing, {}, policy) == 0


def test_tax_comes_on_top_or_is_in_the_price(policy: Policy) -> None:
    # 402.50, half up 405, and 405 * 0.0625 * 0.5 = 12.65625 on top of it.
    on_top = charged("402.5", policy, rate="0.0625", share="0.5")
    assert [on_top.likely, on_top.tax] == [405, Decimal("12.66")]
    inside = charged("400", replace(policy, tax_included=True), rate="0.0625", share="0.5")
    # 400 * 1.03125 = 412.5, half up 415, of which 415 / 1.03125 * 0.03125 = 12.5757...
    assert [inside.likely, inside.tax] == [415, Decimal("12.58")]


def test_half_a_cent_of_tax_is_rounded_up(policy: Policy) -> None:
    # 150 * 0.0001 = 0.015
    price = charged("147.5", policy, rate="0.0001")
    assert [price.likely, price.tax] == [150, Decimal("0.02")]


def test_the_estimate_marks_the_lines_that_its_rule_names(book: PriceBook) -> None:
    taxed = replace(book, policy=replace(book.policy, tax=RULES))
    brief = replace(site("02472", keeps=True), foils=("5",))
    answer = estimate(brief, taxed, today=TODAY)
    marked = {line.code for line in answer.cost_lines if line.taxable}
    assert marked == {"balloons", "foils", "labour"}
    direct = [line for line in answer.cost_lines if line.code != "overhead"]
    share = total(line for line in direct if line.taxable) / total(direct)
    assert abs(answer.price.taxable_share - share) < Decimal("0.0001")
    due = answer.price.likely * Decimal("0.07") * answer.price.taxable_share
    assert abs(answer.price.tax - due) <= CENT / 2
