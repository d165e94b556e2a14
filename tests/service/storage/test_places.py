import dataclasses
from pathlib import Path

import pytest

from service.estimating import geodesic_m
from service.storage.places import Places
from service.storage.price_book import read_price_book

PLACES = Places()
_BOOK = Path(__file__).parents[3] / "deploy" / "price_book.yaml"
SHOP = read_price_book(_BOOK.read_text(encoding="utf-8"), _BOOK.name).shop


def test_a_postal_code_has_a_position() -> None:
    position = PLACES.find("02139")
    assert position is not None
    assert position.latitude == pytest.approx(42.36, abs=0.02)
    assert position.longitude == pytest.approx(-71.10, abs=0.02)


def test_the_long_form_of_a_code_is_the_same_place() -> None:
    assert PLACES.find(" 02139-4307 ") == PLACES.find("02139")


@pytest.mark.parametrize("code", ["", "00000", "2139", "boathouse", "SW1A 1AA", "０２１３９"])
def test_what_is_no_known_code_has_no_position(code: str) -> None:
    assert PLACES.find(code) is None


def test_a_code_of_the_forces_overseas_has_no_position() -> None:
    assert PLACES.find("09001") is None


@pytest.mark.parametrize(
    ("words", "postal_code"),
    [
        ("the boathouse in Watertown", "02472"),
        ("hall, Belmont", "02478"),
        ("BELMONT.", "02478"),
        ("12 Mill Street, Belmont, MA 02478", "02478"),
        ("Belmont, the old library", "02478"),
        ("Manchester-by-the-Sea", "01944"),
        ("Salem, New Hampshire", "03079"),
        ("Salem nh", "03079"),
        ("the grange in Temple", "03084"),
    ],
)
def test_a_town_lies_where_its_postal_code_does(words: str, postal_code: str) -> None:
    town, code = PLACES.find_town(words, near=SHOP), PLACES.find(postal_code)
    assert town is not None
    assert code is not None
    assert geodesic_m(town.latitude, town.longitude, code.latitude, code.longitude) < 2500


def test_of_namesakes_the_nearest_to_the_shop_is_meant() -> None:
    in_the_bay_state = PLACES.find_town("Salem", near=SHOP)
    assert in_the_bay_state == PLACES.find_town("Salem, Massachusetts", near=SHOP)
    assert in_the_bay_state != PLACES.find_town("Salem, NH", near=SHOP)
    in_oregon = dataclasses.replace(SHOP, latitude=44.94, longitude=-123.03)
    found = PLACES.find_town("Salem", near=in_oregon)
    assert found is not None
    assert found.longitude == pytest.approx(-123, abs=0.2)


@pytest.mark.parametrize("words", ["Alder Mills", "the old mill, ALDER MILLS", "Alder Mills, MA"])
def test_the_shops_own_town_lies_where_the_shop_does(words: str) -> None:
    found = PLACES.find_town(words, near=SHOP)
    assert found is not None
    assert (found.latitude, found.longitude) == (SHOP.latitude, SHOP.longitude)


@pytest.mark.parametrize(
    "words",
    [
        "", ", ,", "zzz", "Beverly Hills", "Portland, Oregon", "boathouse hall", "Watertownish",
        "the masonic temple", "our church on the hill", "02139", "near me", "🎈",
    ],
)  # fmt: skip
def test_what_names_no_town_nearby_has_no_position(words: str) -> None:
    assert PLACES.find_town(words, near=SHOP) is None


@pytest.mark.parametrize(
    ("latitude", "longitude", "postal_code", "town"),
    [
        (42.3643, -71.1022, "02139", "Cambridge"),
        (40.7506, -73.9972, "10001", "New York"),
        (41.8853, -87.6216, "60601", "Chicago"),
    ],
)
def test_a_shared_location_is_in_the_nearest_postal_code(
    latitude: float, longitude: float, postal_code: str, town: str
) -> None:
    found = PLACES.nearest(latitude, longitude)
    assert found is not None
    assert (found.postal_code, found.town) == (postal_code, town)


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [(48.8584, 2.2945), (38.0, -60.0), (0.0, 0.0), (90.0, 180.0), (-90.0, -180.0)],
)
def test_at_sea_and_abroad_nothing_is_near(latitude: float, longitude: float) -> None:
    assert PLACES.nearest(latitude, longitude) is None
