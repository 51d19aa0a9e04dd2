"""Saving is one step: cut off or refused at any disk operation, tried by two at once, read meanwhile. Kind: exact.

A kill is told from an error by this: after it no operation of the killed program reaches the disk. So here every operation from
a given one on raises `Killed`, those of tidying up too, and the folder is then looked at as the next program finds it.
"""

import errno
import os
import signal
import threading
from contextlib import contextmanager
from dataclasses import replace
from itertools import cycle

import numpy as np
import pytest
from alike import same_benches

import rheokit as rk
from rheokit.reading import locking
from rheokit.reading.files import Disk
from rheokit.reading.journal import JOURNAL
from rheokit.reading.saving import save

TOML = """\
[[test]]
kind = "flow curve"
file = "curve.csv"   # by hand

[[test]]
kind = "vane peak"
file = "raw/vane.csv"
vane_diameter = "20 mm"
vane_height = "40.0 mm"
"""
CURVE, VANE = b"shear rate [1/s], shear stress [Pa]\n1, 100\n10, 200\n", b"torque [mN m]\n12.5\n13.0\n"
OPERATIONS = ("open", "write", "fsync", "replace", "unlink", "mkdir", "rmdir", "chmod")


class Killed(BaseException):
    """The program ends here."""


@contextmanager
def disk_that(fails, at, once=False):
    """Let the operation number `at` on the disk, and all later ones unless `once`, raise what `fails` returns; yield the count."""
    done, real = [0], {name: getattr(os, name) for name in OPERATIONS}

    def counted(name):
        def operation(*given, **more):
            if name == "open" and not given[1] & os.O_CREAT:
                return real[name](*given, **more)  # to look, which changes nothing
            done[0] += 1
            if done[0] == at or (done[0] > at and not once):
                if name == "write" and done[0] == at:
                    real[name](given[0], bytes(given[1])[: len(given[1]) // 2])  # half of it reaches the disk
                raise fails()
            return real[name](*given, **more)

        return operation

    for name in OPERATIONS:
        setattr(os, name, counted(name))
    try:
        yield done
    finally:
        for name, operation in real.items():
            setattr(os, name, operation)


def contents(path):
    return {str(p.relative_to(path)): p.read_bytes() for p in path.rglob("*") if p.is_file()}


def made_folder(path):
    (path / "raw").mkdir(parents=True)
    (path / "bench.toml").write_text(TOML, encoding="utf-8")
    (path / "curve.csv").write_bytes(CURVE)
    (path / "raw" / "vane.csv").write_bytes(VANE)
    return path


def changed(bench, factor=1.5):
    """Return the bench with both of its files and its bench.toml changed."""
    curve, vane = bench.tests
    curve = replace(curve, shear_stress=np.array(curve.shear_stress) * factor)
    return rk.Bench(
        bench.specimen, [curve, replace(vane, torque=np.array(vane.torque) * factor, label="new")], bench.origin
    )


def every_operation(save):
    """Yield the number of each operation on the disk that `save()` takes, and the total."""
    with disk_that(Killed, 0, once=True) as done:
        save()
    assert done[0] > 15
    return range(1, done[0] + 1)


def killed_at_every_operation(tmp_path, new, old):
    """Yield the number of each operation of a save, and a folder in which the save was killed there."""
    whole = made_folder(tmp_path / "whole")
    for at in every_operation(lambda: save(new, whole, old)):
        folder = made_folder(tmp_path / f"{at}")
        with pytest.raises(Killed), disk_that(Killed, at):
            save(new, folder, old)
        yield at, folder


# --- cut off --------------------------------------------------------------------------------------------------------


def as_read(folder):
    """Return the files of a folder as its reader takes them."""
    disk = Disk(folder)
    assert disk.fault() == ""
    return {name: disk.read(name, 10_000) for name in ("bench.toml", "curve.csv", "raw/vane.csv")}


@pytest.mark.slow
def test_a_save_killed_at_any_operation_was_never_begun_or_is_read_as_done(tmp_path):
    old, found = contents(made_folder(tmp_path / "from")), {"old": 0, "new": 0}
    new = {name: raw + b"\n" for name, raw in old.items()}
    more = {name: raw + b"\n\n" for name, raw in old.items()}
    for at, folder in killed_at_every_operation(tmp_path, new, old):
        before = contents(folder)
        had = as_read(folder)
        assert had in (old, new), f"killed at operation {at}"
        assert contents(folder) == before, "reading changes nothing"
        found["new" if had == new else "old"] += 1
        then = more if at % 2 else new  # by whom reads it next, or by whom tries again
        save(then, folder, had)
        assert as_read(folder) == contents(folder) == then, "nothing is left over"
    assert min(found.values()) > 5, found


def test_a_bench_whose_save_was_cut_off_is_read_and_goes_on(tmp_path):
    folder = made_folder(tmp_path / "bench")
    old = rk.read_bench(folder)
    new = changed(old)
    with pytest.raises(Killed), disk_that(Killed, 20):
        rk.write_bench(new, folder)
    assert (folder / JOURNAL).exists() and (folder / "raw" / "vane.csv").read_bytes() == VANE
    back = rk.read_bench(folder)
    assert same_benches(back, new)
    more = changed(back, 2.0)
    assert same_benches(rk.write_bench(more, folder), more)
    assert set(contents(folder)) == {"bench.toml", "curve.csv", "raw/vane.csv"}


@pytest.mark.slow
def test_a_new_folder_killed_at_any_operation_can_be_saved_into_again(tmp_path):
    files = contents(made_folder(tmp_path / "from"))
    for had in ({}, None):  # a bench that is written, and a folder to fill in, which must be new
        for at in every_operation(lambda had=had: save(files, tmp_path / f"counted {had}", had)):
            folder = tmp_path / f"{had} {at}"
            with pytest.raises(Killed), disk_that(Killed, at):
                save(files, folder, had)
            if had is None and contents(folder).items() >= files.items() and not (folder / JOURNAL).exists():
                with pytest.raises(rk.DataError, match="is not empty"):  # its last file was in its place
                    save(files, folder, had)
            else:
                save(files, folder, had)
                assert contents(folder) == files


def test_what_was_changed_by_hand_after_a_kill_is_neither_overwritten_nor_mixed(tmp_path):
    old, told = contents(made_folder(tmp_path / "from")), set()
    new = {name: raw + b"\n" for name, raw in old.items()}
    for _, folder in killed_at_every_operation(tmp_path, new, old):
        if not (folder / JOURNAL).exists():
            continue
        (folder / "curve.csv").write_bytes(CURVE + b"20, 300\n")
        for work in (lambda folder=folder: rk.read_bench(folder), lambda folder=folder: save(new, folder, new)):
            with pytest.raises(rk.DataError) as caught:
                work()
            told.add(str(caught.value).replace(str(folder), "FOLDER"))
        (folder / JOURNAL).unlink()
        assert rk.read_bench(folder).tests[0].shear_stress[-1] == 300
    remedy = "compare the files by eye, then delete unfinished.save to keep those that have their proper names"
    hand = (
        f"the last save of this folder was cut off, and curve.csv was changed by hand since; {remedy}, or move curve.csv elsewhere to "
        "take the one that was being saved"
    )
    lost = (
        "the last save of this folder was cut off, and the new curve.csv is lost: new and old files would be read together; "
        f"{remedy}, and save again what is missing"
    )
    assert told == {
        f"'FOLDER': {hand}",
        f"'FOLDER': nothing was saved: {hand}",
        f"'FOLDER': {lost}",
        f"'FOLDER': nothing was saved: {lost}",
    }


@pytest.mark.parametrize(
    "raw",
    [b"", b"{}", b"[[1, 2, 3]]", b"\xff", b"[" * 100_000, b'[["../x", null, "0"]]', b'[["/etc/x.csv", null, "0"]]', b'[["a"]]', b"[3]",
     b'[["a.csv", null, "0"], ["a.csv", null, "0"]]', b'[["a\\u0000", null, "0"]]', b'[["\\ud800", null, "0"]]', b"1e999999"],
)  # fmt: skip
def test_a_list_that_no_save_has_written_is_refused_in_words(tmp_path, raw):
    folder = made_folder(tmp_path / "bench")
    bench = rk.read_bench(folder)
    (folder / JOURNAL).write_bytes(raw)
    for work in (lambda: rk.read_bench(folder), lambda: rk.write_bench(bench, folder)):
        with pytest.raises(
            rk.DataError,
            match=r"the last save of this folder was cut off|list of a save that was cut off, cannot be read",
        ):
            work()


# --- refused --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("number", "once"), [(errno.ENOSPC, True), (errno.EACCES, False), (errno.EIO, False)])
def test_a_disk_that_refuses_any_operation_leaves_all_or_nothing(tmp_path, number, once):
    old = contents(made_folder(tmp_path / "from"))
    new = {name: raw + b"\n" for name, raw in old.items()}
    whole = made_folder(tmp_path / "whole")
    for at in every_operation(lambda: save(new, whole, old)):
        folder, words = made_folder(tmp_path / f"{at}"), ""
        with disk_that(lambda: OSError(number, os.strerror(number)), at, once):
            try:
                save(new, folder, old)
            except rk.DataError as error:
                words = str(error)
        if "nothing was saved" in words:
            assert words.startswith(f"'{folder}': nothing was saved")
            left = contents(folder)
            assert left == old or (not once and old.items() <= left.items())
            assert as_read(folder) == old
        else:
            assert not words or "the save is decided and is what will be read" in words
            assert as_read(folder) == new
        save(new, folder, old)
        assert contents(folder) == new


def test_a_full_disk_is_told_with_place_and_remedy(tmp_path):
    bench = rk.read_bench(made_folder(tmp_path / "from"))
    with disk_that(lambda: OSError(errno.ENOSPC, "No space left on device"), 3), pytest.raises(rk.DataError) as caught:
        rk.write_bench(bench, tmp_path / "to")
    assert str(caught.value) == (
        f"'{tmp_path / 'to'}': nothing was saved: the disk is full; free some space, or name a folder in another place"
    )


PLACES = {
    "a zero byte": (lambda to: f"{to}/a\0b", "holds a zero byte, which no name can hold; type the name anew"),
    "half a character": (lambda to: f"{to}/a\ud800b", "holds a broken character, which no name can hold; type the name anew"),
    "a long name": (lambda to: f"{to}/{'x' * 256}", "nothing was saved: the name is too long; name a folder with a shorter name"),
    "a long path": (lambda to: f"{to}/{'x/' * 3000}y", "nothing was saved: the name is too long; name a folder with a shorter name"),
    "no name": (lambda to: " ", "no folder is named to save into; name a new or an empty one"),
    "no such parent": (lambda to: f"{to}/no/bench", "is no folder; make it first, or name another"),
    "a file": (lambda to: f"{to}/file", "is a file; name a folder"),
    "below a file": (lambda to: f"{to}/file/bench", "is no folder; make it first, or name another"),
    "a device": (lambda to: "/dev/null", "is a file; name a folder"),
    "a link to nothing": (lambda to: f"{to}/lost", "is a link to a place that is not there; take the link away, or name another folder"),
    "a circle of links": (lambda to: f"{to}/round", "nothing was saved: its links lead in a circle; name a folder in another place"),
    "a linked file in it": (lambda to: f"{to}/linked", "'bench.toml' is a link to a place that is not there; nothing was saved. Take the link away"),
    "a folder for a file": (lambda to: f"{to}/folders", "'bench.toml': it is a folder or a device, not a file; nothing was saved"),
}  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_a_place_that_cannot_be_saved_into(tmp_path, place):
    bench = rk.read_bench(made_folder(tmp_path / "from"))
    (tmp_path / "file").write_text("x")
    (tmp_path / "lost").symlink_to(tmp_path / "nowhere")
    (tmp_path / "round").symlink_to(tmp_path / "round")
    (tmp_path / "linked").mkdir()
    (tmp_path / "linked" / "bench.toml").symlink_to(tmp_path / "nowhere")
    (tmp_path / "folders" / "bench.toml" / "in").mkdir(parents=True)
    (tmp_path / "folders" / "bench.toml" / "in" / "it").write_text("x")
    where, words = PLACES[place]
    before = contents(tmp_path)
    for work in (lambda to: rk.write_bench(bench, to), lambda to: rk.new_bench(to, "spread")):
        with pytest.raises(rk.DataError) as caught:
            work(where(tmp_path))
        assert words in str(caught.value) or "is not empty" in str(caught.value)
        assert len(str(caught.value)) < 600
        assert str(caught.value).isprintable()
    assert contents(tmp_path) == before


def begun(work, *to_close):
    """Begin `work()` in a process of its own; return how to wait for what it returns, as text."""
    ours, its = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            [os.close(handle) for handle in to_close]
            said = work()
        except BaseException as error:
            said = f"TRACEBACK {error!r}"
        os.write(its, said.encode(errors="replace"))
        os._exit(0)
    os.close(its)

    def answer():
        with os.fdopen(ours, "rb") as opened:
            said = opened.read().decode()
        os.waitpid(child, 0)
        return said

    return answer


def test_a_file_too_large_for_the_system(tmp_path):
    import resource

    curve = rk.FlowCurve(shear_rate=np.linspace(1, 9, 3000), shear_stress=np.linspace(11, 19, 3000), uncertainty=1.0)

    def work():
        resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, 10_000))
        return told(rk.Bench(rk.Specimen(), [curve]), tmp_path / "to", lambda: None)

    assert begun(work)() == (
        f"'{tmp_path / 'to'}': nothing was saved: a file would be larger than this system allows; name a folder in another place"
    )
    assert not (tmp_path / "to").exists()


