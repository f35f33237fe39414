"""Originals to derived pictures: upright, in sRGB, with what must be hidden destroyed, without metadata.

The stages in order: originals (found on disk), opening (header read, hostile files turned away),
deriving (colour, hiding, encoding), storing (the cache), index (what need not be looked at again),
helpers (other processes), workshop (all cores), preparing (requests in, pictures or faults out).
Digesting tells of originals what they are known by.
Importing this package brings in no decoder.
"""

from journalgen.pictures.digesting import digest_originals
from journalgen.pictures.looking import look_at
from journalgen.pictures.model import Fault, Interrupted, Picture, PicturesInterrupted, Request, Variant
from journalgen.pictures.preparing import Prepared, prepare, prepare_again
from journalgen.pictures.recalling import Recalled, Seen

__all__ = [
    "Fault", "Interrupted", "Picture", "PicturesInterrupted", "Prepared", "Recalled", "Request", "Seen", "Variant",
    "digest_originals", "look_at", "prepare", "prepare_again",
]  # fmt: skip
