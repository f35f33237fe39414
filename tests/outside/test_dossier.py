"""The dossier of the example: what it says, how it reads by ear, and that it is made to last."""

from __future__ import annotations

import hashlib
import io
import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from journalgen.house import example_folder
from journalgen.outside.dossier.making import Order, pictures_of, tell_dossier
from journalgen.outside.dossier.model import Catalogue, Document
from journalgen.reading.journal import read_journal
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.site.assemble import Order as Assembly
from tests.outside.papers import dossier, elements, pages_of, text_of
from tests.site.matters import ON

MACHINE = "Inspection trolley"


@contextmanager
def silent(what: str) -> Iterator[Callable[[int, int], None]]:
    """No bar."""
    yield lambda done, total: None


def owner_order(edition: str = "owner") -> Order:
    """The example, whole."""
    return Order(Assembly(example_folder(), ON), edition)


@pytest.fixture(scope="module")
def told() -> Document:
    """What the owner's dossier says, before it has pages."""
    return tell_dossier(owner_order(), EuropeanCentralBank(), silent)


@pytest.fixture
def opened(example_dossier: Path) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(example_dossier) as document:
        yield document


def test_it_is_tagged_and_archival_and_says_so(opened: pikepdf.Pdf) -> None:
    with opened.open_metadata() as metadata:
        assert (metadata["pdfuaid:part"], metadata["pdfaid:part"], metadata["pdfaid:conformance"]) == ("1", "2", "A")
        assert metadata["dc:title"] == "Inspection trolley No. 17"
        assert metadata["pdf:Keywords"] == "journalgen-dossier/1"
    assert opened.Root.MarkInfo.Marked
    assert opened.Root.Lang == "en-GB"
    assert opened.Root.ViewerPreferences.DisplayDocTitle
    assert str(opened.docinfo["/CreationDate"]).startswith("D:20250930")
    assert opened.docinfo["/Author"] == "E. Trelorne"


def test_every_font_is_in_it(opened: pikepdf.Pdf) -> None:
    fonts = [font for page in opened.pages for font in page.get("/Resources", {}).get("/Font", {}).values()]
    assert fonts
    for font in fonts:
        described = font.DescendantFonts[0].FontDescriptor if "/DescendantFonts" in font else font.FontDescriptor
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(described.keys())


def test_nothing_in_it_can_run_or_fetch(opened: pikepdf.Pdf) -> None:
    assert not {"/OpenAction", "/AA", "/AcroForm"} & set(opened.Root.keys())
    for page in opened.pages:
        for note in page.get("/Annots", []):
            assert note.Subtype == "/Link"
            assert "/A" not in note or note.A.S == "/GoTo"


def test_headings_leave_no_level_out_and_tables_have_heads(opened: pikepdf.Pdf) -> None:
    kinds = [str(element.S) for element in elements(opened)]
    levels = [int(kind[2:]) for kind in kinds if re.fullmatch("/H[1-6]", kind)]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert kinds.count("/Table") > 100
    assert kinds.count("/TH") > kinds.count("/Table")


def test_every_picture_has_words(opened: pikepdf.Pdf, told: Document) -> None:
    figures = [element for element in elements(opened) if element.S == "/Figure"]
    alts = [str(element.get("/Alt", "")) for element in figures]
    assert all(alts)
    assert {picture.alt for picture in pictures_of(told)} <= set(alts)
    assert any("section through 8 coats" in alt for alt in alts)


def test_pages_are_numbered_and_headed_by_the_machine(example_dossier: Path) -> None:
    pages = pages_of(example_dossier)
    for number, page in enumerate(pages[1:], 2):
        assert f"Page {number} of {len(pages)}" in page
        assert page.startswith(MACHINE)


def test_what_it_tells_stands_in_order(example_dossier: Path, told: Document) -> None:
    text = text_of(example_dossier)
    begins = [text.rfind(f"{number} {section.title}") for number, section in enumerate(told.sections, 1)]
    assert -1 not in begins
    assert begins == sorted(begins)
    treatment = text[begins[4] : begins[5]]
    assert treatment.index("2 Sept 2023 Wire-brush") < treatment.index("Red-oxide primer, coat 1")


def test_coats_stand_with_their_film_and_measures_with_their_verdict(example_dossier: Path) -> None:
    text = text_of(example_dossier)
    assert "1 Etch primer 1 etch primer 10 µm 24 Sept 2023" in text
    assert "Dry film so far 270 µm wanted 274 µm" in text
    assert "3 Sept 2023 back to back 709.4 ± 0.3 mm 711 to 714 mm outside" in text


