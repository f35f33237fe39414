"""The record of one restoration: dated entries in, hours, money, materials, pictures and a site out."""

from typing import Final

__version__: Final = "0.1.0"
