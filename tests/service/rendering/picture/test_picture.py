"""A picture as a whole: its formats, its dice, what it does where nothing can be drawn."""

import logging
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from service.estimating import Point
from service.leads.lead import Quote, QuoteKind
from service.leads.words import ENGLISH
from service.rendering import picture
from service.rendering.picture import Format, NoPicture
from service.rendering.picture.view import view_of
from service.workshop.scene import Direction, Measure, Scene, scene_of
from tests.service.building import NOON, a_brief
from tests.service.rendering.picture.boarding import BOOK, a_ball, a_scene, pixels, the_estimate

SMALL = 240


def the_scene(seed: int = 7) -> Scene:
    return scene_of(a_brief(), the_estimate(), BOOK, seed=seed)


def a_quote(quote_id: str = "q1") -> Quote:
    price = the_estimate().price
    return Quote(
        id=quote_id,
        lead_id="L1",
        number="G1001-1",
        kind=QuoteKind.BALLPARK,
        brief=a_brief(),
        estimate=the_estimate(),
        low=price.low,
        likely=price.likely,
        high=price.high,
        currency=price.currency,
        deposit=price.deposit,
        created_at=NOON,
        expires_at=NOON,
    )


def test_the_same_scene_gives_the_same_bytes_and_other_dice_another_picture() -> None:
    first, again, other = (
        picture.png(the_scene(seed), words=ENGLISH, width=SMALL) for seed in (7, 7, 8)
    )
    assert first == again
    assert first != other


def test_each_balloon_is_seen_where_it_is() -> None:
    balls = [a_ball(x, y, "navy") for x in (-1.5, -0.5, 0.5, 1.5) for y in (0.6, 1.5, 2.4)]
    drawn = pixels(picture.webp(a_scene(balls), words=ENGLISH, width=480))
    view = view_of(a_scene(balls), 480, 360)
    for x, y, across in view.of_balls(balls):
        middle = drawn[round(y), round(x)]
        beside = drawn[round(y), round(x + 0.8 * across)]
        assert middle.mean() < 0.35 < beside.mean()


@pytest.mark.parametrize(
    ("draw", "kind"),
    [(picture.png, "PNG"), (picture.webp, "WEBP"), (picture.jpeg, "JPEG")],
)
def test_a_picture_is_four_by_three_in_every_format(draw: Callable[..., bytes], kind: str) -> None:
    with Image.open(BytesIO(draw(a_scene([a_ball(0, 1)]), words=ENGLISH, width=400))) as image:
        assert (image.format, image.size) == (kind, (400, 300))


def test_only_the_picture_for_chats_carries_its_caption() -> None:
    chat, page = (
        pixels(draw(a_scene(), words=ENGLISH, width=SMALL)) for draw in (picture.png, picture.jpeg)
    )
    differing = np.abs(chat - page).max(axis=2) > 0.2
    rows = np.flatnonzero(differing.any(axis=1))
    assert len(rows) > 0
    assert rows.min() > 0.9 * len(chat)


def test_a_dimension_stays_on_the_sheet_however_close_to_its_edge_it_is() -> None:
    edge = Point(x=-2.0, y=1.0), Point(x=-2.0, y=2.5)
    line = Measure(direction=Direction.HEIGHT, start=edge[0], end=edge[1], metres=2.2)
    with_line = pixels(picture.jpeg(a_scene(measures=(line,)), words=ENGLISH, width=480))
    without = pixels(picture.jpeg(a_scene(), words=ENGLISH, width=480))
    changed = np.flatnonzero((np.abs(with_line - without).max(axis=2) > 0.15).any(axis=0))
    assert changed.min() > 0
    # Its label is "7 ft 3 in", about so wide.
    assert 30 < changed.max() - changed.min() < 80


def test_a_picture_drawn_lately_is_at_hand_and_alike_for_every_quote_of_a_request() -> None:
    first = picture.of_quote(a_quote("q-hand"), BOOK, ENGLISH, Format.WEBP)
    assert picture.of_quote(a_quote("q-hand"), BOOK, ENGLISH, Format.WEBP) is first
    assert picture.of_quote(a_quote("q-firm"), BOOK, ENGLISH, Format.WEBP) == first


def test_where_nothing_can_be_drawn_there_is_no_picture_and_the_log_quotes_nobody(
    caplog: pytest.LogCaptureFixture,
) -> None:
    piece = replace(the_estimate().pieces[0], order=(), cluster_types=())
    brief = replace(a_brief(), notes="for Imke Osei")
    broken = replace(the_estimate(), pieces=(piece,))
    quote = replace(a_quote("q-broken"), estimate=broken, brief=brief)
    with caplog.at_level(logging.DEBUG), pytest.raises(NoPicture):
        picture.of_quote(quote, BOOK, ENGLISH, Format.PNG)
    assert "q-broken has no picture" in caplog.text
    assert "Imke" not in caplog.text
