"""What goes into the car: everything that is fitted, the kit that the job asks for, every bag."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from service.estimating import Brief, Estimate, Setting, Site, Support
from service.estimating.book import KitSort, KitThing, WorkKit
from service.workshop.load_list import LoadList, load_list
from tests.service.building import BuiltShop, a_brief, a_piece, build_shop
from tests.service.workshop.a_day import FLOATS, LAWN


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path_factory.mktemp("shop"))
    yield built
    built.engine.dispose()


def listed(shop: BuiltShop, brief: Brief, kit: WorkKit | None = None) -> tuple[LoadList, Estimate]:
    book, estimate = shop.price_books.current(), shop.estimate(brief)
    return load_list(brief, estimate, book, kit=kit or book.kit), estimate


def group(found: LoadList, title: str) -> list[str]:
    return [item.text for each in found.things if each.title == title for item in each.items]


def test_an_indoor_frame_takes_its_frame_its_line_and_the_usual_tools(shop: BuiltShop) -> None:
    found, _ = listed(shop, a_brief())
    assert group(found, "Frames, stands, covers") == ["1 × round top frame 4 x 7 ft"]
    assert group(found, "Line and fixings") == ["cord, 26 ft", "14 × clips", "28 × elastic bands"]
    assert {"sizing box", "scissors", "level"} < set(group(found, "Tools"))
    assert "first aid kit" in group(found, "To be safe")
    assert any("picked up at once" in text for text in group(found, "To be safe"))
    for title in ("Weights", "Ladder", "What floats", "Hired: fetch it first"):
        assert group(found, title) == []
    # What stands for the wear of the pump is a cost; the pump itself is a tool.
    assert not any("wear" in item.text for each in found.things for item in each.items)


def test_outdoors_weights_come_along_and_what_is_short_is_told(shop: BuiltShop) -> None:
    arch = a_piece(support=Support.FREESTANDING_ARCH, width_m=3.0, height_m=2.4)
    found, estimate = listed(shop, a_brief(site=LAWN, pieces=(a_piece(), arch)))
    weights = group(found, "Weights")
    assert "4 × base plate 25 lb" in weights
    assert estimate.wind is not None
    short = [
        each
        for each in estimate.wind.pieces
        if max(each.against_tipping_kg, each.against_sliding_kg) > each.ballast_kg
    ]
    assert short
    assert sum("more weight, or anchors" in text for text in weights) == len(short)
    assert "wind gauge" in group(found, "To be safe")


def test_helium_brings_a_hired_cylinder_its_tools_and_a_weight_for_every_balloon(
    shop: BuiltShop,
) -> None:
    found, _ = listed(shop, a_brief(floating=FLOATS))
    (cylinder,) = group(found, "Hired: fetch it first")
    assert cylinder == "1 × 55 ft3 cylinder"
    assert "12 × helium balloon weight" in group(found, "What floats")
    assert "straps to hold the cylinder upright" in group(found, "To be safe")
    assert "filler for the cylinder" in group(found, "Tools")


@pytest.mark.parametrize(
    ("height_m", "ladder"),
    [
        (2.3, None),
        (2.42, "stepladder 4 ft"),
        (2.9, "stepladder 6 ft"),
        (4.0, "a ladder or platform for work at 13 ft 1 in"),
    ],
)
def test_the_lowest_ladder_that_reaches_comes_along(
    shop: BuiltShop, height_m: float, ladder: str | None
) -> None:
    piece = a_piece(support=Support.FREESTANDING_ARCH, width_m=2.4, height_m=height_m)
    found, _ = listed(shop, a_brief(pieces=(piece,)))
    assert group(found, "Ladder") == ([ladder] if ladder else [])
    guarded = "cones to keep guests off the ladder" in group(found, "To be safe")
    assert guarded is (ladder is not None)


def test_frames_that_have_to_be_hired_are_fetched_first(shop: BuiltShop) -> None:
    columns = a_piece(support=Support.COLUMN, height_m=1.8, count=6)
    found, _ = listed(shop, a_brief(pieces=(columns,)))
    hired = found.things[0]
    assert hired.title == "Hired: fetch it first"
    assert [(item.text, item.where) for item in hired.items] == [
        (
            "2 × column, hired",
            "Ask for one 5 ft 11 in high and set it up level, before the garland goes on.",
        )
    ]
    assert group(found, "Frames, stands, covers") == ["4 × column stand"]


def test_bags_are_numbered_as_on_their_labels_and_shared_out_over_the_car_loads(
    shop: BuiltShop,
) -> None:
    columns = a_piece(support=Support.COLUMN, height_m=1.8, count=10)
    found, estimate = listed(shop, a_brief(pieces=(columns,)))
    assert (len(found.loads), found.bags) == (estimate.load.car_loads, estimate.load.bags)
    assert len(found.loads) == 2
    bags = [bag for load in found.loads for bag in load.bags]
    assert [bag.text for bag in bags] == [
        f"bag {n} of {found.bags}" for n in range(1, found.bags + 1)
    ]
    assert bags[0].where.startswith("column 1 of 10, clusters 1")
    first, second = (len(load.bags) for load in found.loads)
    assert 0 <= first - second <= 1
    assert "2 loads" in found.notes[0]


def test_spares_of_all_pieces_are_counted_together_by_colour_and_size(shop: BuiltShop) -> None:
    wall = a_piece(support=Support.WALL, length_m=4.0)
    found, estimate = listed(shop, a_brief(pieces=(a_piece(), wall)))
    spares = Counter[str]()
    for piece in estimate.pieces:
        for line in piece.balloons:
            spares[f"{line.colour} {line.size_class} in"] += line.spares
    floats = estimate.helium.latex
    for afloat in floats:
        spares[f"{afloat.colour} {afloat.size_class} in"] += afloat.taken - afloat.placed
    # Both pieces are made of the same balloons, and both have some of them to spare.
    assert len(spares) - len(floats) < sum(
        bool(line.spares) for p in estimate.pieces for line in p.balloons
    )
    (item,) = (
        item
        for each in found.things
        if each.title == "Spares"
        for item in each.items
        if item.text.endswith("spare balloons")
    )
    assert item.text == f"{spares.total()} spare balloons"
    said = Counter[str]()
    for part in item.where.replace(" and ", ", ").split(", "):
        number, what = part.split(" × ")
        said[what] += int(number)
    assert said == +spares


def test_the_owners_own_kit_is_what_is_listed(shop: BuiltShop) -> None:
    lamp = KitThing(label="work lamp", sort=KitSort.TOOLS, count=2)
    found, _ = listed(shop, a_brief(), WorkKit(things=(lamp,), ladders=()))
    assert group(found, "Tools") == ["2 × work lamp"]
    assert group(found, "To be safe") == []


def test_where_nobody_said_indoors_or_outdoors_it_is_readied_for_both(shop: BuiltShop) -> None:
    found, _ = listed(shop, a_brief(site=Site(place="pavilion")))
    assert "wind gauge" in group(found, "To be safe")
    assert found.notes == ("Indoors or outdoors is not known: things for both are listed.",)
    indoors, _ = listed(shop, a_brief(site=Site(setting=Setting.INDOOR)))
    assert "wind gauge" not in group(indoors, "To be safe")


def test_ticks_on_one_list_are_not_for_another(shop: BuiltShop) -> None:
    one, estimate = listed(shop, a_brief())
    assert one.mark == listed(shop, a_brief())[0].mark
    assert replace(one, things=one.things[1:]).mark != one.mark
    assert estimate.load.bags == one.bags
