"""Where a TOML file is at fault, and where a key stands in it; the library gives values without places."""

from __future__ import annotations

import re
import tomllib


def fault_in_toml(text: str, fault: tomllib.TOMLDecodeError) -> tuple[int, int | None, str]:
    """Line, column if known, and the reason, of a text that is not TOML."""
    found = re.search(r"\(at line (\d+), column (\d+)\)", str(fault))
    reason = str(fault).partition(" (at ")[0]
    if found:
        return int(found.group(1)), int(found.group(2)), reason
    return max(1, len(text.splitlines())), None, reason


def line_of_key(text: str, key: str) -> int:
    """The first line that sets a key of the top level; 1 where none does."""
    wanted = re.compile(rf"\s*[\"']?{re.escape(key)}[\"']?\s*[=.]")
    return next((n for n, line in enumerate(text.splitlines(), 1) if wanted.match(line)), 1)
