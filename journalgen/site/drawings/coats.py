"""The section through a part's coats as SVG: from the bare surface up, each a band to scale in its own colour."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import count, takewhile
from typing import Final

from msgspec import Struct

from journalgen.site.drawings.svg import text

WIDTH: Final = 336
LEAST_SCALE: Final = Fraction(6, 10)  # units a um
MOST_SCALE: Final = Fraction(16, 10)
LABEL_GAP: Final = 33
MOST_LETTERS: Final = 24
NOMINAL: Final = Fraction(25)
"""Thickness, um, at which a coat is drawn of which nothing is known."""

_FULL: Final = 232  # height of the stack where the scale allows it
_TOP: Final = 34
_LEFT, _RIGHT = 50, 176
_CUT: Final = Fraction(8)
_MOST_CUTS: Final = 9
_STEEL: Final = 36
_FOOT: Final = 48  # from the surface to the lower edge of the drawing
_CLEAR: Final = 13  # between two figures at the gauge
_TICK: Final = 50  # um
_TOOTH: Final = Fraction(23, 10)
_DEEP: Final = Fraction(8, 5)
_LABEL_TOP: Final = 18


class Layer(Struct, frozen=True):
    """One coat as the drawing shows it."""

    number: str
    name: str
    note: str  # film and day, or that it is to come
    film: Fraction | None  # um; None: not known and not asked
    colour: str | None
    to_come: bool = False
    assumed: bool = False  # laid, but its film is not known


class Band(Struct, frozen=True):
    """The place of one coat; `label` is the middle of its two lines at the right."""

    x: Fraction
    y: Fraction
    width: Fraction
    height: Fraction
    label: Fraction

    @property
    def middle(self) -> Fraction:
        return self.y + self.height / 2


class Figure(Struct, frozen=True):
    """One figure at the gauge, with the place of its words, which may have had to make way."""

    um: Fraction
    y: Fraction
    words: Fraction


class Section(Struct, frozen=True):
    """The geometry of the whole drawing."""

    scale: Fraction  # units a um
    height: Fraction
    surface: Fraction  # the top of the steel
    bands: tuple[Band, ...]  # from the surface up
    steel_label: Fraction
    so_far: Figure | None
    wanted: Figure | None
    ticks: tuple[Figure, ...]

    @property
    def top(self) -> Fraction:
        return self.bands[-1].y


class Lettering(Struct, frozen=True):
    """The few words of the drawing that are not a coat's."""

    surface: str
    treated: str  # how the surface was bared last; "" where it is not known
    wanted: str
    um: Callable[[Fraction], str]  # a figure at the gauge, without its unit


def place_section(films: Sequence[Fraction | None], so_far: Fraction | None, wanted: Fraction | None) -> Section:
    """Places the coats, from the surface up; `films` are um, laid and to come."""
    thick = [NOMINAL if film is None else film for film in films]
    whole = sum(thick, Fraction(0))
    greatest = max(whole, wanted or Fraction(0), Fraction(1))
    scale = min(MOST_SCALE, max(LEAST_SCALE, _FULL / greatest))
    # The words need their room too, where there are many thin coats.
    surface = max(_TOP + greatest * scale, Fraction(LABEL_GAP * len(films) - 12))
    height = surface + _FOOT
    cut = _CUT if len(films) <= _MOST_CUTS else Fraction(72, len(films))
    places = []
    y = surface
    for i, film in enumerate(thick):
        y -= film * scale
        places.append((_LEFT + cut * i, y, _RIGHT - _LEFT - cut * i, film * scale))
    steel = surface + 20
    wishes = [*(y + tall / 2 for _, y, _, tall in reversed(places)), steel]
    labels = spread(wishes, LABEL_GAP, Fraction(_LABEL_TOP), height - 18)
    bands = tuple(Band(*place, label) for place, label in zip(places, reversed(labels[:-1]), strict=True))
    figures = _figures(so_far, wanted, surface, scale)
    most = max((figure.um for figure in figures if figure), default=Fraction(0))
    return Section(scale, height, surface, bands, labels[-1], *figures, tuple(_ticks(most, figures, surface, scale)))


