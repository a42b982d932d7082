"""Commands that write designs: they report first, write all or nothing, and never overwrite a file unasked."""

import os
from pathlib import Path

import pytest
from PIL import Image

from benchmate.commands.output import write_content
from benchmate.design_files.load import load, parse
from benchmate.files.atomic_write import AlreadyExists, NotWritten
from tests.running import run


def test_letters_are_written_to_standard_output(tmp_path: Path) -> None:
    done = run("letters", "Ünder Way 7!", "--rows", "5", home=tmp_path)
    assert done.status == 0
    design, problems = parse(done.out)
    assert problems == []
    assert design is not None
    assert (design.title, design.family.name) == ("Ünder Way 7!", "alpha")
    assert "knots wide" in done.err
    assert "rows long" in done.err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["letters", "a\U0001f600b"], "U+1F600, place 2"),
        (["letters", ""], "the text is empty"),
        (["letters", "a\x1b[2J"], "U+001B at place 2"),
        (["letters", "a", "--rows", "6"], "--rows"),
        (["letters", "W" * 20000], "the limit is 200000"),
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
    with pytest.raises(NotWritten, match="No space left on device"):
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
