"""The record of one restoration: dated entries in, hours, money, materials, pictures and a site out."""

__version__ = "0.1.0"
