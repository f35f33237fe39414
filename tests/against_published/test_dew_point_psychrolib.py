"""Dew point against PsychroLib, which follows the ASHRAE Handbook - Fundamentals (2017), chapter 1.

Below freezing both give the frost point.
"""

from __future__ import annotations

import pytest

from journalgen.ledgers.conditions import dew_point

psychrolib = pytest.importorskip("psychrolib", reason="PsychroLib is not installed")


def test_dew_points_agree_within_a_fifth_of_a_degree_wherever_paint_is_laid() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    apart = []
    for air in range(41):
        for humidity in range(30, 96, 5):
            found = dew_point(air, humidity)
            assert found is not None
            apart.append(abs(found - psychrolib.GetTDewPointFromRelHum(air, humidity / 100)))
    assert max(apart) < 0.2
