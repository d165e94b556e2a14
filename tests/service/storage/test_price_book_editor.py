from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import BookError
from service.leads.book_forms import Form, Group, Input, Kind, Part, Rows
from service.leads.lead import NotFound
from service.storage.price_book.book import BookEntry
from service.storage.price_book.editor import Editor
from service.storage.price_book.reading import parsed, read_price_book
from service.storage.price_book.sections import PAGES
from service.storage.price_book.weaving import rewritten, say_the_same

TEXT = (Path(__file__).parents[3] / "deploy" / "price_book.yaml").read_text(encoding="utf-8")
EDITOR = Editor()


def inputs(part: Part) -> Iterator[Input]:
    if isinstance(part, Input):
        yield part
    for each in (
        part.parts if isinstance(part, Group) else part.rows if isinstance(part, Rows) else ()
    ):
        yield from inputs(each)


def typed_in(form: Form) -> dict[str, tuple[str, ...]]:
    """What a browser sends of the form as it is."""
    return {
        each.name: each.values
        for part in form.parts
        for each in inputs(part)
        if each.kind is not Kind.TICK or each.value == "yes"
    }


def page(name: str, text: str = TEXT) -> dict[str, tuple[str, ...]]:
    return typed_in(EDITOR.form(text, name))


def changed(name: str, **fields: str) -> str:
    """The text after these fields of a page were typed anew."""
    typed = page(name) | {key.replace("__", "."): (value,) for key, value in fields.items()}
    form, text = EDITOR.entered(TEXT, name, typed)
    assert text is not None, (form.faults, form.elsewhere)
    return text


def faults(name: str, **fields: str) -> dict[str, str]:
    typed = page(name) | {key.replace("__", "."): (value,) for key, value in fields.items()}
    form, text = EDITOR.entered(TEXT, name, typed)
    assert text is None
    return dict(form.faults)


def differing(old: str, new: str) -> tuple[list[str], list[str]]:
    before, after = old.splitlines(), new.splitlines()
    return [x for x in before if x not in after], [x for x in after if x not in before]


def test_a_closed_row_tells_its_figures_with_labels_and_units() -> None:
    form = EDITOR.form(TEXT, "packs")
    (suppliers,) = (part for part in form.parts if part.name == "suppliers")
    assert isinstance(suppliers, Rows)
    near, far = suppliers.rows[:2]
    facts = {fact.label: (fact.value, fact.money) for fact in far.facts}
    assert far.label == "Two Bridges Wholesale"
    assert facts["delivery"] == ("9.50", True)
    assert facts["arrives after"] == ("4 days", False)
    assert near.facts[-1].value == "1 day"
    sizes = EDITOR.form(TEXT, "sizes").parts[0]
    assert isinstance(sizes, Rows)
    assert (sizes.rows[0].label, sizes.rows[0].facts[0].value) == ("5 in", "4.5 inches")


def test_every_section_of_the_book_stands_on_a_page() -> None:
    assert {name for _, names in PAGES.values() for name in names} == set(BookEntry.model_fields)
    with pytest.raises(NotFound):
        EDITOR.form(TEXT, "nowhere")


def test_a_page_that_is_sent_as_it_is_changes_not_a_letter() -> None:
    for each in EDITOR.pages():
        form, text = EDITOR.entered(TEXT, each.key, page(each.key))
        assert (dict(form.faults), form.elsewhere) == ({}, ())
        assert text == TEXT, each.key


def test_one_figure_changes_one_line_and_keeps_its_comment() -> None:
    gone, come = differing(TEXT, changed("work", labour__wage="27.5"))
    assert gone == ["  wage: 26.00                 # an hour"]
    assert come == ["  wage: 27.50                 # an hour"]


def test_figures_may_be_typed_as_people_write_them() -> None:
    book = read_price_book(changed("prices", policy__minimum="$1,200"), "book")
    assert str(book.policy.minimum) == "1200.00"
    text = changed("frames", hardware__0__width_ft="4 ft 6 in", hardware__1__base_in="16 1/2")
    hardware = parsed(text, "book")["hardware"]
    assert (hardware[0]["width_ft"], hardware[1]["base_in"]) == (4.5, 16.5)


