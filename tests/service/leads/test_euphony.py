"""How Spanish joins words."""

import pytest

from service.leads.euphony import euphonic


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("lo mira y Ida lo habla", "lo mira e Ida lo habla"),
        ("Marta y Hilda", "Marta e Hilda"),
        ("cobre y hierro", "cobre y hierro"),
        ("Ana y Yolanda", "Ana y Yolanda"),
        ("plata o oro", "plata u oro"),
        ("siete o ocho", "siete u ocho"),
        ("rosa y dorado", "rosa y dorado"),
        ("muy interesante", "muy interesante"),
    ],
)
def test_and_and_or_give_way_to_the_sound_that_follows(text: str, said: str) -> None:
    assert euphonic(text) == said
