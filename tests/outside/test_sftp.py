"""Publishing over SFTP to OpenSSH's own server."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.manifest import NAME
from tests.outside.servers import Cutter, SshServer, free_port, needs_sshd
from tests.outside.sites import SITE, Publisher, read_tree, without_manifest

pytestmark = needs_sshd
MARKER = "Zq7-marker-password"


@pytest.fixture(scope="module")
def _server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SshServer]:
    server = SshServer(tmp_path_factory.mktemp("sshd"))
    with server.running():
        yield server


@pytest.fixture
def server(_server: SshServer, monkeypatch: pytest.MonkeyPatch) -> SshServer:
    monkeypatch.setenv("HOME", str(_server.home))
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)
    monkeypatch.delenv("JOURNALGEN_PASSWORD", raising=False)
    _server.forget()
    _server.know()
    return _server


def test_a_site_arrives_and_a_second_time_nothing_is_sent(server: SshServer, tmp_path: Path) -> None:
    there = tmp_path / "there"
    publisher = Publisher(tmp_path, server.url(there))
    publisher.publish(SITE)
    assert without_manifest(read_tree(there)) == SITE
    written = (there / NAME).stat().st_mtime_ns
    assert not publisher.publish().steps
    assert (there / NAME).stat().st_mtime_ns == written


def test_what_changed_is_replaced_and_what_is_gone_removed(server: SshServer, tmp_path: Path) -> None:
    there = tmp_path / "there"
    publisher = Publisher(tmp_path, server.url(there))
    publisher.publish(SITE)
    (there / "sessions" / "mine.txt").write_text("mine")
    after = {**SITE, "index.html": b"new", "parts/axle.html": b"axle"}
    del after["pictures/0123456789abcdef-480.jpg"]
    plan = publisher.publish(after)
    assert [(step.do, step.name) for step in plan.steps] == [
        ("send", "parts/axle.html"),
        ("change", "index.html"),
        ("remove", "pictures/0123456789abcdef-480.jpg"),
    ]
    assert without_manifest(read_tree(there)) == {**after, "sessions/mine.txt": b"mine"}
    assert not (there / "pictures").exists()


def test_a_host_that_is_not_known_is_refused_with_its_fingerprint(server: SshServer, tmp_path: Path) -> None:
    server.forget()
    publisher = Publisher(tmp_path, server.url(tmp_path / "there"))
    with pytest.raises(CannotPublish, match=r"does not know 127\.0\.0\.1 yet.* SHA256:\S+; ask .* ssh -p \d+") as fault:
        publisher.publish(SITE)
    assert not (tmp_path / "there").exists()
    assert not publisher.waited, str(fault.value)


def test_a_host_with_another_key_than_the_known_one_is_refused(server: SshServer, tmp_path: Path) -> None:
    server.forget()
    server.make_key(tmp_path / "other")
    server.know(tmp_path / "other")
    with pytest.raises(CannotPublish, match=r"shows another key .* Nothing was sent.* ssh-keygen -R "):
        Publisher(tmp_path, server.url(tmp_path / "there")).publish(SITE)
    assert not (tmp_path / "there").exists()


def test_who_is_not_let_in_is_told_so_and_no_password_is_shown(
    server: SshServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = tmp_path / "other-home"
    (home / ".ssh").mkdir(parents=True)
    server.make_key(home / ".ssh" / "id_ed25519")
    (home / ".ssh" / "known_hosts").write_text((server.home / ".ssh" / "known_hosts").read_text())
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("JOURNALGEN_PASSWORD", MARKER)
    with pytest.raises(CannotPublish, match=r"did not let .* in") as fault:
        Publisher(tmp_path, server.url(tmp_path / "there")).publish(SITE)
    assert MARKER not in str(fault.value)


def test_a_key_with_a_passphrase_is_opened_by_the_password(
    server: SshServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from journalgen.outside.publishing import secrets

    assert secrets.find_password("my web", {"JOURNALGEN_PASSWORD_MY_WEB": "a", "JOURNALGEN_PASSWORD": "b"}) == "a"
    key = server.home / ".ssh" / "id_ed25519"
    before = key.read_bytes(), key.with_suffix(".pub").read_bytes()
    try:
        server.make_key(key, MARKER)
        monkeypatch.setenv("JOURNALGEN_PASSWORD_WEB", MARKER)
        Publisher(tmp_path, server.url(tmp_path / "there")).publish(SITE)
    finally:
        key.write_bytes(before[0])
        key.with_suffix(".pub").write_bytes(before[1])
    assert without_manifest(read_tree(tmp_path / "there")) == SITE


def test_names_ports_and_users_of_the_ssh_configuration_count(server: SshServer, tmp_path: Path) -> None:
    config = server.home / ".ssh" / "config"
    config.write_text(f"Host workshop\n  HostName 127.0.0.1\n  Port {server.port}\n  User {server.user}\n")
    try:
        Publisher(tmp_path, f"sftp://workshop{tmp_path}/there").publish(SITE)
    finally:
        config.unlink()
    assert without_manifest(read_tree(tmp_path / "there")) == SITE


@pytest.mark.parametrize("after", [[60_000], [5_000, 300_000], [200_000, 200_000, 200_000]])
def test_a_line_that_is_cut_is_taken_up_again(server: SshServer, tmp_path: Path, after: list[int]) -> None:
    files = {**SITE, **{f"pictures/{n:016x}-480.jpg": os.urandom(90_000) for n in range(4)}}
    with Cutter(server.port, after) as line:
        server.know(port=line.port)
        publisher = Publisher(tmp_path, server.url(tmp_path / "there", line.port))
        publisher.publish(files)
        assert line.cuts == len(after)
    assert without_manifest(read_tree(tmp_path / "there")) == files
    assert len(publisher.waited) == len(after)
    assert all("The line was lost" in text for text in publisher.said)


def test_a_line_that_is_lost_for_good_leaves_what_was_sent(server: SshServer, tmp_path: Path) -> None:
    files = {**SITE, **{f"pictures/{n:016x}-480.jpg": os.urandom(90_000) for n in range(8)}}
    with Cutter(server.port, [400_000, *[1_000] * 40]) as line:
        server.know(port=line.port)
        publisher = Publisher(tmp_path, server.url(tmp_path / "there", line.port))
        with pytest.raises(CannotPublish, match=r"could not be reached.* publish again for the rest"):
            publisher.publish(files)
    assert publisher.waited == [0.5, 1, 2, 4, 8, 15]
    assert not (tmp_path / "there" / "index.html").exists()
    arrived = {name for name in read_tree(tmp_path / "there") if name in files}
    assert arrived
    direct = Publisher(tmp_path, server.url(tmp_path / "there"))
    direct.publish()
    assert without_manifest(read_tree(tmp_path / "there")) == files


def test_a_server_that_is_not_there_is_told_of_soon(server: SshServer, tmp_path: Path) -> None:
    publisher = Publisher(tmp_path, server.url(tmp_path / "there", free_port()))
    with pytest.raises(CannotPublish, match=r"nothing answers at 127\.0\.0\.1, port"):
        publisher.publish(SITE)
    assert len(publisher.waited) == 2


def test_a_server_that_lets_nothing_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    server = SshServer(tmp_path / "sshd")
    monkeypatch.setenv("HOME", str(server.home))
    with server.running("ForceCommand internal-sftp -R"):
        (tmp_path / "there").mkdir()
        with pytest.raises(CannotPublish, match=r"does not let you write|refused to write"):
            Publisher(tmp_path, server.url(tmp_path / "there")).publish(SITE)
    assert not list((tmp_path / "there").iterdir())


@pytest.mark.parametrize(("path", "arrives"), [("/~/site", "site"), ("/~", ""), ("", "")])
def test_a_path_may_begin_where_one_arrives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, path: str, arrives: str
) -> None:
    server = SshServer(tmp_path / "sshd")
    monkeypatch.setenv("HOME", str(server.home))
    (tmp_path / "start").mkdir()
    with server.running(f"ForceCommand internal-sftp -d {tmp_path}/start"):
        publisher = Publisher(tmp_path, f"sftp://{server.user}@127.0.0.1:{server.port}{path}")
        publisher.publish(SITE)
        publisher.publish({**SITE, "index.html": b"new"})
    assert without_manifest(read_tree(tmp_path / "start" / arrives)) == {**SITE, "index.html": b"new"}


def test_a_folder_whose_folder_is_not_there(server: SshServer, tmp_path: Path) -> None:
    with pytest.raises(CannotPublish, match=r"There is no folder .*nowhere"):
        Publisher(tmp_path, server.url(tmp_path / "nowhere" / "there")).publish(SITE)
