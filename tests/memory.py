"""A folder in memory, where there is one: for what writes much, where it is not the disk that is tried."""

from __future__ import annotations

import os
from typing import Final

_SHARED: Final = "/dev/shm"  # noqa: S108 - whoever uses it makes a folder of their own in it
MEMORY: Final = _SHARED if os.access(_SHARED, os.W_OK) else None
"""Where the temporary folder is to lie; None: wherever the system puts it."""
