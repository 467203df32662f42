"""A copy taken while people write holds one instant whole, and comes back whole or not at all."""

from __future__ import annotations

import hashlib
import json
import os
import stat
import subprocess
import zipfile
from uuid import uuid4

import psycopg
import pytest

from tests.office.desk import environment, haywright, write

RANCHES = 12


def place(folder):
    """An empty office: a desk, or a new database where one is named for the tests."""
    server = os.environ.get("HAYWRIGHT_TEST_DATABASE", "")
    if not server:
        return environment(folder)
    name = f"copy_{uuid4().hex}"
    with psycopg.connect(server, autocommit=True) as held:
        held.execute(f'CREATE DATABASE "{name}"')
    return environment(folder, server.rpartition("/")[0] + f"/{name}")


def written(env, ranches=RANCHES):
    with write(env, ranches) as hand:
        assert len(hand.stdout.read().split()) == ranches


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """An office with ranches in it, and a copy of it."""
    folder = tmp_path_factory.mktemp("kept")
    env = place(folder / "first")
    written(env)
    ran = haywright(env, "office", "backup", folder / "kept.zip")
    assert ran.returncode == 0, ran.stderr
    return folder / "kept.zip"


def ledger(env):
    ran = haywright(env, "ledger", "check", "--json")
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return [(one["entries"], one["broken"]) for one in json.loads(ran.stdout)["offices"]]


def test_a_copy_taken_while_a_hand_writes_is_one_instant_and_its_ledger_holds(tmp_path):
    env = place(tmp_path / "first")
    written(env, 1)
    with write(env, 1_000_000, "second") as hand:  # it is stopped by hand
        hand.stdout.readline()
        ran = haywright(env, "office", "backup", tmp_path / "kept.zip", "--json")
        still = hand.poll() is None
        hand.kill()
    assert ran.returncode == 0, ran.stderr
    assert still, "the hand had stopped writing before the copy was there"
    tables = json.loads(ran.stdout)["tables"]
    # One deed of this hand is one ranch and one entry: a copy in mid-deed would tell.
    assert tables["people_ranch"] == tables["ledger_entry"] >= 2
    again = place(tmp_path / "second")
    ran = haywright(again, "office", "restore", tmp_path / "kept.zip")
    assert ran.returncode == 0, ran.stderr
    assert ledger(again) == [(tables["ledger_entry"], [])]


def test_what_comes_back_is_what_was_kept_and_people_go_on_writing(kept, tmp_path):
    again = place(tmp_path / "second")
    assert haywright(again, "office", "restore", kept).returncode == 0
    assert haywright(again, "office", "backup", tmp_path / "again.zip").returncode == 0
    with zipfile.ZipFile(kept) as first, zipfile.ZipFile(tmp_path / "again.zip") as second:
        heads = [json.loads(one.read("archive.json")) for one in (first, second)]
    assert heads[0] == heads[1]
    with write(again, 3, "later") as hand:
        assert len(hand.stdout.read().split()) == 3
    assert ledger(again) == [(RANCHES + 3, [])]


def test_a_desk_s_copy_comes_back_into_an_office_of_many_and_the_other_way(tmp_path):
    desk, other = environment(tmp_path / "desk"), place(tmp_path / "other")
    written(desk)
    for number, (here, there) in enumerate(
        ((desk, other), (other, environment(tmp_path / "third")))
    ):
        copy = tmp_path / f"{number}.zip"
        assert haywright(here, "office", "backup", copy).returncode == 0
        ran = haywright(there, "office", "restore", copy)
        assert ran.returncode == 0, ran.stderr
        assert ledger(there) == [(RANCHES, [])]


def test_photos_come_back_byte_for_byte(tmp_path):
    env, picture = environment(tmp_path / "first"), os.urandom(5000)
    with write(env, 0, "photo", stdin=subprocess.PIPE) as hand:
        hand.communicate(picture)
    assert haywright(env, "office", "backup", tmp_path / "kept.zip").returncode == 0
    again = environment(tmp_path / "second")
    ran = haywright(again, "office", "restore", tmp_path / "kept.zip")
    assert ran.returncode == 0, ran.stderr
    (found,) = (tmp_path / "second" / "photos").iterdir()
    assert found.read_bytes().endswith(picture)


