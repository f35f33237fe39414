"""The structural similarity of two pictures.

Source of the formula and its constants: Z. Wang, A. C. Bovik, H. R. Sheikh, E. P. Simoncelli, "Image Quality
Assessment: From Error Visibility to Structural Similarity", IEEE Transactions on Image Processing 13 (2004), 600-612,
equation 13: Gaussian windows of 11 by 11 pixels with a standard deviation of 1.5, K1 = 0.01, K2 = 0.03, L = 255, and
the mean over all windows that lie whole in the picture.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

_Plane = NDArray[np.float32]

_SPREAD: Final = 1.5
_REACH: Final = 5
_C1: Final = (0.01 * 255) ** 2
_C2: Final = (0.03 * 255) ** 2


def similarity(one: Image.Image, other: Image.Image) -> float:
    """1 where the luma of two pictures of one size is the same, less the less alike they are."""
    assert one.size == other.size
    x, y = _luma(one), _luma(other)
    mean_x, mean_y = _windows(x), _windows(y)
    variance_x, variance_y = _windows(x * x) - mean_x**2, _windows(y * y) - mean_y**2
    covariance = _windows(x * y) - mean_x * mean_y
    alike = (2 * mean_x * mean_y + _C1) * (2 * covariance + _C2)
    unlike = (mean_x**2 + mean_y**2 + _C1) * (variance_x + variance_y + _C2)
    return float((alike / unlike).mean())


def _luma(image: Image.Image) -> _Plane:
    return np.asarray(image.convert("L"), dtype=np.float32)


def _windows(plane: _Plane) -> _Plane:
    """The weighted mean of every window: down, then across, since the weights are a product of the two."""
    weights = np.exp(-(np.arange(-_REACH, _REACH + 1) ** 2) / (2 * _SPREAD**2))
    down = _weighed(plane, weights / weights.sum())
    return _weighed(down.T, weights / weights.sum()).T


def _weighed(plane: _Plane, weights: NDArray[np.float64]) -> _Plane:
    rows = plane.shape[0] - len(weights) + 1
    total = np.zeros((rows, plane.shape[1]), np.float32, order="F" if plane.flags.f_contiguous else "C")
    for n, weight in enumerate(weights):
        total += np.float32(weight) * plane[n : n + rows]
    return total
