"""Commands that write designs: they report first, write all or nothing, and never overwrite a file unasked."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from benchmate.commands.shared.output import write_content
from benchmate.design_files.load import load, parse
from benchmate.families.alpha.body import Alpha
from benchmate.files.atomic_write import AlreadyExists, NotWritten
from tests.loaded import run
from tests.running import COMMAND, PATIENCE, environment


def test_letters_are_written_to_standard_output(tmp_path: Path) -> None:
    done = run("letters", "Ünder Way 7!", "--rows", "5", home=tmp_path)
    assert done.status == 0
    design, problems = parse(done.out)
    assert problems == []
    assert design is not None
    assert (design.title, design.family.name) == ("Ünder Way 7!", "alpha")
    assert design.start == "fold-over-a-pin"
    assert "knots wide" in done.err
    assert "rows long" in done.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["Kai", "--colours", "deep=#0b3c5d", "ivory", "--border", "rust=#b5523b"],
        ["--colours", "deep=#0b3c5d,ivory", "Kai", "--border", "rust=#b5523b"],
        ["--border", "rust=#b5523b", "--colours", "deep=#0b3c5d", "ivory", "Kai"],
    ],
)
def test_letters_in_your_own_threads(tmp_path: Path, arguments: list[str]) -> None:
    design, _ = parse(run("letters", *arguments, home=tmp_path).out)
    assert design is not None
    assert isinstance(design.body, Alpha)
    assert {name: colour.value for name, colour in design.colours.items()} == {
        "ivory": "#fffff0",
        "deep": "#0b3c5d",
        "rust": "#b5523b",
    }
    assert set(design.body.rows[0]) == {"rust"}
    assert design.title == "Kai"


def test_letters_in_a_border_of_a_chosen_colour(tmp_path: Path) -> None:
    done = run("letters", "--border", "Kai", "--length", "165", "--no-start", home=tmp_path)
    design, _ = parse(done.out)
    assert design is not None
    assert isinstance(design.body, Alpha)
    assert (len(design.colours), design.title, design.start) == (3, "Kai", None)
    assert len(design.body.rows) == 87
    assert "87 rows long (16.5 cm)" in done.err


def test_a_start_beside_the_file_to_write(tmp_path: Path) -> None:
    loop = "benchmate: 1\ntitle: A loop\nfamily: steps\ncolours: {a: red}\nsteps: [{do: Make a loop}]\n"
    (tmp_path / "my-loop.yaml").write_text(loop, encoding="utf-8")
    file = tmp_path / "kai.yaml"
    Image.new("RGB", (8, 8), "teal").save(tmp_path / "teal.png")
    for command in (["letters", "Kai"], ["picture", str(tmp_path / "teal.png"), "--columns", "8", "--force"]):
        done = run(*command, "--start", "my-loop", "--finish", "twisted-tie", "-o", file, home=tmp_path / "home")
        assert done.status == 0
        design = load(str(file)).design
        assert (design.start, design.finish) == ("my-loop", "twisted-tie")
    # Elsewhere there is no such design.
    (tmp_path / "home").mkdir(exist_ok=True)
    assert run("letters", "Kai", "--start", "my-loop", home=tmp_path / "home", cwd=tmp_path / "home").status == 2
    assert run("letters", "Kai", "--start", "my-loop", home=tmp_path / "home", cwd=tmp_path).status == 0


def test_a_band_with_no_room_for_the_usual_start_has_none(tmp_path: Path) -> None:
    done = run("letters", "A", "--length", "42222", home=tmp_path)
    assert done.status == 0
    assert "start:" not in done.out
    assert "Left out the start `fold-over-a-pin`: with its start and finish, the design makes" in done.err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["letters", "a\U0001f600b"], "U+1F600, place 2"),
        (["letters", ""], "the text is empty"),
        (["letters", "a\x1b[2J"], "U+001B at place 2"),
        (["letters", "a", "--rows", "6"], "--rows"),
        (["letters", "W" * 20000], "the limit is 200000"),
        (["letters", "a", "--length", "10"], "the text takes"),
        (["letters", "a", "--length", "0"], "must be a whole number from 1"),
        (["letters", "a", "--colours", "deep"], "--colours: `deep` must be NAME=COLOUR"),
        (["letters", "a", "--colours", "navy", "deep=navy"], "the letters and the ground have the same colour"),
        (["letters", "a", "--colours", "a=teal", "b=red", "c=tan"], "--colours takes two threads"),
        (["letters", "a", "--colours", "navy,ivory", "--border", "navy=red"], "two threads are called `navy`"),
        (["letters", "a", "--border", "glass"], "--border: `glass` must be NAME=COLOUR"),
        (["letters", "--border", "tan"], "the following arguments are required: TEXT"),
        (["letters", "a", "--start", "nowhere"], "no design `nowhere.yaml` for `start` beside this file or among"),
        (["letters", "a", "--finish", "first-stripe"], "must be of the family `steps` (found `diagonal`)"),
        (["letters", "a", "--start", "../a"], "`../a` must be the name of a design, without folder or ending"),
        (["letters", "a", "--start", "plaited-loop", "--no-start"], "not allowed with"),
        (["picture", "IMAGE", "--columns", "8", "--finish", "nowhere"], "no design `nowhere.yaml` for `finish`"),
        (["picture", "x.png"], "--columns"),
        (["picture", "IMAGE", "--columns", "501"], "the number of columns must be a whole number from 1 to 500"),
        (["picture", "IMAGE", "--columns", "8", "--colours", "deep"], "`deep` must be NAME=COLOUR"),
        (["picture", "IMAGE", "--columns", "8", "--colours", "a b=teal"], "`a b=teal` must be NAME=COLOUR"),
        (["picture", "IMAGE", "--columns", "8", "--colours", "a=teal,a=red"], "`a` is given twice"),
        (["picture", "IMAGE", "--columns", "8", "--tidy", "--dither"], "choose one"),
        (["picture", "IMAGE", "--columns", "8", "--ground", "glass"], "`glass` is not a CSS colour"),
    ],
)
def test_a_faulty_command_line(tmp_path: Path, arguments: list[str], message: str) -> None:
    Image.new("RGB", (8, 8), "teal").save(tmp_path / "image.png")
    given = [str(tmp_path / "image.png") if each == "IMAGE" else each for each in arguments]
    done = run(*given, home=tmp_path / "home")
    assert (done.status, done.out) == (2, "")
    assert message in done.err
    assert "\x1b" not in done.err


def test_a_picture_is_charted_with_your_own_threads(tmp_path: Path) -> None:
    image = Image.new("RGB", (40, 40), "#f4f1de")
    image.paste("#0b3c5d", (0, 20, 40, 40))
    image.save(tmp_path / "half.png")
    out = tmp_path / "half.yaml"
    threads = ["--colours", "night=#0b3c5d", "cream=#f4f1de,rust=#b5523b"]
    done = run("picture", tmp_path / "half.png", "--columns", "8", *threads, "-o", out, home=tmp_path / "home")
    assert (done.status, done.out) == (0, "")
    design = load(str(out)).design
    assert design.title == "half"
    assert {name: colour.value for name, colour in design.colours.items()} == {"night": "#0b3c5d", "cream": "#f4f1de"}


def test_a_bad_image_is_exit_status_1(tmp_path: Path) -> None:
    (tmp_path / "text.png").write_text("not an image")
    for name in ("text.png", "none.png"):
        done = run("picture", tmp_path / name, "--columns", "8", home=tmp_path / "home")
        assert (done.status, done.out) == (1, "")
        assert done.err.startswith(f"{tmp_path / name}: ")
        assert done.err.count("\n") == 1


def test_a_file_is_never_overwritten_unasked(tmp_path: Path) -> None:
    out = tmp_path / "sign.yaml"
    out.write_text("mine", encoding="utf-8")
    done = run("letters", "sign", "-o", out, home=tmp_path / "home")
    assert (done.status, done.out) == (2, "")
    assert f"{out}: this file exists already; add --force to overwrite it" in done.err
    assert out.read_text(encoding="utf-8") == "mine"
    assert run("letters", "sign", "-o", out, "--force", home=tmp_path / "home").status == 0
    assert load(str(out)).design.title == "sign"
    assert [path.name for path in tmp_path.iterdir()] == ["sign.yaml"]


def test_an_unwritable_place(tmp_path: Path) -> None:
    done = run("letters", "sign", "-o", tmp_path / "nowhere" / "sign.yaml", home=tmp_path / "home")
    assert (done.status, done.out) == (1, "")
    assert "this file cannot be written: No such file or directory" in done.err
    done = run("letters", "sign", "-o", tmp_path, "--force", home=tmp_path / "home")
    assert (done.status, done.out) == (1, "")
    assert "this is a folder, not a file" in done.err


def test_a_file_that_appears_while_writing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "sign.yaml"
    real = os.fsync

    def other_writes(descriptor: int) -> None:
        file.write_text("theirs", encoding="utf-8")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", other_writes)
    with pytest.raises(AlreadyExists):
        write_content("ours", str(file))
    assert file.read_text(encoding="utf-8") == "theirs"
    assert [path.name for path in tmp_path.iterdir()] == ["sign.yaml"]


def test_a_full_disk_leaves_no_trace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "sign.yaml"
    file.write_text("mine", encoding="utf-8")

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match="disk full; this file was not written"):
        write_content("ours", str(file), force=True)
    assert file.read_text(encoding="utf-8") == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["sign.yaml"]


def test_writing_through_a_link_writes_its_target(tmp_path: Path) -> None:
    real, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    real.write_text("mine", encoding="utf-8")
    link.symlink_to(real)
    with pytest.raises(AlreadyExists):
        write_content("ours", str(link))
    write_content("ours", str(link), force=True)
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") == "ours"


# Standard output, pipes and devices


@pytest.mark.parametrize("name", ["-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"])
def test_standard_output_by_its_names(tmp_path: Path, name: str) -> None:
    plain = run("letters", "sign", home=tmp_path / "home")
    assert run("letters", "sign", "-o", name, home=tmp_path / "home", cwd=tmp_path) == plain
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", ["/dev/stdout", "/dev/fd/1"])
def test_standard_output_that_is_a_file_is_continued(tmp_path: Path, name: str) -> None:
    out = tmp_path / "out.yaml"
    out.write_text("# Mine\n", encoding="utf-8")
    with open(out, "ab") as stream:
        subprocess.run(
            [*COMMAND, "letters", "sign", "-o", name],
            stdout=stream,
            stderr=subprocess.DEVNULL,
            env=environment(tmp_path / "home"),
            check=True,
        )
    text = out.read_text(encoding="utf-8")
    assert text.startswith("# Mine\nbenchmate: 1\n")
    assert load(str(out)).design.title == "sign"


def test_standard_error_by_its_name(tmp_path: Path) -> None:
    plain = run("letters", "sign", home=tmp_path / "home")
    done = run("letters", "sign", "-o", "/dev/stderr", home=tmp_path / "home")
    assert (done.status, done.out, done.err) == (0, "", plain.err + plain.out)


def test_a_drawing_and_a_picture_on_standard_output(band: Path, tmp_path: Path) -> None:
    drawn = run("draw", band, "-o", "-", home=tmp_path / "home")
    assert drawn.status == 0
    assert drawn.out.startswith("<svg ")
    assert run("draw", band, "-o", tmp_path / "rain.svg", home=tmp_path / "home").status == 0
    assert (tmp_path / "rain.svg").read_text(encoding="utf-8") == drawn.out
    Image.new("RGB", (8, 8), "teal").save(tmp_path / "teal.png")
    charted = run("picture", tmp_path / "teal.png", "--columns", "4", "-o", "-", home=tmp_path / "home")
    assert parse(charted.out)[1] == []


def test_a_file_called_like_standard_output_can_be_written(tmp_path: Path) -> None:
    assert run("letters", "sign", "-o", "./-", home=tmp_path / "home", cwd=tmp_path).out == ""
    assert load(str(tmp_path / "-")).design.title == "sign"


@pytest.mark.parametrize("force", [[], ["--force"]])
def test_a_design_goes_into_a_pipe_that_is_waited_for(tmp_path: Path, force: list[str]) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    plain = run("letters", "sign", home=tmp_path / "home")
    # Only when all lines were read on standard error does anything open the pipe.
    read_late = (
        '"$@" 2>&1 >&3 | { read -r one; read -r two; read -r three;'
        ' printf "%s\\n%s\\n%s\\n" "$one" "$two" "$three" >&2; cat "$PIPE"; }'
    )
    done = subprocess.run(
        ["/bin/sh", "-c", f"exec 3>&1; {read_late}", "sh", *COMMAND, "letters", "sign", "-o", str(pipe), *force],
        capture_output=True,
        text=True,
        env=environment(tmp_path / "home", {"PIPE": str(pipe)}),
        timeout=PATIENCE,
        check=True,
    )
    assert done.stderr == f"{plain.err}{pipe}: waiting for a program to read this pipe\n"
    assert done.stdout == plain.out
    assert pipe.is_fifo()


def test_waiting_for_a_reader_can_be_ended(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with subprocess.Popen(
        [*COMMAND, "letters", "sign", "-o", str(pipe)], stderr=subprocess.PIPE, env=environment(tmp_path / "home")
    ) as process:
        assert process.stderr is not None
        # The size, the thread, and that it waits.
        for _ in range(3):
            process.stderr.readline()
        process.send_signal(2)
        process.wait(PATIENCE)
        assert process.stderr.read() == b""
    assert pipe.is_fifo()


@pytest.mark.parametrize(("name", "begins"), [("band.png", b"\x89PNG"), ("band.svg", b"<svg"), ("band", b"<svg")])
def test_a_drawing_goes_into_a_pipe_by_its_ending(band: Path, tmp_path: Path, name: str, begins: bytes) -> None:
    pipe = tmp_path / name
    os.mkfifo(pipe)
    done = subprocess.run(
        ["/bin/sh", "-c", '"$@" & cat "$PIPE"; wait', "sh", *COMMAND, "draw", str(band), "-o", str(pipe)],
        capture_output=True,
        env=environment(tmp_path / "home", {"PIPE": str(pipe)}),
        timeout=PATIENCE,
        check=True,
    )
    assert done.stdout.startswith(begins)
    assert pipe.is_fifo()


def test_a_full_disk_for_the_file_is_exit_status_3(tmp_path: Path) -> None:
    out = tmp_path / "sign.yaml"
    program = (
        "import errno, os, sys; sys.argv = ['benchmate', 'letters', 'sign', '-o', sys.argv[1]]\n"
        "def full(descriptor): raise OSError(errno.EDQUOT, 'Disk quota exceeded')\n"
        "os.fsync = full\nfrom benchmate.cli import run\nrun()"
    )
    command = [sys.executable, "-c", program, str(out)]
    done = subprocess.run(command, capture_output=True, text=True, env=environment(tmp_path / "home"), check=False)
    assert (done.returncode, done.stdout) == (3, "")
    assert done.stderr.endswith(f"{out}: disk full; this file was not written\n")
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", ["x" * 250 + ".yaml", "縄" * 83 + ".yaml"], ids=["plain", "wide"])
def test_names_as_long_as_they_may_be(tmp_path: Path, name: str) -> None:
    file = tmp_path / name
    home = tmp_path / "home"
    assert run("letters", "sign", "-o", file, home=home).status == 0
    assert load(str(file)).design.title == "sign"
    assert run("check", file, home=home).status == 0
    assert run("follow", file, "--plain", home=home, given="\n").status == 0
    assert name in run("pieces", home=home).out
    assert run("draw", file, "-o", file.with_suffix(".svg"), home=home).status == 0
    Image.new("RGB", (8, 8), "teal").save(file.with_suffix(".png"))
    chart = run("picture", file.with_suffix(".png"), "--columns", "4", "-o", file, "--force", home=home)
    assert chart.status == 0
    assert load(str(file)).design.title == name[:60]


@pytest.mark.parametrize(
    "command", [["check"], ["order"], ["follow", "--plain"], ["draw"], ["picture", "--columns", "4"]]
)
def test_a_name_too_long_to_be_a_file(tmp_path: Path, command: list[str]) -> None:
    name = "x/" * 3000 if command == ["check"] else "x" * 300
    done = run(*command, name, home=tmp_path / "home")
    assert (done.status, done.out) == (1, "")
    assert done.err.endswith(f"{name}: this file cannot be read: File name too long\n")


def test_a_name_too_long_to_be_written(tmp_path: Path) -> None:
    done = run("letters", "sign", "-o", "x" * 300, home=tmp_path / "home")
    assert (done.status, done.out) == (1, "")
    assert done.err.endswith("x: this file cannot be written: File name too long\n")


def test_content_on_standard_output_passes_the_gate_and_bytes_do_not(
    capsysbinary: pytest.CaptureFixture[bytes],
) -> None:
    write_content("é\x1b[2J\n", "-")
    write_content(b"\x1b\x00", None)
    assert capsysbinary.readouterr().out == "é?[2J\n".encode() + b"\x1b\x00"