def _figures(
    so_far: Fraction | None, wanted: Fraction | None, surface: Fraction, scale: Fraction
) -> tuple[Figure | None, Figure | None]:
    """What is there and what is wanted; two words too near each other move apart."""
    if so_far is None:
        return None, None
    there = surface - so_far * scale
    if wanted is None:
        return Figure(so_far, there, there), None
    asked = surface - wanted * scale
    if round(so_far) == round(wanted):
        return None, Figure(wanted, asked, asked)
    push = max(Fraction(0), _CLEAR - abs(there - asked)) / 2
    up = push if asked < there else -push
    return Figure(so_far, there, there + up), Figure(wanted, asked, asked - up)


def _ticks(
    most: Fraction, figures: tuple[Figure | None, Figure | None], surface: Fraction, scale: Fraction
) -> list[Figure]:
    found = []
    for um in takewhile(lambda um: um <= most, count(0, _TICK)):
        y = surface - um * scale
        if all(abs(figure.words - y) >= _CLEAR for figure in figures if figure):
            found.append(Figure(Fraction(um), y, y))
    return found


def spread(wishes: Sequence[Fraction], gap: int, low: Fraction, high: Fraction) -> list[Fraction]:
    """Places in order, at least `gap` apart and within bounds, that together depart least from the wishes.

    Neighbours that violate the gap are pooled into one block that stands at its mean, again and again.
    There must be room for them all.

    >>> spread([Fraction(10), Fraction(20)], 30, Fraction(0), Fraction(100))
    [Fraction(0, 1), Fraction(30, 1)]
    """
    blocks: list[tuple[Fraction, int]] = []  # mean and size, once the gaps are taken out
    for i, wish in enumerate(wishes):
        mean, size = wish - gap * i, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, size = (before * many + mean * size) / (many + size), many + size
        blocks.append((mean, size))
    room = high - gap * (len(wishes) - 1)
    flat = [min(max(mean, low), room) for mean, size in blocks for _ in range(size)]
    return [place + gap * i for i, place in enumerate(flat)]


def shorten(name: str) -> str:
    """At most so many letters; the table has the whole name.

    >>> shorten("two-pack epoxy zinc phosphate primer")
    'two-pack epoxy zinc phos…'
    """
    return name if len(name) <= MOST_LETTERS else name[: MOST_LETTERS - 1].rstrip() + "…"


def draw_section(
    layers: Sequence[Layer], so_far: Fraction | None, wanted: Fraction | None, label: str, lettering: Lettering
) -> str:
    """The drawing; the table beside it holds the same figures."""
    shape = place_section([layer.film for layer in layers], so_far, wanted)
    pairs = list(zip(layers, shape.bands, strict=True))
    body = [
        *(_band(layer, band) for layer, band in pairs),
        _steel(shape.surface),
        _label(_RIGHT, shape.surface + 20, shape.steel_label, text(lettering.surface), lettering.treated, quiet=True),
        *(_coat_label(layer, band) for layer, band in pairs),
        _gauge(shape, lettering),
    ]
    return (
        f'<svg viewBox="0 0 {WIDTH} {_n(shape.height)}" paint-order="stroke" role="img" aria-label="{text(label)}"'
        ' font-size="13.5"><defs><pattern id="cut" width="6" height="6" patternUnits="userSpaceOnUse"'
        ' patternTransform="rotate(45)"><path d="M0 0V6" class="l-edge" stroke-width="1.4"/></pattern></defs>'
        + "".join(body)
        + "</svg>"
    )


def _n(number: Fraction | int) -> str:
    return f"{float(number):.1f}"


def _band(layer: Layer, band: Band) -> str:
    kind = "ghost" if layer.to_come else "band guessed" if layer.assumed else "band"
    fill = f' fill="{text(layer.colour)}"' if layer.colour else ""
    plain = "" if layer.colour else " f-wash"
    return (
        f'<rect class="{kind}{plain}" x="{_n(band.x)}" y="{_n(band.y)}" width="{_n(band.width)}"'
        f' height="{_n(band.height)}"'
        f"{fill}/>"
    )