def test_rows_come_and_go_and_the_others_keep_their_lines() -> None:
    new = {
        "suppliers.7.name": ("Kiln Street Balloons: wholesale",),
        "suppliers.7.lead_days": ("2",),
        "suppliers.7.delivery": ("",),
        "bags.0.price": ("2.75",),
    }
    _, text = EDITOR.entered(TEXT, "packs", page("packs") | new)
    assert text is not None
    gone, come = differing(TEXT, text)
    assert [line.split("price:")[-1] for line in gone] == [" 2.60}"]
    assert [line.split("price:")[-1] for line in come[:1]] != gone
    assert "  - {name: 'Kiln Street Balloons: wholesale', lead_days: 2}" in come
    assert "# round the corner" in text
    fewer = {
        key: value for key, value in page("packs", text).items() if not key.startswith("kits.1.")
    }
    _, text = EDITOR.entered(text, "packs", fewer)
    assert text is not None
    assert [kit["item"] for kit in parsed(text, "book")["kits"]] == [
        "mixed pack meadow",
        "mixed pack rosebed",
    ]
    assert "# What may be put in place of what" in text


def test_a_row_in_which_nothing_is_typed_is_no_row() -> None:
    typed = page("packs") | {"bags.99.supplier": ("",), "bags.99.price": ("  ",)}
    assert EDITOR.entered(TEXT, "packs", typed)[1] == TEXT


def test_what_was_typed_stays_when_a_row_is_added_or_taken_out() -> None:
    typed = page("travel") | {"travel.speed_mph": ("fast",)}
    form = EDITOR.reshaped("travel", typed, add="travel.zones")
    assert form.fresh == "travel.zones.0"
    assert typed_in(form)["travel.speed_mph"] == ("fast",)
    assert "travel.zones.0.fee" in typed_in(form)
    typed = typed_in(form) | {"travel.zones.0.fee": ("15",)}
    again = EDITOR.reshaped("travel", typed, remove="travel.zones.0")
    assert "travel.zones.0.fee" not in typed_in(again)
    # A list inside a row.
    inner = EDITOR.reshaped("packs", page("packs"), add="kits.1.contents")
    assert inner.fresh == "kits.1.contents.5"
    assert not EDITOR.reshaped("packs", page("packs"), add="no.such.list").fresh


def test_ticks_lists_and_days_that_are_closed_are_kept() -> None:
    typed = page("prices")
    typed["policy.tax_included"] = ("yes",)
    typed["policy.tax.0.when_taken_back"] = ("hire", "labour.install")
    _, text = EDITOR.entered(TEXT, "prices", typed)
    assert text is not None
    policy = parsed(text, "book")["policy"]
    assert policy["tax_included"] is True
    assert policy["tax"][0]["when_taken_back"] == ["hire", "labour.install"]
    opening = parsed(
        changed(
            "calendar", calendar__opening__sunday__opens="", calendar__opening__sunday__closes=""
        ),
        "book",
    )["calendar"]["opening"]
    assert "sunday" not in opening
    assert parsed(changed("shop", shop__contact="one\n\ntwo: 2"), "book")["shop"]["contact"] == [
        "one",
        "two: 2",
    ]


def test_texts_of_several_lines_are_kept_line_by_line() -> None:
    text = changed("answers", answers__minimum__en="From {minimum} on.\nSmaller? Ask: {contact}")
    assert "    en: |-\n      From {minimum} on.\n" in text
    assert read_price_book(text, "book").answers["minimum"]["en"].startswith("From $180 on.\n")


@pytest.mark.parametrize(
    ("name", "field", "typed", "said"),
    [
        ("work", "labour.wage", "lots", "Write a number, such as 4.5."),
        ("work", "labour.wage", "", "Fill this in."),
        ("work", "labour.wage", "-3", "Write 0 or more."),
        ("work", "labour.wage", "26.123", "Write at most 2 figures behind the point."),
        ("work", "labour.crew", "1.5", "Write a whole number, such as 10."),
        ("work", "labour.pair_speedup", "2.5", "Write 2 or less."),
        ("work", "labour.tied_per_hour", "0", "Write more than 0."),
        ("work", "labour.tied_per_hour", "9" * 30, "Write a number, such as 4.5."),
        ("shop", "shop.currency", "dollars", "Write three capital letters, such as USD."),
        (
            "shop",
            "shop.time_zone",
            "Mars/Olympus",
            "No such time zone; write one such as America/New_York.",
        ),
        (
            "colors",
            "colours.0.hex",
            "white",
            "Write # and six of 0 to 9 and A to F, such as #A9B79A.",
        ),
        ("colors", "default_palette", "creem", "No color 'creem' under colors."),
        ("calendar", "calendar.opening.monday.closes", "", "Fill this in."),
        (
            "calendar",
            "calendar.opening.monday.closes",
            "07:00",
            "It closes before it opens; write a later time.",
        ),
        ("garland", "recipe.base_size", "12", "No size 12 under sizes; add it there."),
        ("answers", "answers.notice.en", "{nothing}", "Nothing is known as {nothing}"),
        ("frames", "covers.0.fits", "a hat", "No 'a hat' under hardware; use a label from there."),
    ],
)
def test_a_fault_stands_beside_its_field_and_says_what_to_do(
    name: str, field: str, typed: str, said: str
) -> None:
    found = faults(name, **{field.replace(".", "__"): typed})
    assert list(found) == [field]
    assert found[field].startswith(said)


