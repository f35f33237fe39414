"""Drawings as SVG text, one a file: the geometry is pure, x in per cent so that lettering never shrinks."""
