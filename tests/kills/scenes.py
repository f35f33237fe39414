"""What is killed, what must hold whenever that was, and what the next run must make of it."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import subprocess
import sys
import time
from abc import ABC, abstractmethod
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import ClassVar, Final

from lxml import html

from journalgen.outside.bag.checking import check_bag
from journalgen.outside.publishing.manifest import NAME, parse
from tests.intake.camera import photograph
from tests.journals import SETTINGS, write_journal

HOUSE: Final = Path(__file__).parents[2]
ON: Final = "2024-06-01"
COMMAND: Final = (sys.executable, "-m", "journalgen")
FILES: Final = {
    "entries/2024-03-09-etch.md": """
        ---
        hours: 2
        work: [{part: wheel, step: etch, wait: 2 d}]
        photos: [{file: one.jpg, part: wheel, shows: before}, {file: two.jpg, part: wheel, shows: after}]
        ---
        Scale came off.
        """,
    "entries/2024-03-16-prime.md": "---\nparts: lever\nhours: 1\n---\nPrimed.\n",
    "register/parts.yaml": "wheel: {assembly: running gear}\nlever:\n",
}
TARGET: Final = '\n[targets.stick]\nurl = "../stick"\n'


class Lost(AssertionError):
    """Something is half, or gone."""


def run(*args: object) -> subprocess.CompletedProcess[str]:
    """The command to its end, which must be a good one."""
    done = subprocess.run([*COMMAND, *map(str, args)], env=_environment(), capture_output=True, text=True)
    if done.returncode:
        raise Lost(f"{args[0]} ended with {done.returncode}: {done.stderr}")
    return done


def _environment() -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPATH": str(HOUSE)}


def tree(folder: Path) -> dict[str, str]:
    """Every file that has its name, by what it holds."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.startswith(".")
    }


def must(holds: bool, what: str) -> None:
    if not holds:
        raise Lost(what)


class Scene(ABC):
    """A journal in a room of its own, and a run in it that takes `long` seconds when nobody kills it."""

    verb: ClassVar[str]

    def __init__(self, room: Path) -> None:
        self.room = room
        self.journal = room / "journal"
        self.begun = 0
        write_journal(self.journal, FILES, SETTINGS + TARGET)
        for n, name in enumerate(("one.jpg", "two.jpg")):
            photograph(self.journal / "photos" / name, "2024:03:09 19:15:00", seed=n, size=300)
        self.prepare()
        self.change(0)
        start = time.perf_counter()
        run(*self.words())
        self.long = time.perf_counter() - start
        self.finish()

    def prepare(self) -> None:  # noqa: B027 - mostly there was nothing
        """What was done before the first run."""

    def change(self, n: int) -> None:  # noqa: B027 - some have always something to do
        """Gives the run something to do that no earlier run did."""

    @abstractmethod
    def words(self) -> tuple[object, ...]:
        """The command that is killed."""

    @abstractmethod
    def check(self) -> None:
        """What must hold after a kill. Raises Lost."""

    @abstractmethod
    def finish(self) -> None:
        """The next run, and what must be there after it. Raises Lost."""

    def kill_once(self, chance: Random) -> bool:
        """Whether the run was killed before it had ended by itself."""
        self.begun += 1
        self.change(self.begun)
        originals = tree(self.journal / "photos")
        with subprocess.Popen(
            [*COMMAND, *map(str, self.words())], env=_environment(), start_new_session=True,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        ) as process:  # fmt: skip
            time.sleep(chance.random() * self.long)
            midway = process.poll() is None
            if midway:
                os.killpg(process.pid, signal.SIGKILL)
            else:
                self.long *= 0.9  # what is known by now need not be done again
        now = tree(self.journal / "photos")
        must(originals.items() <= now.items(), "an original was lost or changed")
        self.check()
        self.finish()
        return midway

    def say_more(self, n: int) -> None:
        entry = self.journal / "entries" / "2024-03-16-prime.md"
        entry.write_text(f"---\nparts: lever\nhours: 1\n---\nPrimed, {n} times.\n", encoding="utf-8")


class Assemble(Scene):
    """The site is the old one or the new one, whole."""

    verb = "assemble"

    def prepare(self) -> None:
        run("assemble", self.journal, "--on", ON)
        self.old = {edition: tree(self.journal / "web" / edition) for edition in ("public", "owner")}

    def change(self, n: int) -> None:
        self.say_more(n)
        if n % 3 == 0:
            photograph(self.journal / "photos" / f"more-{n}.jpg", "2024:03:09 19:15:00", seed=n + 5, size=300)
            front = f"---\nparts: lever\nphotos: [more-{n}.jpg]\n---\nSeen.\n"
            (self.journal / "entries" / "2024-04-01-seen.md").write_text(front, encoding="utf-8")

    def words(self) -> tuple[object, ...]:
        return ("assemble", self.journal, "--on", ON)

    def check(self) -> None:
        self.after = {edition: tree(self.journal / "web" / edition) for edition in ("public", "owner")}

    def finish(self) -> None:
        run(*self.words())
        new = {edition: tree(self.journal / "web" / edition) for edition in ("public", "owner")}
        for edition, found in getattr(self, "after", {}).items():
            must(found in (self.old[edition], new[edition]), f"the site of {edition} was neither old nor new")
        must(not list((self.journal / ".journalgen").rglob("*.part")), "something half was left")
        self.old = new


