"""The command: what it refuses, what it says where its output cannot be taken, and its exit codes."""

import contextlib
import io
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import rheokit as rk
from rheokit import command, progress, reading, terminal
from rheokit.command import codes, completion, fit
from rheokit.command.typed import Hyphened
from rheokit.laws import LAWS

ROOT = Path(rk.__file__).parents[1]
BENCH = str(ROOT / "data" / "gelatin-dope")
LIQUID = [sys.executable, "-m", "rheokit", BENCH, "--law", "Newtonian"]
BETWEEN = "write two numbers above 0, the slowest and the fastest in 1/s, such as --use 5 150."


@pytest.mark.parametrize(
    ("slow", "fast", "words"),
    [
        ("150", "5", "--use 150 5: the slowest rate comes first; write --use 5 150."),
        ("nan", "5", f"--use nan 5: nan is no shear rate; {BETWEEN}"),
        ("0", "0", f"--use 0 0: 0 is no shear rate; {BETWEEN}"),
        ("1", "inf", f"--use 1 inf: inf is no shear rate; {BETWEEN}"),
        ("1", "1e400", f"--use 1 1e400: 1e400 is no shear rate; {BETWEEN}"),
        ("-5", "3", f"--use -5 3: -5 is no shear rate; {BETWEEN}"),
        ("1_0", "50", f"--use 1_0 50: 1_0 is no shear rate; {BETWEEN}"),
        ("5/s", "9/s", f"--use 5/s 9/s: 5/s is no shear rate; {BETWEEN}"),
        ("", "5", f"--use  5:  is no shear rate; {BETWEEN}"),
        ("1,5", "10", "--use 1,5 10: 1,5 has a decimal comma; write 1.5."),
    ],
)
def test_rates_that_are_none_are_refused_with_what_to_write(capsys, slow, fast, words):
    assert command.main([BENCH, "--use", slow, fast]) == 2
    assert capsys.readouterr() == ("", f"{words}\n")


@pytest.mark.parametrize("pair", [(150.0, 5.0), (0.0, 0.0), (-5.0, 3.0), (float("nan"), 5.0), (1.0, float("inf"))])
def test_the_library_refuses_them_too(pair):
    with pytest.raises(rk.DataError, match=r"^fit: use_range = "):
        rk.fit(rk.Newtonian, rk.FlowCurve(shear_rate=[1.0, 2.0], shear_stress=[3.0, 6.0]), use_range=pair)


@pytest.mark.parametrize(
    ("folder", "words"),
    [
        (
            "no\0folder",
            "'no\\x00folder': no folder has a name with a NUL character; name the folder that holds bench.toml.\n",
        ),
        ("nowhere", "'nowhere': there is no such folder"),
        (__file__, "it is a file, so there is no such folder"),
        ("lone\ud800", "'lone\\ud800': there is no such folder"),
        ("a" * 300, "such folder"),
        ("", "'' names no folder; name the one that holds bench.toml, or write . for this one."),
    ],
)
def test_a_folder_that_cannot_be_is_refused(capsys, folder, words):
    assert command.main([folder]) == 2
    out, err = capsys.readouterr()
    assert not out
    assert words in err


def test_a_folder_that_is_not_there_is_made_by_the_command_and_not_by_code(capsys):
    assert command.main(["fit", "nowhere"]) == 2
    told = capsys.readouterr().err
    assert "or make one to fill in with: rheokit new nowhere" in told and "new_bench" not in told


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["new"], "required: folder\n"),
        (["fit", BENCH, "--law", "bingam"], "'bingam' is no flow law; did you mean 'Bingham'"),
        (["fit", BENCH, "--law", "Bingam"], "'Bingam' is no flow law; did you mean 'Bingham'"),
    ],
)
def test_what_is_missing_or_misspelt_is_named_with_what_to_type(capsys, typed, said):
    with pytest.raises(SystemExit):
        command.main(typed)
    assert said in capsys.readouterr().err


def test_a_law_may_be_typed_without_capitals():
    assert Hyphened(LAWS)("herschel-bulkley") == "Herschel-Bulkley" and Hyphened(LAWS)("power-law") == "power law"


def test_a_folder_that_the_system_does_not_open_is_refused(capsys, monkeypatch):
    def shut(folder):
        raise PermissionError(13, "Permission denied", folder)

    monkeypatch.setattr(reading, "read_bench", shut)
    assert command.main(["/shut"]) == 2
    assert capsys.readouterr().err == (
        "'/shut': it cannot be read: Permission denied; see to its permissions, or copy the folder elsewhere.\n"
    )


