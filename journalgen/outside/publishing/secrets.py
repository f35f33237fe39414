"""Passwords from where they are kept, and no word of them in anything that is said.

A password comes from the environment: `JOURNALGEN_PASSWORD_WEB` for the target `web`, else `JOURNALGEN_PASSWORD`.
It also opens an SSH key that has a passphrase. All else is found by the libraries, where people keep such things:
an SSH agent, `~/.ssh`, `~/.aws`.
"""

from __future__ import annotations

import base64
import os
import re
from collections.abc import Iterable, Mapping
from typing import Final
from urllib.parse import quote

_VARIABLE: Final = "JOURNALGEN_PASSWORD"
_ELSEWHERE: Final = ("AWS_SECRET_ACCESS_KEY", "AWS_SESSION_TOKEN", "AWS_ACCESS_KEY_ID")
_SHORTEST: Final = 4  # letters; less would be struck out of ordinary words
_STRUCK: Final = "***"


def find_password(target: str, environment: Mapping[str, str] = os.environ) -> str | None:
    """The password for a target; None where there is none."""
    own = f"{_VARIABLE}_{re.sub('[^A-Z0-9]', '_', target.upper())}"
    return environment.get(own) or environment.get(_VARIABLE) or None


def mask(text: str, environment: Mapping[str, str] = os.environ, more: Iterable[str] = ()) -> str:
    """The text without any secret of the environment, nor those in `more`, as they are or as a line carries them."""
    found = [value for name, value in environment.items() if name.startswith(_VARIABLE) or name in _ELSEWHERE]
    spelt = {form for secret in (*found, *more) if len(secret) >= _SHORTEST for form in _forms(secret)}
    for secret in sorted(spelt, key=len, reverse=True):
        text = text.replace(secret, _STRUCK)
    return text


def _forms(secret: str) -> tuple[str, ...]:
    return secret, quote(secret, safe=""), base64.b64encode(secret.encode()).decode(), repr(secret)[1:-1]