@pytest.mark.skipif(os.name != "posix" or os.getuid() != 0, reason="becomes another user, who has no permission")
@pytest.mark.parametrize("protected", ["folder", "subfolder", "file", "new"])
def test_what_may_not_be_written(open_tmp_path, protected):
    folder = made_folder(open_tmp_path / "bench")
    bench = rk.read_bench(folder)
    for path in open_tmp_path.rglob("*"):
        path.chmod(0o755 if path.is_dir() else 0o644)
    if protected != "new":
        for path in (open_tmp_path, folder, *folder.rglob("*")):
            os.chown(path, 12345, 12345)
        os.chown({"folder": folder, "subfolder": folder / "raw", "file": folder / "curve.csv"}[protected], 0, 0)
    before = contents(folder)

    def work():
        os.setuid(12345)
        return told(changed(bench), folder if protected != "new" else open_tmp_path / "another", lambda: None)

    said = begun(work)()
    assert contents(folder) == before and not (open_tmp_path / "another").exists()
    if protected in ("folder", "new"):
        assert (
            "nothing was saved: writing there is not permitted; change its permissions, or name a folder in another place"
            in said
        )
    else:
        assert (
            "may not be changed; nothing was saved. Close it in other programs, lift its write protection, or save into a new folder"
            in said
        )


