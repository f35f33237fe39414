"""Writes a finished RGB picture as AVIF and as JPEG, as bytes and without a word about its origin."""

from __future__ import annotations

from io import BytesIO

from PIL import Image


def encode_avif(image: Image.Image) -> bytes:
    """The picture as AVIF, without metadata."""
    out = BytesIO()
    image.save(
        out, "AVIF", quality=60, speed=9, subsampling="4:2:0",
        max_threads=1,  # the pool has a process for every core, and more threads would give other bytes
        # The encoder's own choice takes half as long again, and more bytes. Soft pictures gain up to 0.01 of structural
        # similarity by that; lettering and other fine marks lose up to 0.03.
        advanced={"tune": "ssim", "disable-trellis-quant": "1"},
    )  # fmt: skip
    return out.getvalue()


def encode_jpeg(image: Image.Image) -> bytes:
    """The picture as a JPEG, without metadata."""
    out = BytesIO()
    # Not progressive: that would be a sixtieth shorter and take twice as long.
    image.save(out, "JPEG", quality=80, optimize=True, subsampling="4:2:0")
    return out.getvalue()
