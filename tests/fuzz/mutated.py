"""Right files with bytes spoilt: flipped, cut, doubled, moved from one to another, or replaced by what bites."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import Final

from tests.fuzz.hostile import SCALARS

_PIECES: Final = [
    *(text.encode("utf-8", "surrogatepass") for text in SCALARS if len(text) < 80),
    b"\0", b"\xff", b"\xc0\x80", b"\xed\xa0\x80", b"---\n", b"\n", b"\r", b": ", b", ", b"- ", b"{", b"}", b"[", b"]",
    b"&a ", b"*a", b"<<: ", b"|\n", b">\n", b"#", b"'", b'"', b"\t", b"!!int ", b"?", b"```pair\n", b"[x](part:",
    b"\xef\xbb\xbf",
]  # fmt: skip


def spoil(chance: Random, data: bytes, others: Sequence[bytes], times: int) -> bytes:
    """The bytes after so many small accidents; `others` are files that pieces may come from."""
    spoilt = bytearray(data)
    for _ in range(times):
        at = chance.randrange(len(spoilt) + 1)
        end = min(len(spoilt), at + chance.choice((1, 1, 2, 5, 20, 200)))
        kind = chance.randrange(6)
        if kind == 0 and at < len(spoilt):
            spoilt[at] ^= 1 << chance.randrange(8)
        elif kind == 1:
            del spoilt[at:end]
        elif kind == 2:
            spoilt[at:at] = spoilt[at:end] * chance.choice((1, 2, 50))
        elif kind == 3:
            spoilt[at:end] = chance.choice(_PIECES)
        elif kind == 4:
            spoilt[at:at] = chance.choice(_PIECES)
        else:
            other = chance.choice(others)
            begin = chance.randrange(len(other) + 1)
            spoilt[at:end] = other[begin : begin + chance.choice((3, 30, 300))]
    return bytes(spoilt)