@pytest.mark.parametrize(
    "wrong", [["--law", "Ketchup", BENCH], [], [BENCH, "--use", "5"], [BENCH, "--use", "-inf", "3"]]
)
def test_arguments_that_are_none_have_the_code_of_arguments(capsys, wrong):
    with pytest.raises(SystemExit) as left:
        command.main(wrong)
    assert left.value.code == 2
    assert "error: " in capsys.readouterr().err


def test_the_help_tells_the_exit_codes(capsys):
    with pytest.raises(SystemExit) as left:
        command.main(["--help"])
    assert left.value.code == 0
    told = " ".join(capsys.readouterr().out.split())
    assert codes.CODES in told


@pytest.mark.parametrize("name", command.SUBCOMMANDS)
def test_each_subcommand_shows_an_example_that_it_takes_and_the_exit_codes(capsys, name):
    with pytest.raises(SystemExit) as left:
        command.main([name, "--help"])
    assert left.value.code == 0
    out = capsys.readouterr().out
    assert codes.CODES in " ".join(out.split())
    example = command.SUBCOMMANDS[name].EXAMPLE
    assert f"example: {example}\n" in out
    called = re.search(r"rheokit [^)]*", example).group()
    assert command.parser().parse_args(shlex.split(called)[1:]).subcommand == name


def test_a_folder_alone_is_fitted(monkeypatch):
    told = []
    monkeypatch.setattr(fit, "run", lambda one: told.append(one) or 0)
    for typed in ([BENCH, "--law", "power law"], ["--law", "power-law", BENCH], ["fit", BENCH, "--law", "power-law"]):
        assert command.main(typed) == 0
    assert {(one.folder, one.law) for one in told} == {(BENCH, "power law")}


