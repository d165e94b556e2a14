import pytest

from service.storage.places import Places

PLACES = Places()


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