class Intake(Scene):
    """Each photograph is whole under its name, and each is listed once in the end."""

    verb = "intake"

    def prepare(self) -> None:
        self.card = self.room / "card"

    def change(self, n: int) -> None:
        for m in range(6):
            photograph(
                self.card / f"{n:03}-{m}.jpg", f"2024:03:{10 + m:02} 19:{n % 60:02}:00", seed=1000 * n + m, size=200
            )

    def words(self) -> tuple[object, ...]:
        return ("intake", self.card, "--journal", self.journal)

    def check(self) -> None:
        whole = set(tree(self.card).values()) | {"one", "two"}
        for name, digest in tree(self.journal / "photos").items():
            must(digest in whole or name in ("one.jpg", "two.jpg"), f"{name} is not whole")
        for path in (self.journal / "entries").rglob("*.md"):
            text = path.read_text(encoding="utf-8")
            must(path.name.startswith(".") or (text.startswith("---\n") and "\n---\n" in text), f"{path} is half")

    def finish(self) -> None:
        run(*self.words())
        self.check()
        made = tree(self.journal / "photos")
        must(set(tree(self.card).values()) <= set(made.values()), "a photograph did not come")
        must(len(set(made.values())) == len(made), "a photograph came twice")
        texts = [path.read_text(encoding="utf-8") for path in (self.journal / "entries").rglob("*.md")]
        for name in made:
            must(sum(text.count(f"file: {name}") for text in texts) == 1, f"{name} is not listed once")


class Session(Scene):
    """The entry is there, whole, or is not there."""

    verb = "session"

    def change(self, n: int) -> None:
        self.title = f"Evening {n}"

    def words(self) -> tuple[object, ...]:
        return (
            "session", self.journal, "--title", self.title, "--parts", "wheel, lever", "--hours", "1:30", "--date",
            "2024-05-04", "--text", "Done. " * 2000,
        )  # fmt: skip

    @property
    def entry(self) -> Path:
        return self.journal / "entries" / "2024" / f"2024-05-04-{self.title.lower().replace(' ', '-')}.md"

    def check(self) -> None:
        if self.entry.exists():
            must(self.entry.read_text(encoding="utf-8").endswith("Done. " * 2000 + "\n"), "the entry is half")

    def finish(self) -> None:
        if not self.entry.exists():
            run(*self.words())
        self.check()
        must(self.entry.exists(), "the entry is not there")
        must(not run("inspect", self.journal).stdout.count("error,"), "the journal has errors")
        shutil.rmtree(self.entry.parent)  # or the journal would grow with every kill


class Preserve(Scene):
    """There is a bag that is whole, or none."""

    verb = "preserve"

    def change(self, n: int) -> None:
        self.say_more(n)
        self.bag = self.room / "disk" / (f"bag-{n}.zip" if n % 3 == 0 else f"bag-{n}")

    def words(self) -> tuple[object, ...]:
        return ("preserve", self.journal, "--to", self.bag, "--on", ON)

    def check(self) -> None:
        if self.bag.exists():
            must(check_bag(self.bag).findings == [], "the bag is not whole")

    def finish(self) -> None:
        if not self.bag.exists():
            run(*self.words())
        self.check()
        must(self.bag.exists(), "there is no bag")
        shutil.rmtree(self.bag.parent)


class Publish(Scene):
    """At the target no page leads to what is not there, and what the manifest says of a file is true."""

    verb = "publish"

    def prepare(self) -> None:
        self.target = self.room / "stick"

    def change(self, n: int) -> None:
        self.say_more(n)

    def words(self) -> tuple[object, ...]:
        return ("publish", "stick", self.journal, "--on", ON, "--yes")

    def check(self) -> None:
        there = tree(self.target) if self.target.exists() else {}
        manifest = self.target / NAME
        if manifest.exists():
            for name, digest in parse(manifest.read_bytes()).files.items():
                must(there.get(name) == digest, f"the manifest is wrong about {name}")
        for page in self.target.rglob("*.html") if (self.target / "index.html").exists() else ():
            for link in html.parse(page).xpath("//@href | //@src"):
                path = link.partition("#")[0].partition("?")[0]
                if path and ":" not in path:
                    must((page.parent / path).exists(), f"{page.name} leads to {path}, which is not there")

    def finish(self) -> None:
        run(*self.words())
        self.check()
        there = {name: held for name, held in tree(self.target).items() if not name.startswith("journalgen-")}
        must(there == tree(self.journal / "web" / "public"), "the target is not the site")


SCENES: Final[dict[str, Callable[[Path], Scene]]] = {
    scene.verb: scene for scene in (Assemble, Intake, Session, Preserve, Publish)
}