def _coat_label(layer: Layer, band: Band) -> str:
    name = f'<tspan font-weight="700">{text(layer.number)}</tspan><tspan dx="5">{text(shorten(layer.name))}</tspan>'
    return _label(_RIGHT, band.middle, band.label, name, layer.note, quiet=layer.to_come)


def _label(x: int, anchor: Fraction, middle: Fraction, name: str, note: str, *, quiet: bool) -> str:
    """Two lines with an elbow that leads to what they name; `name` is markup already."""
    kind = ' class="t-quiet"' if quiet else ""
    second = f'<text x="200" y="{_n(middle + 13)}" class="t-quiet">{text(note)}</text>' if note else ""
    return (
        f'<path class="l-edge" fill="none" d="M{x} {_n(anchor)}L190 {_n(middle)}H195" stroke-width="1"/>'
        f'<text x="200" y="{_n(middle - 1)}"{kind}>{name}</text>{second}'
    )


def _steel(surface: Fraction) -> str:
    """The piece itself: hatched, its top edge toothed, broken off below."""
    teeth = "".join(
        f"L{_n(_LEFT + 2 * _TOOTH * i)} {_n(surface)}L{_n(_LEFT + _TOOTH * (2 * i + 1))} {_n(surface - _DEEP)}"
        for i in range(int((_RIGHT - _LEFT) / (2 * _TOOTH)))
    )
    low = surface + _STEEL
    outline = (
        f"M{_LEFT} {_n(surface)}{teeth}L{_RIGHT} {_n(surface)}V{_n(low)}C146 {_n(low + 6)} 126 {_n(low - 6)} 113"
        f" {_n(low)}S70 {_n(low + 6)} {_LEFT} {_n(low - 2)}Z"
    )
    return f'<path d="{outline}" class="f-wash"/><path d="{outline}" fill="url(#cut)" class="l-ink"/>'


def _gauge(shape: Section, lettering: Lettering) -> str:
    so_far, wanted = shape.so_far, shape.wanted
    full = wanted if so_far is None else so_far  # one figure where both are the same
    if full is None:
        return ""
    top = min(figure.y for figure in (full, wanted) if figure)
    parts = [
        f'<rect x="35" y="{_n(top)}" width="6" height="{_n(shape.surface - top)}" class="f-sheet l-ink"/>',
        f'<rect x="35" y="{_n(full.y)}" width="6" height="{_n(shape.surface - full.y)}" class="f-ink"/>',
        *(
            f'<path class="l-ink" d="M30 {_n(tick.y)}H35" stroke-width="1"/>'
            f'<text class="t-quiet" x="27" y="{_n(tick.words + 4)}" text-anchor="end">'
            f"{text(lettering.um(tick.um))}</text>"
            for tick in shape.ticks
        ),
    ]
    if so_far:
        parts.append(f'<path class="l-ink" d="M28 {_n(so_far.y)}H41" stroke-width="2"/>' + _bold(so_far, lettering))
    if wanted:
        parts.append(
            f'<path class="l-ink" d="M28 {_n(wanted.y)}H182" stroke-width="1" stroke-dasharray="2 3"/>'
            + _bold(wanted, lettering)
        )
        if wanted.y <= shape.top + 8:  # else the words would lie on the coats
            y = _n(min(wanted.y, shape.top) - 7)
            parts.append(f'<text class="t-quiet" x="{_LEFT}" y="{y}">{text(lettering.wanted)}</text>')
    highest = min(figure.words for figure in (so_far, wanted) if figure)
    parts.append(f'<text class="t-quiet" x="27" y="{_n(highest - 12)}" text-anchor="end">µm</text>')
    return "".join(parts)


def _bold(figure: Figure, lettering: Lettering) -> str:
    return (
        f'<text x="27" y="{_n(figure.words + 4)}" text-anchor="end" font-weight="700">'
        f"{text(lettering.um(figure.um))}</text>"
    )