def test_a_folder_deleted_meanwhile_is_made_anew(tmp_path):
    import shutil

    folder = made_folder(tmp_path / "bench")
    bench = rk.read_bench(folder)
    shutil.rmtree(folder)
    assert same_benches(rk.write_bench(changed(bench), folder), changed(bench))


# --- two at once ----------------------------------------------------------------------------------------------------


def told(bench, to, wait):
    """Save after all have come so far, and return what is said."""
    wait()
    try:
        rk.write_bench(bench, to)
    except rk.DataError as error:
        return str(error)
    return "saved"


@pytest.mark.slow
@pytest.mark.parametrize("new", [False, True])
def test_of_threads_that_save_at_once_one_is_done_and_the_others_are_told(tmp_path, new):
    for trial in range(6):
        source = made_folder(tmp_path / f"{trial}")
        to = tmp_path / f"new {trial}" if new else source
        benches = {factor: changed(rk.read_bench(source), factor) for factor in (1.5, 2.0, 3.0)}
        together, said = threading.Barrier(3), {}
        threads = [
            threading.Thread(
                target=lambda at, one, put=said, to=to, wait=together.wait: put.update({at: told(one, to, wait)}),
                args=pair,
            )
            for pair in benches.items()
        ]
        [thread.start() for thread in threads]
        [thread.join() for thread in threads]
        (winner,) = [factor for factor, words in said.items() if words == "saved"]
        assert rk.read_bench(to).tests[0].shear_stress[0] == pytest.approx(100 * winner, rel=1e-12)
        assert all("nothing was written" in words for words in said.values() if words != "saved")
        assert set(contents(to)) == {"bench.toml", "curve.csv", "raw/vane.csv"}


