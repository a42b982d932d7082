"""`gauge`: what it lists, records and refuses, and what is kept."""

import json
import math
import re
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS, SLIPPERY
from benchmate.craft.thread.learning import prior
from benchmate.craft.thread.learning.learned import LASTS
from benchmate.craft.thread.learning.measured_lengths import FROM_DAY_TO_DAY, UNSURE
from benchmate.craft.thread.observations import Measured, Used
from benchmate.craft.wording.gauge_words import FAR_OFF
from benchmate.files.safe_text import LONGEST_NAME
from benchmate.help.topics import page
from benchmate.store import places
from benchmate.store.checksum import seal
from benchmate.store.database import Database
from benchmate.store.errors import StoreError
from benchmate.store.thread import gauges
from benchmate.store.thread.gauges import OwnThread
from tests.homes import command
from tests.running import CHART, ROOT

SHIPPED = (
    '{"name": "floss", "made_mm": 10.5, "carried_mm": 1.95, "stayed_mm": 1.4, "waited_mm": 1.3, "row_mm": 1.3, '
    '"base_mm": 1.9, "wide_mm": 2.45, "start_mm": 100, "finish_mm": 150, "hold_mm": 50, "tail_mm": 90, "seen": 0}'
)
"""The shipped values of floss, as the contract has them."""


