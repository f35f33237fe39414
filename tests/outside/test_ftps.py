"""Publishing over FTP with TLS, to a server of pyftpdlib's."""

from __future__ import annotations

import datetime
import ipaddress
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from journalgen.outside.publishing.faults import CannotPublish
from tests.outside.servers import free_port, wait_for_port
from tests.outside.sites import SITE, Publisher, read_tree, without_manifest

MARKER = "Zq7-marker-password"
USER = "restorer"
HOUSE = Path(__file__).parents[2]


class Server:
    """The folder it shows, its port, and its certificate, which signed itself."""

    def __init__(self, folder: Path) -> None:
        self.root = folder / "root"
        self.root.mkdir()
        self.certificate = folder / "certificate.pem"
        self.certificate.write_bytes(_make_certificate())
        self.port = free_port()


def _make_certificate() -> bytes:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "loopback")])
    now = datetime.datetime.now(datetime.UTC)
    address = x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(days=1))
        .not_valid_after(now + datetime.timedelta(days=1))
        .add_extension(address, critical=False)
        .sign(key, hashes.SHA256())
    )
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return private + made.public_bytes(serialization.Encoding.PEM)


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    found = Server(tmp_path)
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.outside.ftp_server", str(found.root), str(found.certificate), str(found.port)],
        cwd=HOUSE, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    assert process.stdin is not None
    process.stdin.write(f"{MARKER}\n")
    process.stdin.close()
    wait_for_port(found.port)
    monkeypatch.setenv("SSL_CERT_FILE", str(found.certificate))
    monkeypatch.setenv("JOURNALGEN_PASSWORD", MARKER)
    monkeypatch.setenv("HOME", str(tmp_path))
    yield found
    process.terminate()
    process.wait(timeout=20)


def publisher(home: Path, server: Server, folder: str = "/there") -> Publisher:
    return Publisher(home, f"ftps://{USER}@127.0.0.1:{server.port}{folder}")


@pytest.mark.parametrize("folder", ["", "/there"])
def test_a_site_arrives_is_changed_and_a_second_time_nothing_is_sent(
    server: Server, tmp_path: Path, folder: str
) -> None:
    here, there = publisher(tmp_path, server, folder), server.root / folder.lstrip("/")
    here.publish(SITE)
    assert without_manifest(read_tree(there)) == SITE
    assert not here.publish().steps
    after = {name: data for name, data in SITE.items() if not name.startswith("pictures/")} | {"index.html": b"new"}
    here.publish(after)
    assert without_manifest(read_tree(there)) == after


def test_a_certificate_that_nobody_trusts_is_refused(
    server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SSL_CERT_FILE")
    with pytest.raises(CannotPublish, match=r"certificate of 127\.0\.0\.1 is not to be trusted.*Nothing was sent"):
        publisher(tmp_path, server).publish(SITE)
    assert not list(server.root.iterdir())


def test_a_wrong_password_is_told_of_and_not_shown(
    server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("JOURNALGEN_PASSWORD", f"{MARKER}-wrong")
    with pytest.raises(CannotPublish, match=r"did not let restorer in.*\.netrc") as fault:
        publisher(tmp_path, server).publish(SITE)
    assert MARKER not in str(fault.value)


def test_the_password_may_lie_in_netrc(server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("JOURNALGEN_PASSWORD")
    (tmp_path / ".netrc").write_text(f"machine 127.0.0.1 login {USER} password {MARKER}\n")
    (tmp_path / ".netrc").chmod(0o600)
    publisher(tmp_path, server).publish(SITE)
    assert without_manifest(read_tree(server.root / "there")) == SITE