def test_of_programs_that_save_at_once_one_is_done_and_the_other_is_told(tmp_path):
    for trial in range(6):
        folder, go = made_folder(tmp_path / f"{trial}"), os.pipe()
        benches = {factor: changed(rk.read_bench(folder), factor) for factor in (1.5, 2.0)}
        answers = {}
        for factor, bench in benches.items():
            answers[factor] = begun(
                lambda bench=bench, go=go, to=folder: told(bench, to, lambda: os.read(go[0], 1)), go[1]
            )
        os.close(go[1])  # both go
        said = {factor: answer() for factor, answer in answers.items()}
        (winner,) = [factor for factor, words in said.items() if words == "saved"]
        assert all("nothing was written" in words for words in said.values() if words != "saved"), said
        assert rk.read_bench(folder).tests[0].shear_stress[0] == pytest.approx(100 * winner, rel=1e-12)


def test_who_took_a_test_out_does_not_lose_what_another_changed_in_it(tmp_path):
    folder = made_folder(tmp_path / "bench")
    one, two = rk.read_bench(folder), rk.read_bench(folder)
    curve, vane = one.tests
    rk.write_bench(rk.Bench(one.specimen, [curve.where([True, False]), vane], one.origin), folder)
    with pytest.raises(rk.DataError, match=r"holds another 'curve.csv', or it was changed since"):
        rk.write_bench(two.where(lambda test: test.kind == "vane peak"), folder)


