"""Publishing to a store that speaks S3: moto's server, spoken to over HTTP as any other."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from botocore.session import get_session
from moto.server import ThreadedMotoServer

from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.manifest import NAME
from tests.outside.servers import Cutter, free_port
from tests.outside.sites import SITE, Publisher, copy_example, publish_twice

MARKER = "Zq7-marker-secret-key"
BUCKET = "trolley-site"


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    server = ThreadedMotoServer("127.0.0.1", free_port(), verbose=False)
    server.start()
    yield server.get_host_and_port()[1]
    server.stop()


@pytest.fixture(autouse=True)
def _alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of whoever runs the tests is used."""
    for name in [name for name in os.environ if name.startswith("AWS_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("AWS_EC2_METADATA_DISABLED", "true")
    monkeypatch.setenv("AWS_DEFAULT_REGION", "us-east-1")
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", "AKIATESTTEST")
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", MARKER)


@pytest.fixture(scope="module")
def client(port: int) -> Iterator[Any]:
    made = get_session().create_client(
        "s3", endpoint_url=f"http://127.0.0.1:{port}", region_name="us-east-1",
        aws_access_key_id="AKIATESTTEST", aws_secret_access_key="none",  # noqa: S106
    )  # fmt: skip
    yield made
    made.close()


@pytest.fixture
def bucket(client: Any) -> Iterator[Any]:
    client.create_bucket(Bucket=BUCKET)
    yield client
    for page in client.get_paginator("list_objects_v2").paginate(Bucket=BUCKET):
        for row in page.get("Contents", []):
            client.delete_object(Bucket=BUCKET, Key=row["Key"])
    client.delete_bucket(Bucket=BUCKET)


def held(client: Any, prefix: str = "") -> dict[str, bytes]:
    rows = client.list_objects_v2(Bucket=BUCKET, Prefix=prefix).get("Contents", [])
    found = {r["Key"]: client.get_object(Bucket=BUCKET, Key=r["Key"])["Body"].read() for r in rows}
    return {key.removeprefix(prefix): data for key, data in found.items() if not key.endswith(NAME)}


def publisher(home: Path, port: int, folder: str = "/trolley") -> Publisher:
    return Publisher(home, f"s3://{BUCKET}{folder}", endpoint=f"http://127.0.0.1:{port}")


@pytest.mark.parametrize("folder", ["", "/a/b/"])
def test_a_site_arrives_and_a_second_time_nothing_is_sent(bucket: Any, port: int, tmp_path: Path, folder: str) -> None:
    here = publisher(tmp_path, port, folder)
    here.publish(SITE)
    prefix = f"{folder.strip('/')}/".lstrip("/")
    assert held(bucket, prefix) == SITE
    assert not here.publish().steps
    after = {name: data for name, data in SITE.items() if not name.startswith("pictures/")} | {"index.html": b"new"}
    here.publish(after)
    assert held(bucket, prefix) == after


def test_the_example_is_published_and_a_second_time_nothing_is_sent(
    bucket: Any, port: int, tmp_path: Path, site: Path
) -> None:
    journal = copy_example(tmp_path, f"s3://{BUCKET}/trolley", endpoint=f"http://127.0.0.1:{port}")
    sent = publish_twice(journal)
    listed = bucket.get_paginator("list_objects_v2").paginate(Bucket=BUCKET, Prefix="trolley/")
    there = {row["Key"].removeprefix("trolley/"): row["Size"] for page in listed for row in page["Contents"]}
    del there[NAME]
    assert there == {name: len(data) for name, data in sent.items()}


def test_each_file_says_what_it_is_and_how_long_it_may_be_kept(bucket: Any, port: int, tmp_path: Path) -> None:
    publisher(tmp_path, port).publish(SITE)

    def told(name: str) -> tuple[str, str]:
        head = bucket.head_object(Bucket=BUCKET, Key=f"trolley/{name}")
        return head["ContentType"], head["CacheControl"]

    assert told("index.html") == ("text/html; charset=utf-8", "no-cache")
    assert told("feed.atom") == ("application/atom+xml", "no-cache")
    assert told("pictures/0123456789abcdef-480.jpg") == ("image/jpeg", "public, max-age=31536000, immutable")


def test_objects_of_others_stay(bucket: Any, port: int, tmp_path: Path) -> None:
    bucket.put_object(Bucket=BUCKET, Key="trolley/mine.txt", Body=b"mine")
    bucket.put_object(Bucket=BUCKET, Key="beside.txt", Body=b"beside")
    with pytest.raises(CannotPublish, match=r"not empty.*: mine.txt"):
        publisher(tmp_path, port).publish(SITE)
    publisher(tmp_path, port).publish(SITE, replace=True)
    publisher(tmp_path, port).publish({"index.html": b"alone"})
    assert held(bucket) == {"trolley/index.html": b"alone", "trolley/mine.txt": b"mine", "beside.txt": b"beside"}


def test_a_bucket_that_is_not_there(port: int, tmp_path: Path) -> None:
    with pytest.raises(CannotPublish, match=f"There is no bucket {BUCKET}"):
        publisher(tmp_path, port).publish(SITE)


def test_nobody_is_let_in_without_a_key(
    bucket: Any, port: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("AWS_ACCESS_KEY_ID")
    monkeypatch.delenv("AWS_SECRET_ACCESS_KEY")
    with pytest.raises(CannotPublish, match=r"not known who you are.*~/\.aws/credentials"):
        publisher(tmp_path, port).publish(SITE)
    (tmp_path / ".aws").mkdir()
    (tmp_path / ".aws" / "credentials").write_text(
        f"[default]\naws_access_key_id = AKIAFILE\naws_secret_access_key = {MARKER}\n"
    )
    publisher(tmp_path, port).publish(SITE)
    assert held(bucket, "trolley/") == SITE


def test_a_line_that_is_cut_is_taken_up_again(bucket: Any, port: int, tmp_path: Path) -> None:
    files = {**SITE, **{f"pictures/{n:016x}-480.jpg": os.urandom(200_000) for n in range(3)}}
    with Cutter(port, [500_000, 100_000]) as line:
        here = publisher(tmp_path, line.port)
        here.publish(files)
        assert line.cuts == 2
    assert held(bucket, "trolley/") == files
    assert MARKER not in " ".join(here.said)


def test_a_store_that_is_not_there_is_told_of_soon_and_without_any_secret(tmp_path: Path) -> None:
    here = publisher(tmp_path, free_port())
    with pytest.raises(CannotPublish, match="could not be reached") as fault:
        here.publish(SITE)
    assert MARKER not in str(fault.value) + " ".join(here.said)
    assert len(here.waited) == 2
