"""What is known to bite: scalars, whole texts and names of files that programs have stumbled over."""

from __future__ import annotations

from typing import Final

from tests.attacks import ATTACKS

SCALARS: Final = [
    *ATTACKS,
    "", " ", "-", "~", "null", "NO", "yes", "0x10", "1_000", "1e400", "-0", "+5", "NaN", "-inf", "٣", "½", "²", "Ⅷ",
    "9" * 400, "0." + "0" * 400 + "1", "1" + "0" * 30 + " mL", "1e9 L", "99999999999999999999 h", "24:60", "2:30:15",
    "0000-00-00", "2024-02-30", "9999-12-31", "0001-01-01", "-2024-01-01", "2024-03-09T25:00", "12024-01-01",
    "5 .. 3 mm", ".. mm", "1 .. .. 2", "1 mm .. 2 kg", "120 mL mL", "mL 120", "1 degC", "5 %%", "1/0 L", "1e-400 um",
    "{part: x", "[a, b", "a: b: c", "&x *x", "*nowhere", "!!python/object/apply:os.system [x]", "!<tag> x", "<<: *a",
    "'", '"', "\\", "\t", "a\tb", "#", "%", "@", "`", "|", ">", "? x", "- - -", "--- x", "...",
    "../../etc/passwd", "/etc/passwd", "..\\..\\x", "C:\\x", "\\\\host\\share", "CON", "nul.txt", "a:b", "x/", "./x",
    "\u202eevil\u202c", "\u2066x\u2069", "a\u0301" * 50, "\ufeffx", "\u200b", "\u2028", "\x1b[31mred", "\x1b]0;t\x07",
    "\x85", "\x7f", "\ud7ff", "\ufffe", "\U0010ffff", "А", "ﬁ", "İ", "ß", "ſ", "K", "\u3000", "車" * 200, "🚂" * 60,
    "a" * 5000, "a " * 3000, "(" * 500, "[" * 500, "_" * 500, "`" * 501, "&" * 300, "%00", "%2e%2e%2f", "x" * 260,
]  # fmt: skip

BOMB: Final = "\n".join(
    ["a0: &a0 [x, x, x, x, x, x, x, x, x]", *(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 10))]
)
MERGES: Final = "\n".join(["m0: &m0 {k: v}", *(f"m{n}: &m{n} {{<<: [*m{n - 1}, *m{n - 1}]}}" for n in range(1, 25))])


def _entry(front: str, body: str = "") -> bytes:
    return f"---\ndate: 2024-03-09\n{front}\n---\n{body}".encode("utf-8", "surrogatepass")


WHOLE: Final = {
    "aliases that multiply": _entry(f"{BOMB}\nparts: *a9"),
    "merges that multiply": _entry(f"{MERGES}\nwork: [*m24]"),
    "an alias of itself": _entry("work: &w [*w]"),
    "a mapping in itself": _entry("work:\n  - &w {part: x, with: *w}"),
    "deep lists": _entry("parts: " + "[" * 20_000 + "]" * 20_000),
    "deep mappings": _entry("work: " + "{a: " * 5_000 + "}" * 5_000),
    "deep blocks": _entry("\n".join(f"{' ' * n}a:" for n in range(2_000))),
    "a line of 9 MB": _entry("title: " + "x" * 9_000_000),
    "a body line of 9 MB": _entry("hours: 1", "x" * 9_000_000),
    "more than 10 MB": _entry("hours: 1", "x " * 5_300_000),
    "a list of 200,000": _entry("parts: [" + "a, " * 200_000 + "a]"),
    "keys by the thousand": _entry("\n".join(f"k{n}: v" for n in range(20_000))),
    "the same key a thousand times": _entry("title: x\n" * 1_000),
    "quotes without end": _entry('title: "' + "\\x" * 1_000),
    "emphasis without end": _entry("hours: 1", "*a _b " * 40_000),
    "links without end": _entry("hours: 1", "[" * 60_000),
    "links half closed": _entry("hours: 1", "[a](" * 30_000),
    "quotes nested": _entry("hours: 1", "> " * 5_000 + "x"),
    "lists nested": _entry("hours: 1", "\n".join(f"{'  ' * n}- x" for n in range(800))),
    "backticks": _entry("hours: 1", "`" * 40_000 + " " + "``" * 20_000),
    "entities": _entry("hours: 1", "&#x" * 60_000),
    "a wide table": _entry("hours: 1", "|" + "a|" * 4_000 + "\n|" + "-|" * 4_000 + "\n" + "|b|\n" * 50),
    "a long table": _entry("hours: 1", "|a|b|\n|-|-|\n" + "|x|y|\n" * 30_000),
    "reference definitions": _entry("hours: 1", "\n".join(f"[r{n}]: /x 'y'" for n in range(20_000))),
    "fences": _entry("hours: 1", "```pair\nx: [\n```\n" * 3_000),
    "a block that is a bomb": _entry("hours: 1", f"```photos\n{BOMB}\nx: *a9\n```\n"),
    "NUL": _entry("title: a\0b"),
    "no UTF-8": b"---\ndate: 2024-03-09\ntitle: \xff\xfe\xed\xa0\x80\n---\n",
    "a lone surrogate": _entry("title: a\ud800b"),
    "UTF-16": "---\ndate: 2024-03-09\n---\n".encode("utf-16"),
    "only a mark": b"\xef\xbb\xbf",
    "nothing": b"",
    "only hyphens": b"---",
    "two marks": b"\xef\xbb\xbf\xef\xbb\xbf---\nhours: 1\n---\n",
    "line ends of all kinds": b"---\rdate: 2024-03-09\r\nhours: 1\n\r---\r\rx\r\n",
    "directives": b"%YAML 1.2\n---\ndate: 2024-03-09\n---\n",
    "tags": _entry("hours: !!float 1\nparts: !!set {a, b}\nwork: !!omap [a: b]\ntitle: !!binary aGk="),
    "bidi and company": _entry("title: \u202ea\u2066b\nparts: [\u200f, \u200b, \ufeff]", "\u202e\u2066x"),
    "hours of ages": _entry("hours: 99999999999999999999999\nparts: x"),
    "money of worlds": _entry("bought: [{part: x, price: 1" + "0" * 400 + " EUR, count: " + "9" * 50 + "}]"),
    "amounts of worlds": _entry("materials:\n  - {use: x, amount: 1" + "0" * 300 + " mL}"),
}
"""Whole entries."""

NAMES: Final = [
    "CON.md", "nul.md", "a:b.md", "2024-03-09-\u202ex.md", "2024-03-09-" + "x" * 230 + ".md", "2024-03-09 .md", ".md",
    "..md", "2024-03-09-a.MD", "2024-03-09-A.md", "2024-03-09-a.md", "2024-03-09-ä.md", "2024-03-09-a\u0308.md",
    "2024-03-09-\x1b[31m.md", "2024-03-09-a\nb.md", "2024-03-09-'\"<>&.md", "2024-13-45.md", "2024-03-09-%2e.md",
    "2024-03-09.md", "2024-03-09-.md", "-.md", "$(x).md", "2024-03-09-\udcff.md", "con/2024-03-09.md", "~.md",
]  # fmt: skip
"""Names of entries."""