def test_a_word_that_is_no_subcommand_is_told_apart_from_a_folder(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as left:
        command.main(["fitt"])
    assert left.value.code == 2
    assert "'fitt' is no subcommand and no folder; did you mean 'fit'?" in capsys.readouterr().err
    (tmp_path / "fitt").mkdir()
    assert command.main(["fitt"]) == 2
    assert "bench.toml" in capsys.readouterr().err


def test_a_new_folder_is_made_once(capsys, tmp_path):
    folder = tmp_path / "my paste"
    assert command.main(["new", str(folder), "loaded-plate", "cup density"]) == 0
    held = sorted(path.name for path in folder.iterdir())
    assert {"bench.toml", "cup-density.csv", "loaded-plate.csv"} <= set(held)
    assert (
        capsys.readouterr().out
        == f'{folder} holds {", ".join(held)}. Fill them in, then: rheokit fit "{folder}", or rheokit open "{folder}"\n'
    )
    assert command.main(["new", str(tmp_path / "other"), "loaded-plates"]) == 2
    assert "no such kind of test: 'loaded-plates'; did you mean 'loaded plate'?" in capsys.readouterr().err
    assert not (tmp_path / "other").exists()
    planned = tmp_path / "planned"
    assert command.main(["new", str(planned)]) == 0
    assert (
        capsys.readouterr().out
        == f"{planned} holds plan.toml. Type the readings into notebook 1: rheokit open {planned}\n"
    )
    assert command.main(["new", str(folder), "sieve"]) == 2
    assert "my paste" in capsys.readouterr().err
    assert sorted(path.name for path in folder.iterdir()) == held


# --- completion ----------------------------------------------------------------------------------------------------------


def completed(tmp_path, *words):
    """Return what bash offers for the last of the words of a command line."""
    with contextlib.redirect_stdout(io.StringIO()) as script:
        assert command.main(["completion", "bash"]) == 0
    line = " ".join(map(shlex.quote, ("rheokit", *words)))
    ask = f"COMP_WORDS=({line}) COMP_CWORD={len(words)}; _rheokit; printf '%s\\n' \"${{COMPREPLY[@]}}\""
    done = subprocess.run(["bash", "-c", f"{script.getvalue()}{ask}"], cwd=tmp_path, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.splitlines()


@pytest.mark.slow
def test_bash_completes_subcommands_options_words_and_folders(tmp_path):
    (tmp_path / "my paste").mkdir()
    (tmp_path / "my.csv").touch()
    assert completed(tmp_path, "f") == ["fit"]
    assert completed(tmp_path, "fit", "my") == ["my paste"]
    assert completed(tmp_path, "fit", "x", "--l") == ["--law"]
    assert completed(tmp_path, "fit", "x", "--law", "po") == ["power-law"]
    assert completed(tmp_path, "fit", "x", "--use", "") == [""]
    assert completed(tmp_path, "new", "my") == ["my paste"]
    assert completed(tmp_path, "new", "my paste", "cup") == ["cup-density"]
    assert completed(tmp_path, "completion", "") == ["bash", "zsh", "fish", "--help"]


@pytest.mark.parametrize("shell", completion.WHERE)
def test_a_script_of_completion_is_one(capsys, shell):
    """A shell that is not installed has no say; bash is wherever these tests run."""
    assert command.main(["completion", shell]) == 0
    script = capsys.readouterr().out
    for name in command.SUBCOMMANDS:
        assert name in script
    if shutil.which(shell):
        assert subprocess.run([shell, "-n"], input=script, text=True, capture_output=True).stderr == ""
    assert shell != "bash" or shutil.which("bash")


class Refusing(io.StringIO):
    """A stream that takes nothing."""

    encoding = "utf-8"

    def write(self, text):
        raise OSError(28, "No space left on device")


def test_output_that_cannot_be_written_has_a_code_of_its_own(capsys, monkeypatch):
    monkeypatch.setattr(fit, "run", lambda told: terminal.write("text", sys.stdout))
    monkeypatch.setattr(sys, "stdout", Refusing())
    assert command.main([BENCH, "--law", "Newtonian"]) == 3
    assert capsys.readouterr().err == (
        "rheokit: the output could not be written: No space left on device. Read it to its end, or write it to a "
        "file on a disk with room.\n"
    )
    monkeypatch.setattr(sys, "stdout", None)
    assert command.main([BENCH, "--law", "Newtonian"]) == 3
    closed = io.StringIO()
    closed.close()
    monkeypatch.setattr(sys, "stdout", closed)
    assert command.main(["--help"]) == 3
    monkeypatch.setattr(sys, "stderr", Refusing())
    assert command.main([BENCH, "--law", "Newtonian"]) == 3


def test_a_fault_of_its_own_is_one_line_and_no_failed_check(capsys, monkeypatch):
    def broken(*given, **more):
        raise KeyError("density")

    monkeypatch.setattr(fit, "run", broken)
    assert command.main([BENCH]) == 4
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith(
        f"rheokit: a fault of {rk.release.version_line()}, not of the readings: KeyError: 'density' (test_command.py, line "
    )
    assert err.endswith("). Please report this line with the folder and the command.\n")
    assert err.count("\n") == 1


def test_an_interruption_ends_quietly(capsys, monkeypatch):
    def interrupted(*given, **more):
        raise KeyboardInterrupt

    monkeypatch.setattr(fit, "run", interrupted)
    assert command.main([BENCH]) == 130
    assert capsys.readouterr() == ("", "")


def written(text, encoding):
    """Return what a stream of some alphabet holds after a text was written to it."""
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    terminal.write(text, stream)
    return stream.buffer.getvalue().decode(encoding)


@pytest.mark.parametrize(
    ("typed", "in_ascii"),
    [
        ("τ_y = 3.5 ± 0.4 Pa·sⁿ", "tau_y = 3.5 +- 0.4 Pa*s^n"),
        ("γ̇ up to 10⁴ 1/s, Δp, kg/m³, 21 °C", "gamma_dot up to 10^4 1/s, Deltap, kg/m^3, 21 deg C"),
        ("Müller 泥", "M\\xfcller \\u6ce5"),
        ("lone \ud800", "lone \\ud800"),
    ],
)
def test_what_an_alphabet_lacks_is_written_in_plain_letters(typed, in_ascii):
    assert written(typed, "ascii") == in_ascii


def test_every_symbol_of_the_nomenclature_has_plain_letters():
    from rheokit.nomenclature import QUANTITIES

    for about in QUANTITIES.values():
        for letter in f"{about.symbol}{about.unit}":
            assert "\\" not in terminal.plain(letter), about.symbol


def test_what_an_alphabet_has_is_kept():
    assert written("3 ± 1 °C, τ", "cp1252") == "3 ± 1 °C, tau"


def test_progress_names_a_step_that_lasts_and_no_quick_one(capsys):
    with terminal.Progress(every=0.2) as hear, progress.told_to(hear):
        progress.step("quick")
        progress.step("slow")
        time.sleep(0.3)
        with progress.part_of("comparing"):
            progress.step("limits 1 of 2")
            time.sleep(0.2)
    assert capsys.readouterr() == ("", "slow ...\ncomparing: limits 1 of 2 ...\n")
    with terminal.Progress(every=5.0) as hear, progress.told_to(hear):
        progress.step("quick")
    assert capsys.readouterr() == ("", "")


@pytest.mark.slow
def test_a_fit_tells_its_steps():
    said = []
    curve = rk.FlowCurve(shear_rate=[1.0, 2.0, 4.0, 8.0], shear_stress=[3.0, 6.1, 11.9, 24.2])
    with progress.told_to(said.append):
        assert rk.fit(rk.PowerLaw, curve).summary
        rk.compare([rk.Newtonian, rk.PowerLaw], curve)
    assert said[0] == "fitting the power law to 4 readings"
    assert "limits 1 of 2: consistency" in said
    assert "limits of the stress at 10 1/s" in said
    assert "checks: kinds agree" in said
    assert "2 of 2: fitting the power law to 4 readings" in said


# --- the command as a process ------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_an_old_terminal_gets_the_whole_answer():
    alphabet = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(LIQUID, capture_output=True, cwd=ROOT, env=os.environ | alphabet)
    assert done.returncode == 0
    assert b"Error" not in done.stderr
    assert b"eta" in done.stdout


@pytest.mark.slow
def test_a_closed_pipe_and_a_full_disk_are_told_in_a_line(tmp_path):
    read, written = os.pipe()
    os.close(read)
    closed = subprocess.run(LIQUID, stdout=written, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    os.close(written)
    with open("/dev/full", "w") as full:
        disk = subprocess.run([*LIQUID, "--help"], stdout=full, stderr=subprocess.PIPE, text=True, cwd=ROOT)
    for done, why in ((closed, "Broken pipe"), (disk, "No space left on device")):
        assert done.returncode == 3
        assert f"rheokit: the output could not be written: {why}. " in done.stderr
        assert "Traceback" not in done.stderr


@pytest.mark.slow
def test_from_a_folder_that_is_gone(tmp_path):
    gone = "mkdir gone && cd gone && rmdir ../gone && exec "
    way = os.environ | {"PYTHONPATH": str(ROOT)}
    there = subprocess.run(
        ["sh", "-c", f"{gone}'{sys.executable}' -m rheokit x"], cwd=tmp_path, env=way, capture_output=True, text=True
    )
    assert there.returncode == 2
    assert there.stderr == (
        "'x': the folder that this command was started in is gone; go to another (cd), or give a whole path.\n"
    )


@pytest.mark.slow
def test_an_interrupted_process_ends_with_130():
    slow = [sys.executable, "-m", "rheokit", str(ROOT / "data" / "trap-plug-slip"), "--compare"]
    running = subprocess.Popen(
        slow, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a shell's background job ignores it
    )  # fmt: skip
    first = running.stderr.readline()  # a line of progress: it is at work
    running.send_signal(signal.SIGINT)
    _, err = running.communicate(timeout=60)
    assert first.endswith(" ...\n")
    assert (running.returncode, "Traceback" in err) == (130, False)


@pytest.mark.slow
def test_interrupted_in_what_python_compiles_as_it_runs(tmp_path):
    """There Python notes an interruption as unhandled and ends itself by the signal, even when it was handled since."""
    (tmp_path / "sitecustomize.py").write_text(
        "import rheokit.reading\nrheokit.reading.read_bench = lambda folder: exec('raise KeyboardInterrupt')\n"
    )
    way = os.environ | {"PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT}"}
    ended = subprocess.run(
        [sys.executable, "-m", "rheokit", "x"], env=way, capture_output=True, text=True, cwd=tmp_path
    )
    assert (ended.returncode, ended.stderr) == (130, "")


def test_a_plan_chooses_law_and_tests_and_is_refused_where_it_cannot_be(tmp_path, capsys):
    folder = tmp_path / "mine"
    shutil.copytree(ROOT / "data" / "olive-stone-paste", folder)
    (folder / "plan.toml").write_text('[fit]\nlaw = "Bingham"\nleave_out = ["land 40 mm"]\n', encoding="utf-8")
    command.main([str(folder)])
    said = capsys.readouterr().out
    assert "Bingham law" in said and "left out, as plan.toml says: land 40 mm" in said
    command.main([str(folder), "--law", "power law"])
    assert "power law" in capsys.readouterr().out
    for spoiled in (
        '[fit]\nlaw = "Bigham"\n',
        "[nozzle]\nbore = 2 mm\n",
        "[machin]\n",
        '[nozzle]\nbore = "-1 mm"\n',
        '[fit]\nleave_out = ["land"]\n',
    ):
        (folder / "plan.toml").write_text(spoiled, encoding="utf-8")
        assert command.main([str(folder)]) == 2
        assert "plan.toml" in capsys.readouterr().err
