"""The coats of a part: the section drawn to scale, and the same as a table."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from msgspec import Struct

from journalgen.ledgers.coats import Build, Coat, build_of
from journalgen.ledgers.processes import PartProcess
from journalgen.site.desk import Desk, Link
from journalgen.site.drawings.coats import Layer, Lettering, draw_section
from journalgen.values import Amount


class CoatRow(Struct, frozen=True):
    """One line of the table."""

    step: Link
    number: int
    material: Link | None
    colour: str | None
    used: Amount | None  # over all the parts of the line
    shared: bool  # with other parts of its line
    film: Fraction | None
    assumed: bool  # the film is only what the register asks for
    day: date | None  # None: to come
    session: Link | None
    private: bool


class CoatsView(Struct, frozen=True):
    """The drawing, its table, and what they add up to."""

    drawing: str
    rows: tuple[CoatRow, ...]
    build: Build
    unknown: bool  # a coat is drawn of which nothing is known


def lay_coats(desk: Desk, part: str) -> CoatsView | None:
    """The coats of one part; None where none was laid."""
    craft = desk.matter.figures.craft
    coats = craft.coats.get(part, ())
    build = build_of(coats)
    if not build.laid:
        return None
    colours = {name: material.colour for name, material in desk.matter.journal.materials.items()}
    layers = [_layer(desk, coat, colours.get(coat.material or "")) for coat in coats]
    drawing = draw_section(
        layers,
        build.so_far,
        None if build.wanted is None else Fraction(build.wanted),
        _said(desk, part, build),
        _lettering(desk, craft.processes.get(part)),
    )
    return CoatsView(
        drawing,
        tuple(_row(desk, coat, colours.get(coat.material or "")) for coat in coats),
        build,
        any(coat.film is None for coat in coats),
    )


def _layer(desk: Desk, coat: Coat, colour: str | None) -> Layer:
    film = "" if coat.film is None else um(desk, coat.film)
    when = desk._("to come") if coat.day is None else desk.formats.short(coat.day)
    if coat.session and coat.built is None:
        film = desk._("%(film)s asked") % {"film": film} if film else desk._("film not known")
    return Layer(
        number=desk.formats.number(coat.number),
        name=coat.material or desk.step(coat.step),
        note=", ".join(filter(None, (film, when))),
        film=coat.film,
        colour=colour,
        to_come=coat.session is None,
        assumed=coat.session is not None and coat.built is None,
    )


def _row(desk: Desk, coat: Coat, colour: str | None) -> CoatRow:
    line = coat.line
    return CoatRow(
        step=desk.step_link(coat.step),
        number=coat.number,
        material=desk.material(coat.material) if coat.material else None,
        colour=colour,
        used=line.amount if line else None,
        shared=line is not None and len(line.parts) > 1,
        film=coat.film,
        assumed=coat.built is None,
        day=coat.day,
        session=desk.session(coat.session) if coat.session else None,
        private=bool(line and line.private),
    )


def um(desk: Desk, film: Fraction) -> str:
    """A film in whole micrometres: `42 µm`."""
    return f"{desk.formats.number(film, 0)} {desk.formats.unit('um')}"


def _lettering(desk: Desk, process: PartProcess | None) -> Lettering:
    return Lettering(
        surface=desk._("bare surface"),
        treated=desk.step(process.bared.step) if process and process.bared else "",
        wanted=desk._("wanted build"),
        um=lambda film: desk.formats.number(film, 0),
    )


def _said(desk: Desk, part: str, build: Build) -> str:
    """What the drawing shows, in words."""
    ngettext, number = desk.words.ngettext, desk.formats.number
    said = [
        ngettext("%(part)s: section through one coat", "%(part)s: section through %(n)s coats", build.laid)
        % {"part": part, "n": number(build.laid)}
    ]
    if build.so_far is not None and build.wanted is not None:
        said.append(
            desk._("%(film)s of the %(wanted)s wanted")
            % {"film": um(desk, build.so_far), "wanted": um(desk, Fraction(build.wanted))}
        )
    elif build.so_far is not None:
        said.append(um(desk, build.so_far))
    if build.to_come:
        said.append(ngettext("one coat to come", "%(n)s coats to come", build.to_come) % {"n": number(build.to_come)})
    return desk._("%(figures)s. The table of coats holds the same figures.") % {"figures": ", ".join(said)}