def answer(*arguments: str, home: Path) -> Any:
    """The document of `gauge … --json`."""
    done = command("gauge", *arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    return json.loads(done.out)


def refused(*arguments: str, home: Path) -> str:
    """The last line on standard error of a command line at fault."""
    done = command("gauge", *arguments, home=home)
    assert (done.status, done.out) == (2, "")
    return done.err.splitlines()[-1]


def test_floss_as_shipped(home: Path) -> None:
    found = answer("floss", home=home)
    assert found == json.loads(SHIPPED)
    assert list(found) == list(json.loads(SHIPPED))
    assert not home.exists()


def test_all_gauges_are_listed_the_makers_own_after_the_shipped(home: Path) -> None:
    assert [each["name"] for each in answer(home=home)] == list(KINDS)
    assert not home.exists()
    answer("zephyr", "--used", "40,60,0,20:700", home=home)
    answer("amber cord", "--tex", "900", home=home)
    assert [each["name"] for each in answer(home=home)] == [*KINDS, "amber cord", "zephyr"]
    assert all(each["seen"] == (each["name"] == "zephyr") for each in answer(home=home))


def test_asking_for_an_unknown_name_keeps_nothing(home: Path) -> None:
    assert answer("moss", home=home) == json.loads(SHIPPED) | {"name": "moss"}
    assert not home.exists()


def test_what_was_used_is_kept_for_good(home: Path) -> None:
    first = answer("floss", "--used", "40,60,0,20:690", "--used", "60,40,0,20:860", home=home)
    assert first["seen"] == 2
    assert first["made_mm"] > 10.5
    assert answer("floss", home=home) == first
    second = answer("floss", "--used", "40,60,0,20:690", home=home)
    assert second["seen"] == 3
    # A thread of another name has nothing of it.
    assert answer("moss", home=home)["made_mm"] == 10.5


def test_the_order_of_calls_and_strings_does_not_matter(tmp_path: Path) -> None:
    calls = [
        ["--used", "40,60,0,20:690", "--used", "60,40,0,20:830"],
        ["--used", "30,20,10,60:480", "--measured", "rows:40:50"],
        ["--used", "10,90,0,0:333"],
    ]
    homes = tmp_path / "one", tmp_path / "other"
    for call in calls:
        answer("floss", *call, home=homes[0])
    for what, string, *more in reversed(calls):
        answer("floss", *more, what, string, home=homes[1])
    assert answer("floss", home=homes[0]) == answer("floss", home=homes[1])


def test_strings_of_one_call_share_their_day(tmp_path: Path) -> None:
    """Eight strings of one day say less about other days than eight strings of eight days."""
    strings = ["--used", "40,60,0,20:690"] * 8
    together = answer("floss", *strings, home=tmp_path / "one")
    for _ in range(8):
        apart = answer("floss", "--used", "40,60,0,20:690", home=tmp_path / "other")
    assert together["seen"] == apart["seen"] == 8
    assert abs(apart["made_mm"] - 10.5) > abs(together["made_mm"] - 10.5)


@pytest.mark.parametrize(
    "string",
    [
        "0,0,0,0:5",
        "-1,2,3,4:50",
        "1,-2,3,4:50",
        "40,60,0,20:0",
        "40,60,0,20:-5",
        "40,60,0,20:nan",
        "40,60,0,20:inf",
        "40,60,0,20:1e3",
        "40,60,0,20:99999",
        "40,60,0,20:20",
        "40,60,0:500",
        "40,60,0,20",
        "4.5,60,0,20:500",
        "40,60,0,20,5:500",
        f"{'9' * 30},0,0,0:500",
        "40,60,0,20:\x1b[31m5",
        "",
    ],
)
def test_numbers_that_cannot_be_record_nothing(home: Path, string: str) -> None:
    message = refused("floss", "--used", "40,60,0,20:600", f"--used={string}", home=home)
    assert "--used" in message
    assert "\x1b" not in message
    assert not home.exists()
    answer("floss", "--used", "40,60,0,20:600", home=home)
    before = answer("floss", home=home)
    refused("floss", "--used", "40,60,0,20:600", f"--used={string}", home=home)
    assert answer("floss", home=home) == before


def test_what_cannot_be_is_judged_by_the_gauge_before_the_call(home: Path) -> None:
    # 100 knots made need 1050 mm: from a twentieth to twenty times that.
    for mm, status in (("52.4", 2), ("52.5", 0), ("21000", 0), ("21000.1", 2)):
        assert command("gauge", "moss", "--used", f"100,0,0,0:{mm}", home=home / mm).status == status


def test_lengths_are_read_as_everywhere_else(tmp_path: Path) -> None:
    one = answer("moss", "--used", "100,0,0,0:700.", "--measured", "wide:1:+2.50", home=tmp_path / "one")
    assert one == answer("moss", "--used", "100,0,0,0:700", "--measured", "wide:1:2.5", home=tmp_path / "other")
    assert answer("hemp", "--wraps", "1:.5", home=tmp_path / "one")["made_mm"] == pytest.approx(7.292)


def test_what_was_used_needs_a_name(home: Path) -> None:
    for arguments in (["--used", "40,60,0,20:600"], ["--tex", "200"], ["--measured", "rows:40:52"], ["--slippery"]):
        assert "name the thread first" in refused(*arguments, home=home)
    assert not home.exists()


@pytest.mark.parametrize("name", ["", " moss", "moss ", "a\nb", "a\x1b[31mb", "a\u202eb", "a" * (LONGEST_NAME + 1)])
def test_names_that_are_no_line_of_text_are_refused(home: Path, name: str) -> None:
    message = refused(name, "--used", "40,60,0,20:600", home=home)
    assert not {"\x1b", "\u202e"} & set(message)
    assert not home.exists()


def test_names_of_any_script(home: Path) -> None:
    for name in ("мулине", "coton perlé", "a" * LONGEST_NAME):
        assert answer(name, "--used", "40,60,0,20:600", home=home)["name"] == name
        assert answer(name, home=home)["seen"] == 1
    assert max(map(len, command("gauge", home=home).out.splitlines())) < 120


def test_lengths_that_came_out(home: Path) -> None:
    found = answer("floss", "--measured", "rows:60:96", "--measured", "wide:10:27", home=home)
    assert found["row_mm"] == pytest.approx(1.6, rel=0.03)
    assert found["wide_mm"] == pytest.approx(2.7, rel=0.03)
    assert (found["made_mm"], found["seen"]) == (10.5, 0)
    found = answer("floss", "--measured", "alpha-rows:80:184", "--measured", "base:80:184", home=home)
    assert found["base_mm"] == pytest.approx(2.3, rel=0.1)
    assert found["seen"] == 1


@pytest.mark.parametrize("length", ["rows:0:5", "rows:40:2", "rows:40:1100", "rows:40", "columns:40:52", "rows:-1:5"])
def test_lengths_that_cannot_be(home: Path, length: str) -> None:
    assert "--measured" in refused("floss", "--measured", length, home=home)
    assert not home.exists()


def test_a_thread_of_your_own_by_its_thickness(home: Path) -> None:
    # 0.0373 · √900 = 1.119 mm; 16 mm for 20 turns are 0.8 mm. Floss is 0.72 mm thick.
    assert answer("rope", "--tex", "900", home=home)["made_mm"] == pytest.approx(10.5 * 1.119 / 0.72, abs=1e-3)
    found = answer("cord", "--wraps", "20:16", home=home)
    assert found["made_mm"] == pytest.approx(10.5 * 0.8 / 0.72, abs=1e-3)
    assert found["start_mm"] == FLOSS.start_mm
    # What is said later takes its place; what was measured stays.
    answer("cord", "--used", "40,60,0,20:700", home=home)
    again = answer("cord", "--wraps", "20:18", home=home)
    assert again["seen"] == 1
    assert again["row_mm"] == pytest.approx(1.3 * 0.9 / 0.72, abs=1e-3)


def test_a_thickness_that_cannot_be_or_is_not_yours_to_say(home: Path) -> None:
    for arguments in (["--tex", "0"], ["--tex", "x"], ["--wraps", "0:5"], ["--wraps", "2:99"], ["--wraps", "20"]):
        assert arguments[0] in refused("cord", *arguments, home=home)
    for arguments in (["--tex", "200"], ["--wraps", "20:16"], ["--slippery"]):
        assert "comes with benchmate" in refused("floss", *arguments, home=home)
    refused("cord", "--tex", "200", "--wraps", "20:16", home=home)
    assert not home.exists()


def test_a_slippery_thread_of_your_own(home: Path) -> None:
    assert SLIPPERY in command("gauge", "cord", "--slippery", home=home).out
    assert SLIPPERY in command("gauge", "cord", "--tex", "200", home=home).out
    assert json.loads(command("gauge", "cord", "--json", home=home).out)["tail_mm"] == 180.0
    assert SLIPPERY not in command("gauge", "cord", "--no-slippery", home=home).out
    assert json.loads(command("gauge", "cord", "--json", home=home).out)["tail_mm"] == 90.0
    assert SLIPPERY in command("gauge", "metallic", home=home).out
    assert SLIPPERY not in command("gauge", "floss", home=home).out


def test_what_a_person_reads(home: Path) -> None:
    text = command("gauge", "floss", home=home).out
    assert "six-strand embroidery floss; estimated" in text
    assert "10.5 mm" in text
    assert "likely" not in text
    text = command("gauge", "floss", "--used", "40,60,0,20:600", "--used", "60,40,0,20:800", home=home).out
    assert "from 2 strings you measured" in text
    line = next(line for line in text.splitlines() if "a knot made" in line)
    assert "likely" in line
    low, high = (float(number) for number in line.partition("likely ")[2].removesuffix(" mm)").split(" to "))
    assert low < answer("floss", home=home)["made_mm"] < high
    table = command("gauge", home=home).out.splitlines()
    assert len(table) == 1 + len(KINDS)
    assert "from 2 strings you measured" in table[1]
    assert table[2].endswith("estimated")


def test_lengths_in_cm_are_noticed(home: Path) -> None:
    strings = ["--used", "40,60,0,20:60", "--used", "60,40,0,20:80", "--used", "50,50,0,20:70"]
    assert FAR_OFF in command("gauge", "floss", *strings, home=home).out
    # Nothing is expected of a thread of which nothing was said.
    assert FAR_OFF not in command("gauge", "moss", *strings, home=home).out
    assert FAR_OFF not in command("gauge", "wool", "--used", "40,60,0,20:900", home=home).out


def test_inches_for_those_who_have_them(home: Path) -> None:
    home.mkdir()
    places.settings_file().write_text("units: inches\n", encoding="utf-8")
    text = command("gauge", "floss", home=home).out
    assert "0.413 in" in text
    assert " mm" not in text
    assert " cm" not in text
    assert answer("floss", home=home)["made_mm"] == 10.5


def test_a_design_may_name_any_gauge(home: Path, tmp_path: Path) -> None:
    design = tmp_path / "stripe.yaml"
    for name in ("floss", "amber-cord", "amber cord", "мулине"):
        design.write_text(CHART.replace("family:", f"thread: {name}\nfamily:"), encoding="utf-8")
        answer(name, "--used", "40,60,0,20:600", home=home)
        assert "thread" not in command("check", design, home=home).err.removeprefix(str(design))
        found = json.loads(command("thread", design, "--json", home=home).out)
        assert found["gauge"] == answer(name, home=home)


# What is kept


def recorded(seen: list[Used | Measured], name: str = "floss", piece: int | None = None) -> int:
    """Records something in the home of this test."""
    with closing(Database(places.home())) as database:
        return gauges.record(database, name, seen, piece=piece)


def test_what_was_recorded_can_be_taken_back(home: Path) -> None:
    recorded([Used(Counts(40, 60, 0, 20), 600.0)])
    before = answer("floss", home=home)
    number = recorded([Used(Counts(40, 60, 0, 20), 900.0), Measured("rows", 40, 60.0)])
    assert answer("floss", home=home)["seen"] == 2
    with closing(Database(places.home())) as database:
        for _ in range(2):
            gauges.take_back(database, number)
            assert answer("floss", home=home) == before
        with pytest.raises(StoreError, match="are gone"):
            gauges.take_back(database, 99)


def test_measures_of_one_piece_are_one_day(home: Path) -> None:
    recorded([Measured("rows", 20, 30.0)], piece=7)
    recorded([Measured("rows", 40, 60.0)], piece=7)
    one = gauges.estimate_of(places.home(), "floss")
    recorded([Measured("rows", 20, 30.0)], "moss", piece=7)
    recorded([Measured("rows", 40, 60.0)], "moss", piece=8)
    two = gauges.estimate_of(places.home(), "moss")
    assert one is not None
    assert two is not None
    assert one.gauge.row_mm < two.gauge.row_mm


def test_a_name_is_known_when_it_is_shipped_or_kept(home: Path) -> None:
    assert gauges.estimate_of(places.home(), "moss") is None
    assert gauges.own_thread(places.home(), "moss") is None
    for name in KINDS:
        estimate = gauges.estimate_of(places.home(), name)
        assert estimate is not None
        assert estimate.gauge == KINDS[name].gauge
    assert not home.exists()
    answer("moss", "--wraps", "10:9", home=home)
    assert gauges.own_thread(places.home(), "moss") == OwnThread(0.9, False)
    assert gauges.estimate_of(places.home(), "moss") is not None


def test_damaged_measurements_are_left_out_and_said(home: Path) -> None:
    recorded([Used(Counts(40, 60, 0, 20), 600.0)])
    before = answer("floss", home=home)
    recorded([Used(Counts(40, 60, 0, 20), 800.0)])
    with closing(Database(places.home())) as database:
        database.connection.execute("UPDATE seen SET mm = 801 WHERE mm = 800")
        done = command("gauge", "floss", "--json", home=home)
        assert (done.status, json.loads(done.out)) == (0, before)
        assert "is damaged (what was measured is not what was written)" in done.err
        assert gauges.damaged_in(places.home()) == ["floss"]
        assert "damaged and left out" in command("gauge", "floss", home=home).out
        assert "damaged" not in command("gauge", "wool", home=home).out
        database.connection.execute(seal("seen"))
    assert gauges.damaged_in(places.home()) == []
    assert answer("floss", home=home)["seen"] == 2


def test_nothing_is_learned_where_nothing_was_measured(home: Path) -> None:
    program = (
        "import sys; from benchmate.cli import main; main(['gauge', 'floss']);"
        "assert not [name for name in sys.modules if 'learning' in name]"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_the_page_says_what_the_learning_expects() -> None:
    text = " ".join(" ".join(page("gauge", 400)).split())
    for kind in KINDS.values():
        assert re.search(rf"\b{kind.name} .*?\b{kind.thickness_mm:g} mm{'; slippery' if kind.caution else ''}", text)
    both = math.hypot(prior.COMMON, prior.OWN)
    assert f"differ from the estimate by about {both:.0%}"[:-1] in text
    assert f"{prior.COMMON:.0%}"[:-1] + " that all numbers share" in text
    assert f"{prior.OWN:.0%}"[:-1] + " of its own" in text
    noise, tension = (f"{median:.0%}"[:-1] for median, _ in (prior.NOISE, prior.TENSION))
    assert f"expected to be about {noise} percent and the tension of a day about {tension}" in text
    assert f"One entry in {1 / prior.MISTAKEN:.0f} " in text
    assert f"about {UNSURE:.0%}"[:-1] + f" percent from the estimate, and by {FROM_DAY_TO_DAY:.0%}"[:-1] in text
    assert LASTS == 0.99
    assert "the highest need in a hundred" in text


def test_a_string_that_used_far_less_than_expected_is_asked_about_and_kept(home: Path) -> None:
    done = command("gauge", "floss", "--used", "40,60,0,20:60", home=home)
    assert "6 cm? What such a string uses is usually 40.2 cm to 78.8 cm. If that is a slip, take it back" in done.err
    assert json.loads(command("gauge", "floss", "--json", home=home).out)["seen"] == 1
    assert command("gauge", "floss", "--used", "40,60,0,20:560", home=home).err == ""
