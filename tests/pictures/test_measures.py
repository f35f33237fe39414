"""Widths and regions in whole pixels."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journalgen.pictures.measures import TALLEST, WIDTHS, Box, HidesNothing, boxes, choose_sizes
from journalgen.values import Rectangle
from tests.pictures.samples import rectangle

SIDES = st.integers(1, 65_500)


@pytest.mark.parametrize(
    ("size", "widths"),
    [
        ((4000, 3000), [480, 960, 1600]),
        ((1600, 1200), [480, 960, 1600]),
        ((1200, 1600), [480, 960, 1200]),
        ((960, 10), [480, 960]),
        ((961, 10), [480, 960, 961]),
        ((480, 10), [480]),
        ((300, 200), [300]),
        ((1, 1), [1]),
        ((1800, 65_500), [175]),
        ((4000, 16_000), [480, 960, 1600]),
        ((1, 65_500), [1]),
    ],
)
def test_a_picture_comes_in_the_widths_it_can_fill(size: tuple[int, int], widths: list[int]) -> None:
    assert [width for width, _ in choose_sizes(size)] == widths


@given(SIDES, SIDES)
def test_sizes_rise_never_exceed_the_original_and_keep_its_proportions(width: int, height: int) -> None:
    sizes = choose_sizes((width, height))
    widths = [w for w, _ in sizes]
    assert widths == sorted(set(widths))
    assert widths[-1] == max(1, min(width, WIDTHS[-1], TALLEST * width // height))
    for w, h in sizes:
        assert 1 <= h <= height
        assert abs(h - height * w / width) <= 1


@pytest.mark.parametrize(
    ("asked", "box"),
    [
        (rectangle(10, 20, 30, 40), (10, 20, 40, 60)),
        (rectangle("10.5", "20.9", "1.1", "0.2"), (10, 20, 12, 22)),
        (rectangle(50, 50, 25, 25, per_cent=True), (100, 50, 150, 75)),
        (rectangle("33.3", 0, "0.1", "0.1", per_cent=True), (66, 0, 67, 1)),
        (rectangle(-10, -10, 20, 20), (0, 0, 10, 10)),
        (rectangle(190, 90, 500, 500), (190, 90, 200, 100)),
        (rectangle(0, 0, 100, 100, per_cent=True), (0, 0, 200, 100)),
    ],
)
def test_a_region_covers_every_pixel_it_touches_and_is_clipped_to_the_picture(asked: Rectangle, box: Box) -> None:
    assert boxes([asked], (200, 100)) == (box,)


@pytest.mark.parametrize(
    "asked",
    [
        rectangle(200, 0, 10, 10),
        rectangle(0, 100, 10, 10),
        rectangle(-10, 0, 10, 10),
        rectangle(101, 0, 5, 5, per_cent=True),
        rectangle(10, 10, 0, 10),
        rectangle(10, 10, 10, -1),
    ],
)
def test_a_region_without_a_pixel_of_the_picture_is_told_apart(asked: Rectangle) -> None:
    with pytest.raises(HidesNothing, match="outside the upright picture of 200 by 100 pixels"):
        boxes([asked], (200, 100))


@given(
    st.tuples(SIDES, SIDES),
    st.sampled_from((2, 4, 8)),
    st.decimals(0, 99, places=2),
    st.decimals(Decimal("0.01"), 100, places=2),
)
def test_a_region_of_a_picture_decoded_small_covers_all_that_was_asked(
    size: tuple[int, int], shrink: int, start: Decimal, length: Decimal
) -> None:
    asked = rectangle(str(start), str(start), str(length), str(length), per_cent=True)
    full = boxes([asked], size)[0]
    small = boxes([asked], size, shrink)[0]
    for low, high, side in ((0, 2, size[0]), (1, 3, size[1])):
        decoded = -(-side // shrink)
        # A picture turned after it was decoded counts its blocks of pixels from the far edge.
        blocks = {p // shrink for p in (full[low], full[high] - 1)}
        blocks |= {decoded - 1 - (side - 1 - p) // shrink for p in (full[low], full[high] - 1)}
        assert small[low] <= min(blocks)
        assert max(blocks) < small[high]
        assert 0 <= small[low] < small[high] <= decoded
