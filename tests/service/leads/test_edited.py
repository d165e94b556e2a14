"""What the owner changed in a brief, in plain words."""

from dataclasses import fields, replace
from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    Budget,
    Build,
    ColourShare,
    Event,
    Floating,
    FloatKind,
    Fullness,
    Pattern,
    Piece,
    Placement,
    Setting,
    Shape,
    Site,
    Support,
)
from service.leads.edited import client_edits, edits
from service.leads.lead import Client
from tests.service.building import a_brief, a_piece

COLUMNS = Piece(support=Support.COLUMN, count=2, height_m=1.8288)
HOOP = Piece(support=Support.HOOP, width_m=1.8288)


def said(before: Brief, after: Brief) -> tuple[str, ...]:
    return edits(before, after, "USD")


@pytest.mark.parametrize(
    ("piece", "changed", "text"),
    [
        (a_piece(), {"width_m": 1.524}, "round top frame: width 4 ft → 5 ft"),
        (a_piece(), {"fullness": Fullness.LUSH}, "round top frame: fullness full → lush"),
        (a_piece(), {"coverage": 0.5}, "round top frame: covered left open → 50%"),
        (a_piece(), {"width_m": 1.2193}, "round top frame: width 4 ft → a little different"),
        (HOOP, {"width_m": 1.524}, "hoop: across 6 ft → 5 ft"),
        (COLUMNS, {"count": 4}, "column: how many 2 → 4"),
        (
            COLUMNS,
            {"accents": (Accent(kind=AccentKind.FLOWERS, count=8, words="roses"),)},
            "column: extras left open → 8 stems of flowers (roses)",
        ),
    ],
)
def test_a_changed_piece_is_told_before_and_after(
    piece: Piece, changed: dict[str, Any], text: str
) -> None:
    before, after = (a_brief(pieces=(each,)) for each in (piece, replace(piece, **changed)))
    assert said(before, after) == (text,)


def test_pieces_come_and_go() -> None:
    both = a_brief(pieces=(a_piece(), COLUMNS))
    assert said(both, a_brief(pieces=(COLUMNS,))) == (
        "taken out: round-top frame, 4 ft wide and 7 ft tall, full",
    )
    assert said(a_brief(pieces=(COLUMNS,)), both) == (
        "added: round-top frame, 4 ft wide and 7 ft tall, full",
    )
    assert said(a_brief(), a_brief(pieces=(HOOP,))) == (
        "taken out: round-top frame, 4 ft wide and 7 ft tall, full",
        "added: hoop, 6 ft across, full",
    )


def test_day_place_money_and_colours_are_told() -> None:
    before = a_brief(budget=Budget(max=Decimal(400)))
    after = a_brief(
        palette=(ColourShare(colour="navy", share=0.25), ColourShare(colour="white")),
        event=Event(occasion="anniversary", date=date(2027, 6, 12), start_time=time(14, 30)),
        site=Site(
            setting=Setting.OUTDOOR,
            place="boathouse lawn",
            postal_code="02472",
            access_from=time(7),
        ),
        budget=Budget(min=Decimal(300), max=Decimal("450.50")),
        floating=(Floating(kind=FloatKind.LATEX, size_class=11, count=3),),
        client_keeps=True,
        notes="By the boats.",
    )
    assert said(before, after) == (
        "colors sage, cream and gold → navy (25%) and white",
        "helium left open → 3 helium balloons, 11 in latex",
        "day Sunday, June 6, 2027 → Saturday, June 12, 2027",
        "starts at 3:00\N{NO-BREAK SPACE}PM → 2:30\N{NO-BREAK SPACE}PM",
        "setting indoors → outdoors",
        "place “boathouse hall” → “boathouse lawn”",
        "open from left open → 7:00\N{NO-BREAK SPACE}AM",
        "budget up to $400 → from $300 up to $450.50",
        "afterwards left open → the client keeps the balloons",
        "notes left open → “By the boats.”",
    )


def test_what_is_alike_says_nothing() -> None:
    assert said(a_brief(), a_brief()) == ()
    found = replace(a_brief(), site=replace(a_brief().site, latitude=42.37, longitude=-71.18))
    assert said(a_brief(), found) == ()  # where it lies follows from the place


def test_every_field_that_a_brief_has_is_told_when_it_changes() -> None:
    """A field that is new in the core needs its words here, or its change would go untold."""
    arch = Piece(support=Support.FREESTANDING_ARCH, width_m=2.0, height_m=2.0)
    given = {each.name for each in fields(Piece)} - {"support"}
    assert given == set(OTHER)
    for name, value in OTHER.items():
        after = a_brief(pieces=(replace(arch, **{name: value}),))
        assert len(said(a_brief(pieces=(arch,)), after)) == 1, name


OTHER: dict[str, Any] = {
    "count": 2,
    "fullness": Fullness.AIRY,
    "coverage": 0.4,
    "placement": Placement.CENTRED,
    "pattern": Pattern.STRIPE,
    "build": Build.QUADS,
    "size_class": 11,
    "sized_m": 0.2,
    "width_m": 2.5,
    "height_m": 2.5,
    "length_m": 3.0,
    "sag_m": 0.3,
    "rise_m": 1.0,
    "run_m": 1.0,
    "drop_m": 0.5,
    "steps": 12,
    "shape": Shape.SEMI_ELLIPSE,
    "accents": (Accent(kind=AccentKind.RIBBON),),
    "measures_assumed": True,
}


def test_the_client_is_told_before_and_after_too() -> None:
    before = Client(name="Nora", email="nora@rowing.example")
    after = Client(name="Nora Ålund", email="nora@rowing.example", phone="+1 617-555-0123")
    assert client_edits(before, after) == (
        "name Nora → Nora Ålund",
        "phone left open → +1 617-555-0123",
    )
