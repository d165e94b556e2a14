"""Spheres pushed apart, whatever they are."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.workshop.scene.relaxing import (
    MOST_PRESSED,
    Held,
    Wall,
    clear,
    near_pairs,
    pressing,
    relaxed,
)

FLOOR = Wall(axis=1, at_m=0.0)


def held(centres: np.ndarray, *, loose: bool = False) -> Held:
    number = len(centres)
    return Held(
        anchors=centres.copy(),
        slack_m=np.full(number, 0.3),
        group=np.arange(number),
        loose=np.full(number, loose),
    )


def scattered(number: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    dice = np.random.Generator(np.random.PCG64(seed))
    return dice.uniform(0, 0.8, (number, 3)), dice.uniform(0.04, 0.2, number)


@settings(deadline=None, max_examples=15)
@given(number=st.integers(1, 60), seed=st.integers(0, 999), margin=st.sampled_from([0.0, 0.1]))
def test_near_pairs_are_all_those_that_are_near(number: int, seed: int, margin: float) -> None:
    at, radii = scattered(number, seed)
    first, second = near_pairs(at, radii, margin)
    found = {tuple(sorted(pair)) for pair in zip(first, second, strict=True)}
    wanted = {
        (i, j)
        for i in range(number)
        for j in range(i + 1, number)
        if np.linalg.norm(at[i] - at[j]) - radii[i] - radii[j] < margin
    }
    assert found == wanted
    assert len(first) == len(found)


@settings(deadline=None, max_examples=10)
@given(seed=st.integers(0, 999))
def test_a_heap_comes_apart_above_the_floor(seed: int) -> None:
    at, radii = scattered(25, seed)
    after = relaxed(at, radii, held(at), [FLOOR])
    assert pressing(after, radii, near_pairs(after, radii, 0.1)).max(initial=0) <= 0.15
    assert (after[:, 1] >= radii - 1e-9).all()
    assert (relaxed(at, radii, held(at), [FLOOR]) == after).all()


def test_the_smaller_one_gives_way() -> None:
    at, radii = np.array([[0.0, 1.0, 0.0], [0.1, 1.0, 0.0]]), np.array([0.2, 0.05])
    after = relaxed(at, radii, held(at), [])
    moved = np.linalg.norm(after - at, axis=1)
    assert moved[1] > 3 * moved[0] > 0


def test_what_hardly_overlaps_stays_as_it_is() -> None:
    at, radii = np.array([[0.0, 1.0, 0.0], [0.39, 1.0, 0.0]]), np.array([0.2, 0.2])
    assert clear(at, radii, [FLOOR])
    assert relaxed(at, radii, held(at), [FLOOR]) == pytest.approx(at)


@pytest.mark.parametrize(
    "wall", [Wall(axis=2, at_m=0.9), Wall(axis=1, at_m=0.3, under=True), Wall(axis=1, at_m=1.1)]
)
def test_what_goes_through_a_wall_is_not_clear_and_is_moved(wall: Wall) -> None:
    at, radii = np.array([[0.0, 1.0, 1.0]]), np.array([0.2])
    assert not clear(at, radii, [wall])
    assert clear(relaxed(at, radii, held(at), [wall]), radii, [wall])


def test_a_balloon_on_its_own_is_drawn_back_to_its_knot() -> None:
    at, radii = np.array([[2.0, 1.0, 0.0]]), np.array([0.1])
    tied = Held(
        anchors=np.array([[0.0, 1.0, 0.0]]),
        slack_m=np.array([0.2]),
        group=np.array([0]),
        loose=np.array([False]),
    )
    after = relaxed(at, radii, tied, [])
    assert np.linalg.norm(after[0] - tied.anchors[0]) == pytest.approx(0.2, abs=0.01)


def test_the_most_pressed_is_within_what_is_promised() -> None:
    assert MOST_PRESSED < 0.15