def test_a_killed_saver_holds_no_lock_and_a_busy_one_is_told_of(tmp_path, monkeypatch):
    folder = made_folder(tmp_path / "bench")
    bench = rk.read_bench(folder)
    monkeypatch.setattr(locking, "PATIENCE", 0.2)
    ready = os.pipe()
    if (child := os.fork()) == 0:
        with locking.alone(folder):
            os.write(ready[1], b"x")
            signal.pause()
    os.read(ready[0], 1)
    with pytest.raises(rk.DataError) as caught:
        rk.write_bench(changed(bench), folder)
    assert str(caught.value) == (
        f"'{folder}' is being saved into by another window or program for more than 0.2 s; nothing was saved. Wait until that is done "
        "and save again"
    )
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    assert locking.LOCK in contents(folder)
    rk.write_bench(changed(bench), folder)
    assert locking.LOCK not in contents(folder)


@pytest.mark.slow
def test_a_folder_that_is_read_while_it_is_saved_is_read_before_or_after(tmp_path):
    folder = made_folder(tmp_path / "bench")
    stop, seen = threading.Event(), set()

    def save():
        bench, ways = (
            rk.read_bench(folder),
            cycle([1.01] * 50 + [1 / 1.01] * 50),
        )  # a stress that only rose would soon be doubted
        while not stop.is_set():
            bench = rk.write_bench(changed(bench, next(ways)), folder)
            stop.wait(0.02)  # a reader has a moment, as between two saves of a person

    saver = threading.Thread(target=save)
    saver.start()
    try:
        for reads in range(1000):  # on a busy machine there are many between two saves
            if reads >= 40 and len(seen) > 3:
                break
            curve, vane = rk.read_bench(folder).tests
            pair = curve.shear_stress[0] / 100, vane.torque[0] / 0.0125
            assert pair[0] == pytest.approx(pair[1], rel=1e-9), "a file of one save with a file of another"
            seen.add(pair[0])
    finally:
        stop.set()
        saver.join()
    assert len(seen) > 3