def test_a_fault_of_another_page_is_told_with_where_to_mend_it() -> None:
    typed = {key: value for key, value in page("colors").items() if value != ("sage",)}
    form, text = EDITOR.entered(TEXT, "colors", typed)
    assert text is None
    assert form.faults == {"colours.15.name": "Fill this in."}
    gone = {key: value for key, value in typed.items() if not key.startswith("colours.15.")}
    form, text = EDITOR.entered(TEXT, "colors", gone)
    assert text is None
    assert form.elsewhere[0] == (
        "On “Suppliers and packs”, Mixed packs, row 1, contents, row 1, color: "
        "No color 'sage' under colors. Change it there first."
    )


def test_a_new_rule_about_a_section_leaves_all_others_as_they_are() -> None:
    text = rewritten(TEXT, "travel", {**parsed(TEXT, "b")["travel"], "speed_mph": 30})
    assert differing(TEXT, text) == (["  speed_mph: 24"], ["  speed_mph: 30"])
    without = rewritten(TEXT, "privacy", None)
    assert "privacy" not in parsed(without, "b")
    assert parsed(rewritten(without, "privacy", {"keep_lost_days": 90}), "b")["privacy"] == {
        "keep_lost_days": 90
    }
    braces = rewritten("{shop: {name: A}, car: {bag_ft3: 12}}\n", "car", {"bag_ft3": Decimal(11)})
    assert parsed(braces, "b") == {"shop": {"name": "A"}, "car": {"bag_ft3": 11}}


VALUES = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(-(10**9), 10**9),
        st.decimals(-(10**6), 10**6, places=2, allow_nan=False),
        st.text(
            st.characters(
                blacklist_categories=("Cc", "Cs", "Zl", "Zp"), blacklist_characters="\ufeff"
            ),
            max_size=30,
        ),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(st.text("abcdefg_", min_size=1, max_size=6), inner, max_size=4),
    ),
    max_leaves=12,
)


@settings(max_examples=50)
@given(st.dictionaries(st.sampled_from(["name", "contact", "town", "more"]), VALUES, min_size=1))
def test_whatever_is_written_into_a_section_is_read_from_it_again(data: dict[str, Any]) -> None:
    small = (
        "shop:\n  name: A      # of the shop\n  contact:   # at the foot\n    # each of its own\n"
        "    - a line   # first\n  more:\n    # inside\n    a: {b: 1,  c: 2}   # in braces\n"
        "\n# Behind it.\ncar: 1\n"
    )
    text = rewritten(small, "shop", data)
    assert say_the_same(parsed(text, "b")["shop"], data)
    assert text.endswith("\n# Behind it.\ncar: 1\n")


def test_lines_that_went_and_came_are_told_by_their_page() -> None:
    changes = EDITOR.compared(TEXT, changed("work", labour__wage="27.5"))
    assert [(each.where, each.gone, each.come) for each in changes] == [
        ("Work and hours", ("  wage: 26.00 # an hour",), ("  wage: 27.50 # an hour",))
    ]
    assert EDITOR.compared(TEXT, TEXT.replace("price: 2.60", "price:    2.60")) == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a: &a [1, 2]\nb: [*a, *a]\n", "*a refers to another entry; write it out"),
        ("[" * 600, "brackets stand in brackets too often"),
        ("a: 1" + "0" * 5000, "too large to be one"),
        ("a: 2027-13-45", "too large to be one"),
        ("# " + "x" * 1024 * 1024, "longer than 1024 kB"),
        ("just words", "the file holds no entries"),
    ],
)
def test_what_is_no_price_book_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(BookError) as caught:
        read_price_book(text, "book")
    assert said in str(caught.value)
