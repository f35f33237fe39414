"""Text on grounds that axe-core cannot judge: gradients and drawn tags.

Source: WCAG 2.2, success criterion 1.4.3 and its definitions of contrast ratio and relative luminance.

Every ground that could lie behind a word is taken: the plain colours and the stops of gradients of all that stand
around it, with what is drawn before and after them, down to the first that is opaque. The worst of them counts.
What is half clear is laid over white and over black.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.kinds import THEMES, one_of_each

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

PALE = """() => {
  const parse = text => [...text.matchAll(/rgba?\\(([^)]*)\\)/g)].map(found => {
    const [r, g, b, a = 1] = found[1].split(/[ ,/]+/).map(Number);
    return [r, g, b, a];
  });
  const light = ([r, g, b]) => [r, g, b].map(c => c / 255)
    .map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
    .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
  const contrast = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const over = ([r, g, b, a], under) => [r, g, b].map(c => c * a + under * (1 - a));
  const grounds = element => {
    const found = [];
    for (let at = element; at; at = at.parentElement) {
      for (const pseudo of [null, "::before"]) {
        const style = getComputedStyle(at, pseudo);
        if (pseudo && style.content === "none") continue;
        const plain = parse(style.backgroundColor), stops = parse(style.backgroundImage);
        for (const colour of [...plain, ...stops].filter(c => c[3] > 0)) found.push(over(colour, 255), over(colour, 0));
        const hides = plain[0][3] > 0.7 || (stops.length > 0 && stops.every(c => c[3] === 1));
        if (hides) return found;
      }
    }
    return found;
  };
  const pale = [], words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let judged = 0;
  for (let word = words.nextNode(); word; word = words.nextNode()) {
    const holder = word.parentElement;
    if (!word.data.trim() || holder.closest("svg, .vh, dialog, .skip") || !holder.checkVisibility()) continue;
    const style = getComputedStyle(holder), ink = parse(style.color)[0], size = parseFloat(style.fontSize);
    const wanted = size >= 24 || (size >= 18.66 && style.fontWeight >= 700) ? 3 : 4.5;
    const worst = Math.min(...grounds(holder).map(ground => contrast(ink, ground)));
    judged++;
    if (worst < wanted) pale.push(`${worst.toFixed(2)}: ${word.data.trim()} in ${holder.tagName} ${holder.className}`);
  }
  return {judged, pale};
}"""


def test_the_check_sees_pale_text_on_a_gradient(browser: Browser, tmp_path: Path) -> None:
    bad = tmp_path / "pale.html"
    bad.write_text(
        "<!DOCTYPE html><body style='background: #fff'><style>p { background: linear-gradient(#fff, #999) }</style>"
        "<p style='color: #777'>pale<p style='color: #000'>dark",
        encoding="utf-8",
    )
    page = browser.new_page()
    page.goto(bad.as_uri())
    found = page.evaluate(PALE)
    page.close()
    assert [text.split(": ")[1] for text in found["pale"]] == ["pale in P "]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("theme", THEMES)
def test_every_word_stands_out_from_what_is_behind_it(
    browser: Browser, themed: Callable[[str], Path], theme: str, scheme: str
) -> None:
    page = browser.new_page(color_scheme="dark" if scheme == "dark" else "light")
    for path in one_of_each(themed(theme) / "owner"):
        page.goto(path.as_uri())
        found = page.evaluate(PALE)
        assert found["judged"] > 10
        assert found["pale"] == [], path.name
    page.close()