def changed(source, target, member, edit):
    """The archive with one member edited, its digest put right by whoever edited it."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        head = json.loads(old.read("archive.json"))
        for name in old.namelist():
            data = old.read(name)
            if name == member:
                data = edit(data)
                head["members"][name]["sha256"] = hashlib.sha256(data).hexdigest()
            if name != "archive.json":
                new.writestr(name, data)
        new.writestr("archive.json", json.dumps(head))
    return target


def test_a_damaged_copy_is_refused_and_nothing_is_written(kept, tmp_path):
    whole = kept.read_bytes()
    cut, flipped, none = (tmp_path / name for name in ("cut.zip", "flipped.zip", "none.zip"))
    cut.write_bytes(whole[: len(whole) // 2])
    middle = whole.index(b"tables/ledger_entry.jsonl") + 200
    flipped.write_bytes(whole[:middle] + bytes([whole[middle] ^ 1]) + whole[middle + 1 :])
    none.write_bytes(b"\0" * 1000)
    clever = changed(
        kept,
        tmp_path / "clever.zip",
        "tables/ledger_entry.jsonl",
        lambda data: data.replace(b"Ranch first 5", b"Ranch first 6"),
    )
    again = place(tmp_path / "second")
    for one in (cut, flipped, none, clever):
        ran = haywright(again, "office", "restore", one)
        assert ran.returncode == 2, (one.name, ran.stdout)
        assert one.name in ran.stderr
        assert "Traceback" not in ran.stderr
    # Still empty: the whole copy comes in afterwards.
    assert haywright(again, "office", "restore", kept).returncode == 0


def test_a_copy_comes_back_into_an_empty_office_only_and_never_over_a_file(kept, tmp_path):
    again = place(tmp_path / "second")
    written(again, 1)
    ran = haywright(again, "office", "restore", kept)
    assert (ran.returncode, "empty" in ran.stderr) == (2, True)
    assert ledger(again) == [(1, [])]
    before = kept.read_bytes()
    assert haywright(again, "office", "backup", kept).returncode == 2
    assert kept.read_bytes() == before
    assert not list(kept.parent.glob(".*.part"))


def test_what_an_office_holds_is_read_by_nobody_else_on_the_machine(tmp_path):
    env = environment(tmp_path / "mine")
    written(env, 1)
    folder = tmp_path / "mine"
    modes = {one.name: stat.S_IMODE(one.stat().st_mode) for one in folder.glob("office.sqlite3*")}
    assert modes == dict.fromkeys(modes, 0o600)
    assert modes
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_a_folder_that_stood_there_keeps_its_mode_and_an_older_database_is_closed(tmp_path):
    folder = tmp_path / "shared"
    folder.mkdir(mode=0o755)
    env = environment(folder)
    written(env, 1)
    (folder / "office.sqlite3").chmod(0o644)
    assert ledger(env) == [(1, [])]
    assert stat.S_IMODE(folder.stat().st_mode) == 0o755
    assert stat.S_IMODE((folder / "office.sqlite3").stat().st_mode) == 0o600


@pytest.mark.parametrize("words", [("ledger", "check"), ("office", "backup", "copy.zip")])
def test_where_no_office_is_kept_nothing_is_looked_over_copied_or_made(tmp_path, words):
    nowhere = tmp_path / "mispelt"
    words = [tmp_path / one if one.endswith(".zip") else one for one in words]
    for json_ in ((), ("--json",)):
        ran = haywright(environment(tmp_path / "other"), *words, "--data", nowhere, *json_)
        assert ran.returncode == 2, ran.stdout
        assert "No office is kept in" in ran.stdout + ran.stderr
        assert "mispelt" in ran.stdout + ran.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_database_without_an_office_is_nothing_to_copy_either(tmp_path):
    env = place(tmp_path / "empty")
    folder = tmp_path / "empty"
    folder.mkdir(exist_ok=True)
    (folder / "office.sqlite3").touch()
    for words in (("ledger", "check"), ("office", "backup", tmp_path / "copy.zip")):
        ran = haywright(env, *words)
        assert ran.returncode == 2, ran.stdout
        assert "No office is kept in" in ran.stderr
    assert not (tmp_path / "copy.zip").exists()


@pytest.mark.parametrize("words", [("receive",), ("restore",)])
def test_a_folder_named_where_a_file_is_meant_is_called_a_folder(tmp_path, words):
    folder = tmp_path / "results"
    folder.mkdir()
    ran = haywright(environment(tmp_path / "desk"), "office", *words, folder)
    assert ran.returncode == 2
    assert "is a folder" in ran.stderr
    assert not (tmp_path / "desk").exists()
