"""Writes a finished RGB picture as AVIF and as JPEG, as bytes and without a word about its origin."""

from __future__ import annotations

from io import BytesIO

from PIL import Image


def encode_avif(image: Image.Image) -> bytes:
    """The picture as AVIF, without metadata. One thread: the pool has a process for every core."""
    out = BytesIO()
    image.save(out, "AVIF", quality=60, speed=9, subsampling="4:2:0", max_threads=1)
    return out.getvalue()


def encode_jpeg(image: Image.Image) -> bytes:
    """The picture as a progressive JPEG, without metadata."""
    out = BytesIO()
    image.save(out, "JPEG", quality=80, progressive=True, optimize=True, subsampling="4:2:0")
    return out.getvalue()
