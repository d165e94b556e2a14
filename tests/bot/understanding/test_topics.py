"""What a side question is about."""

import pytest

from bot.understanding import TOPICS, topics_in


@pytest.mark.parametrize(
    ("text", "topics"),
    [
        ("do you deliver to Quincy?", ("delivery",)),
        ("how far do you travel", ("delivery",)),
        ("¿entregan en Lynn?", ("delivery",)),
        ("how long do they last", ("lasting",)),
        ("¿cuánto duran los globos?", ("lasting",)),
        ("is there a deposit", ("deposit",)),
        ("¿piden anticipo?", ("deposit",)),
        ("do you take a check from a school account", ("payment",)),
        ("¿aceptan tarjeta?", ("payment",)),
        ("what's your cancellation policy", ("cancelling",)),
        ("if I cancel do I get my deposit back", ("cancelling",)),
        ("whats ur usual lead time", ("notice",)),
        ("how far in advance do i need to book", ("notice",)),
        ("can we keep the balloons after", ("keeping",)),
        ("do you use helium", ("helium",)),
        ("what happens if it rains", ("outdoors",)),
        ("¿y si llueve?", ("outdoors",)),
        ("who cleans up", ("take_down",)),
        ("¿ustedes lo montan?", ("set_up",)),
        ("is the price including setup and takedown", ("set_up", "take_down")),
        ("is there a minimum", ("minimum",)),
        ("are your balloons latex free", ("latex",)),
        ("are you insured", ("insured",)),
        ("¿tienen seguro?", ("insured",)),
        ("do you take them down after?", ("take_down",)),
        ("when do you come to take it down", ("take_down",)),
        ("¿ustedes lo desmontan después?", ("take_down",)),
        ("can we keep them or do you take them down?", ("keeping", "take_down")),
        ("¿me los puedo quedar?", ("keeping",)),
        ("¿podemos quedárnoslos?", ("keeping",)),
        ("how do I pay the deposit?", ("payment",)),
        ("¿cómo pago el depósito?", ("payment",)),
        ("do I have to pay a deposit?", ("deposit",)),
        ("¿hay que pagar un anticipo?", ("deposit",)),
        ("is the deposit refundable?", ("cancelling",)),
        ("¿me devuelven el anticipo si cancelo?", ("cancelling",)),
        ("do you deliver, and do you take it down?", ("delivery", "take_down")),
        ("do you work on Sundays", ()),
        ("a balloon arch for my wedding, 8 ft wide, june 6", ()),
        ("", ()),
    ],
)
def test_topics_are_named_in_the_order_said(text: str, topics: tuple[str, ...]) -> None:
    assert topics_in(text) == topics


def test_every_topic_of_the_price_book_is_known() -> None:
    assert set(TOPICS) == {
        *("delivery", "lasting", "deposit", "payment", "cancelling", "notice", "keeping"),
        *("helium", "outdoors", "set_up", "take_down", "minimum", "latex", "insured"),
    }
