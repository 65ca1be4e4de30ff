"""What `doctor --db` looks at, one by one: each setting spoilt is seen."""

from __future__ import annotations

import pytest
from django.db import connection

from stillroom.records import health


def wrong():
    return [answer.what for answer in health.examine(connection) if answer.right is False]


def test_the_tests_own_database_is_right(db):
    assert wrong() == []


@pytest.mark.parametrize(
    ("pragma", "what"),
    [
        ("busy_timeout=100", "busy_timeout"),
        ("recursive_triggers=OFF", "recursive_triggers"),
        ("mmap_size=1000000", "mmap_size"),
    ],
)
def test_a_spoilt_setting_is_seen(db, pragma, what):
    if connection.vendor != "sqlite":
        pytest.skip("another database")
    name = pragma.partition("=")[0]
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}")
        before = cursor.fetchone()
        cursor.execute(f"PRAGMA {pragma}")
    try:
        assert wrong() == [what]
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA {name}={before[0] if before else 0}")


def test_a_relaxed_server_is_seen(db):
    if connection.vendor != "postgresql":
        pytest.skip("another database")
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL synchronous_commit = off")
    assert wrong() == ["synchronous_commit"]


MOUNTS = """\
22 1 254:0 / / rw,relatime - ext4 /dev/vda rw
30 22 0:40 / /srv rw - nfs4 host:/srv rw
31 30 254:1 / /srv/local\\040disk rw - xfs /dev/vdb rw
"""


def test_the_disk_is_the_nearest_mount(tmp_path):
    mounts = tmp_path / "mountinfo"
    mounts.write_text(MOUNTS)
    found = {
        path: health.file_system_of(path, mounts)
        for path in map(type(tmp_path), ("/home/x", "/srv/x", "/srv/local disk/x", "/srvx"))
    }
    assert list(found.values()) == ["ext4", "nfs4", "xfs", "ext4"]
    assert health.file_system_of(tmp_path, tmp_path / "absent") == ""


@pytest.mark.parametrize(
    ("kind", "network"),
    [("ext4", False), ("xfs", False), ("btrfs", False), ("overlay", False), ("tmpfs", False), ("apfs", False),
     ("nfs", True), ("nfs4", True), ("cifs", True), ("smb3", True), ("fuse.sshfs", True), ("9p", True), ("network", True)],
)  # fmt: skip
def test_network_disks_are_known(kind, network):
    assert health.is_network(kind) is network