def test_photographs_have_the_digest_of_the_original(example_dossier: Path, told: Document) -> None:
    [catalogue] = [block for block in told.sections[-1].blocks if isinstance(block, Catalogue)]
    photos = {photo.file for s in read_journal(example_folder()).journal.sessions for photo in s.photos}
    assert len(catalogue.entries) == len(photos)
    text = text_of(example_dossier)
    for file in photos:
        digest = hashlib.sha256((example_folder() / "photos" / file).read_bytes()).hexdigest()
        assert digest in text
        assert next(entry.text for entry in catalogue.entries if entry.digest == digest).endswith(f"[{file}]")


def test_costs_are_the_owners_choice(tmp_path: Path) -> None:
    done = dossier(example_folder(), "--part", "wheel", "--no-costs", "--to", tmp_path / "a.pdf", "--on", ON)
    assert done.exit_code == 0, done.stderr
    text = text_of(tmp_path / "a.pdf")
    assert "The owner chose not to tell the costs" in text
    assert "£" not in text
    assert "Inspection trolley No. 17: wheel" in text
    assert "brake lever" not in text[text.rindex("5 Treatment") : text.rindex("6 Materials")]


def test_an_assembly_has_all_its_parts_in_the_journals_language(tmp_path: Path) -> None:
    journal = tmp_path / "journal"
    for name in ("entries", "register"):  # and no photograph, which only tells that they are gone
        shutil.copytree(example_folder() / name, journal / name)
    settings = (example_folder() / "journal.toml").read_text()
    settings = settings.replace('language = "en"', 'language = "de"').replace('locale = "en_GB"', 'locale = "de_DE"')
    (journal / "journal.toml").write_text(settings)
    done = dossier(journal, "--assembly", "brake", "--to", tmp_path / "a.pdf", "--on", ON)
    assert done.exit_code == 0, done.stderr
    text = text_of(tmp_path / "a.pdf")
    with pikepdf.open(tmp_path / "a.pdf") as document:
        assert document.Root.Lang == "de-DE"
    for word in ("Zustand bei der Ankunft", "brake lever", "brake shoe", "Was nicht bekannt ist", "Seite 2 von"):
        assert word in text
    assert "chain guard" not in text[text.rindex("5 Behandlung") : text.rindex("6 Material")]


SECRETS = (
    "E. Trelorne", "PQ-17-0031", "PQ-17-101", "Orrensby", "Skarrel", "£", "Agreeing a price", "rack 1, lowest shelf",
)  # fmt: skip


def test_the_public_one_tells_nothing_that_the_public_edition_hides(public_dossier: Path) -> None:
    text = text_of(public_dossier)
    with pikepdf.open(public_dossier) as document, document.open_metadata() as metadata:
        everything = text + str(metadata) + str(document.docinfo) + " ".join(
            str(element.get("/Alt", "")) for element in elements(document)
        )  # fmt: skip
    for secret in SECRETS:
        assert secret not in everything
    for file in (photo.file for s in read_journal(example_folder()).journal.sessions for photo in s.photos):
        assert file not in everything
    assert "...31" in text
    assert "The firms are not told in this edition" in text
    assert "Costs are not told in this edition" in text
    assert b"Trelorne" not in public_dossier.read_bytes()


def test_the_owners_one_tells_it(example_dossier: Path) -> None:
    text = text_of(example_dossier)
    for secret in SECRETS:
        assert secret in text


def test_paper_is_as_asked(public_dossier: Path, opened: pikepdf.Pdf) -> None:
    with pikepdf.open(public_dossier) as document:
        assert [round(float(side)) for side in document.pages[0].mediabox] == [0, 0, 612, 792]
    assert [round(float(side)) for side in opened.pages[0].mediabox] == [0, 0, 595, 842]


def test_pictures_are_the_derived_ones_without_a_word_of_the_cameras(public_dossier: Path) -> None:
    with pikepdf.open(public_dossier) as document:
        images = (image for page in document.pages for image in page.get_images().values())
        found = [image.read_raw_bytes() for image in images if image.get("/Filter") == "/DCTDecode"]
    assert len(found) > 40
    for data in found:
        with Image.open(io.BytesIO(data)) as image:
            assert max(image.size) <= 1600
            assert not image.getexif()
