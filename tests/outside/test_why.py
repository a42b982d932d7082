"""`why` against a search that knots every candidate from the first knot to the last, in plain Python.

Nothing of the program is used for the answer expected: the rules of the knots are written down here once more.
"""

import json
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from math import log2
from pathlib import Path
from random import Random
from statistics import fmean
from typing import Any, NamedTuple

import pytest

from benchmate.cli import main
from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import made_of, token
from benchmate.families.diagonal.trouble import why as why_module
from benchmate.families.diagonal.trouble.why import why
from benchmate.families.diagonal.trouble.why_pairs import Pairs
from benchmate.families.diagonal.trouble.why_sight import Sight
from benchmate.families.diagonal.trouble.why_single import singles
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import chart
from tests.measure.sample_charts import SORTS, Size, rows_of

WAYS = ("f", "b", "fb", "bf", "-")
MIRROR = {"f": "b", "b": "f", "fb": "bf", "bf": "fb", "-": "-"}
MOST_LISTED = 200
DESIGNS = 600
MOST_DONE = 24
MOST_SHOWN = 3
"""The most knots that are said to show a colour."""

ALL_SORTS = ("charted, asks nothing", "none, asks nothing", "1, asks", "1, asks nothing", "2, asks", "2, asks nothing")
EFFECTS = {
    "f": ("", "C", "O", "C+O", "gap+O"),
    "b": ("C", "", "C+O", "O", "gap+O"),
    "fb": ("O", "C+O", "", "C", "gap"),
    "bf": ("C+O", "O", "C", "", "gap"),
}
"""For every charted knot, what each way to make it does: a wrong colour (C), an exchange of its strings (O), a gap."""

Knots = list[tuple[int, str]]
"""The left position of every knot's pair, from 0, and how it is made, in the order of work."""
Candidate = tuple[tuple[int, str], ...]
"""Wrong knots by their places in the order of work, each with how it was made."""


class Band(NamedTuple):
    """The strings as they hang at the start, the knots of a band, and the words that ask for it."""

    strings: list[str]
    knots: Knots
    words: list[str]


class Question(NamedTuple):
    """What is asked of `why`: knots by their places in the order of work."""

    band: Band
    done: int
    see: list[str]
    shows: list[tuple[int, str]]


def knotted(strings: Sequence[str], knots: Knots) -> tuple[list[str], list[str]]:
    """The colours of the strings at the end, and what every knot shows."""
    hanging, shown = [*strings], []
    for left, way in knots:
        one, other = hanging[left], hanging[left + 1]
        shown.append({"f": one, "fb": one, "b": other, "bf": other, "-": "-"}[way])
        if way in ("f", "b"):
            hanging[left], hanging[left + 1] = other, one
    return hanging, shown


def candidates(knots: Knots, of_two: bool) -> Iterator[Candidate]:
    """Every way in which one knot, or two, can have been made otherwise."""
    single = [(place, way) for place, (_, charted) in enumerate(knots) for way in WAYS if way != charted]
    if not of_two:
        yield from ((each,) for each in single)
        return
    yield from ((one, other) for one in single for other in single if one[0] < other[0])


def with_mistakes(knots: Knots, wrong: Candidate) -> Knots:
    made = [*knots]
    for place, way in wrong:
        made[place] = (made[place][0], way)
    return made


def expected(question: Question, unasked: Collection[int] = ()) -> dict[str, Any]:
    """The document that answers; knots at the places in `unasked` are not asked about."""
    strings, knots = question.band.strings, question.band.knots[: question.done]

    def explains(wrong: Candidate) -> list[str] | None:
        hanging, shown = knotted(strings, with_mistakes(knots, wrong))
        fits = hanging == question.see and all(shown[place] == colour for place, colour in question.shows)
        return shown if fits else None

    if explains(()) is not None:
        return {"as_charted": True, "mistakes": [], "all": 0, "ask": None}
    for of_two in (False, True):
        found = {wrong: shown for wrong in candidates(knots, of_two) if (shown := explains(wrong)) is not None}
        if found:
            break
    made: dict[tuple[int, ...], list[set[str]]] = {}
    for wrong in found:
        entry = made.setdefault(tuple(place for place, _ in wrong), [set() for _ in wrong])
        for ways, (_, way) in zip(entry, wrong, strict=True):
            ways.add(way)
    listed = sorted(made, reverse=True)[:MOST_LISTED]
    squares = {
        place: sum(count * count for count in Counter(shown[place] for shown in found.values()).values())
        for place in range(len(knots))
        if place not in unasked
    }
    least = min(squares.values(), default=0)
    asked = [place for place, each in squares.items() if each == least and least < len(found) ** 2]
    return {
        "as_charted": False,
        "mistakes": [
            [
                {"knot": place + 1, "made": [way for way in WAYS if way in ways]}
                for place, ways in zip(places, made[places], strict=True)
            ]
            for places in listed
        ],
        "all": len(made),
        "ask": asked[-1] + 1 if asked else None,
    }


def a_band(chance: Random, file: Path) -> Band:
    """A band of any sort, written to a file."""
    kinds = chance.choice((1, 2, 3, 3, 3, 3, 3, 3))
    strings = [chance.choice("abc"[:kinds]) for _ in range(chance.randint(2, 9))]
    ways = chance.choice(("f", "fb", "f b", "f b fb bf", "f b fb bf -", "f f f b", "f f f b fb bf")).split()
    own_starts = chance.random() < 0.3
    rows: list[tuple[int, list[str]]] = []
    for at in range(chance.choice((1, 2, 5, 7, 8, 9))):
        start = chance.randint(1, len(strings)) if own_starts else 1 + at % 2
        rows.append((start, [chance.choice(ways) for _ in range((len(strings) - start + 1) // 2)]))
    repeats = chance.randint(1, 3) if rows[0][0] != rows[-1][0] else 1
    file.write_text(
        "benchmate: 1\ntitle: Band\nfamily: diagonal\ncolours: {a: teal, b: white, c: '#456'}\n"
        f"strings: [{', '.join(strings)}]\nrows:\n"
        + "".join(f'  - {{start: {start}, knots: "{" ".join(knots)}"}}\n' for start, knots in rows),
        encoding="utf-8",
    )
    words = [str(file), "--repeats", str(repeats)]
    if chance.random() < 0.3:
        words.append("--mirror")
        strings.reverse()
        rows = [
            (len(strings) + 2 - start - 2 * len(knots), [MIRROR[way] for way in reversed(knots)])
            for start, knots in rows
        ]
    knots: Knots = []
    from_right = chance.random() < 0.3
    for start, row in rows * repeats:
        placed = [(start - 1 + 2 * at, way) for at, way in enumerate(row) if way != "-"]
        knots += reversed(placed) if from_right else placed
    return Band(strings, knots, [*words, *(["--from-right"] if from_right else [])])


def by_segments(band: Band, capsys: pytest.CaptureFixture[str]) -> Band:
    """The same knots in the order that `order` lists by segments."""
    words = [*band.words, "--by", "segments"]
    steps = printed(capsys, "order", *words)["steps"]
    knots = [(step["pair"][0] - 1, step["knot"]) for step in steps]
    assert knotted(band.strings, knots)[0] == knotted(band.strings, band.knots)[0]
    return Band(band.strings, knots, words)


def a_question(chance: Random, band: Band) -> Question:
    """What is seen after none to four mistakes, or by eyes that are mistaken themselves."""
    done = min(len(band.knots), MOST_DONE if chance.random() < 0.6 else chance.randint(0, MOST_DONE))
    knots = band.knots[:done]
    places = sorted(chance.sample(range(done), min(done, chance.choice((0, 1, 1, 2, 2, 2, 2, 2, 2, 3, 4)))))
    made = {place: chance.choice(WAYS) for place in places}
    if chance.random() < 0.8:
        # Mostly each mistake is one, and exchanges two strings.
        made = {place: "fb" if knots[place][1] in ("f", "b") else "f" for place in places}
    see, shown = knotted(band.strings, with_mistakes(knots, tuple(made.items())))
    if chance.random() < 0.15:
        chance.shuffle(see)
    elif chance.random() < 0.1:
        see[0] = chance.choice("abc")
    looked_at = [chance.choice(places) if places and chance.random() < 0.7 else None for _ in range(MOST_SHOWN)]
    shows = []
    for at in looked_at[: chance.choice((0, 0, 1, 2, 2, MOST_SHOWN))] if done else []:
        place = chance.randrange(done) if at is None else at
        shows.append((place, shown[place] if chance.random() < 0.9 else chance.choice("abc-")))
    return Question(band, done, see, shows)


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    """The document that a command prints."""
    capsys.readouterr()
    assert main([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def answer(capsys: pytest.CaptureFixture[str], question: Question) -> dict[str, Any]:
    """What `why` answers."""
    shows = [word for place, colour in question.shows for word in ("--shows", f"{place + 1}:{colour}")]
    words = [*question.band.words, "--done", str(question.done), "--see", " ".join(question.see), *shows]
    return printed(capsys, "why", *words)


def test_every_answer_is_that_of_a_search_that_knots_every_candidate(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHMATE_HOME", str(tmp_path / "nothing-kept"))
    sorts: Counter[str] = Counter()
    for seed in range(DESIGNS):
        chance = Random(f"why {seed}")
        band = a_band(chance, tmp_path / "band.yaml")
        if chance.random() < 0.25:
            band = by_segments(band, capsys)
        question = a_question(chance, band)
        wanted = expected(question)
        assert answer(capsys, question) == wanted, f"seed {seed}: {question}"
        of = len(wanted["mistakes"][0]) if wanted["mistakes"] else "charted" if wanted["as_charted"] else "none"
        sorts[f"{of}, {'asks' if wanted['ask'] else 'asks nothing'}"] += 1
    assert min(sorts[sort] for sort in ALL_SORTS) >= 10, sorts


@pytest.mark.parametrize("charted", WAYS[:-1])
@pytest.mark.parametrize("made", WAYS)
def test_every_wrong_knot_is_told_by_its_effect(
    charted: str, made: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table of the trade: a wrong colour, an exchange of two strings, both, or a gap with or without one."""
    if made == charted:
        return
    strings, at = ["a", "b", "c", "d"], 2
    knots: Knots = [(0, "fb"), (2, "fb"), (1, charted), (0, "f"), (2, "f")]
    file = tmp_path / "band.yaml"
    file.write_text(
        "benchmate: 1\ntitle: Band\nfamily: diagonal\ncolours: {a: teal, b: white, c: '#456', d: red}\n"
        f"strings: [a, b, c, d]\nrows: [fb fb, {charted}, f f]\n",
        encoding="utf-8",
    )
    band = Band(strings, knots, [str(file)])
    effect = EFFECTS[charted][WAYS.index(made)]
    hanging, shown = knotted(strings, with_mistakes(knots, ((at, made),)))
    as_charted, shown_as_charted = knotted(strings, knots)
    assert (hanging != as_charted) == ("O" in effect)
    if "O" in effect:
        assert sorted(hanging) == sorted(as_charted)
        assert sum(one != other for one, other in zip(hanging, as_charted, strict=True)) == 2
    assert (shown[at] == "-") == ("gap" in effect)
    assert (shown[at] not in ("-", shown_as_charted[at])) == ("C" in effect)
    alike = [way for way, each in zip(WAYS, EFFECTS[charted], strict=True) if each == effect]
    told = Question(band, len(knots), hanging, [(at, shown[at])])
    assert answer(capsys, told) == {
        "as_charted": False,
        "mistakes": [[{"knot": at + 1, "made": alike}]],
        "all": 1,
        "ask": None,
    }
    # Untold, the ways that hang alike are left, and the question is about that knot.
    found = answer(capsys, told._replace(shows=[]))
    assert found["as_charted"] == ("O" not in effect)
    if "O" in effect:
        ways = [way for way, each in zip(WAYS, EFFECTS[charted], strict=True) if "O" in each]
        assert {"knot": at + 1, "made": ways} in [mistake[0] for mistake in found["mistakes"]]


def test_a_knot_that_shows_two_colours_is_explained_by_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    band = a_band(Random("two colours"), tmp_path / "band.yaml")
    see = knotted(band.strings, band.knots[:5])[0]
    nothing = {"as_charted": False, "mistakes": [], "all": 0, "ask": None}
    for other in "abc-":
        shows = [(2, "a"), (2, other)]
        assert (answer(capsys, Question(band, 5, see, shows)) == nothing) == (other != "a")


def rows_alike(file: Path, strings: str, row: str, rows: int) -> Band:
    """A band of rows that all begin at the first position."""
    file.write_text(
        "benchmate: 1\ntitle: Band\nfamily: diagonal\ncolours: {a: teal, b: white}\n"
        f"strings: [{', '.join(strings)}]\nrows:\n" + f'  - {{start: 1, knots: "{row}"}}\n' * rows,
        encoding="utf-8",
    )
    return Band([*strings], [(2 * at, way) for at, way in enumerate(row.split())] * rows, [str(file)])


def two_pairs(file: Path, rows: int) -> Band:
    """Four strings of which the first two and the last two are knotted; an even number of rows brings them home.

    When all four hang the other way round, one knot is wrong on either side.
    """
    return rows_alike(file, "abab", "f f", rows)


def test_no_more_than_200_are_listed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    band = rows_alike(tmp_path / "band.yaml", "ab", "f", rows=230)
    see = knotted(band.strings, with_mistakes(band.knots, ((7, "-"),)))[0]
    question = Question(band, 230, see, [])
    found = answer(capsys, question)
    assert (found["all"], len(found["mistakes"]), found["mistakes"][-1][0]["knot"]) == (230, 200, 31)
    assert found == expected(question)
    band = two_pairs(tmp_path / "pairs.yaml", rows=16)
    question = Question(band, 32, ["b", "a", "b", "a"], [])
    found = answer(capsys, question)
    assert (found["all"], len(found["mistakes"])) == (256, 200)
    assert found == expected(question)


def test_pairs_are_looked_for_among_the_last_3000_knots(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    band, done, see = two_pairs(tmp_path / "band.yaml", rows=1_600), 3_200, ["b", "a", "b", "a"]
    found = answer(capsys, Question(band, done, see, []))
    assert found["all"] == 1_500**2
    ways = ["fb", "bf", "-"]
    assert found["mistakes"][0] == [{"knot": 3_199, "made": ways}, {"knot": 3_200, "made": ways}]
    shown = knotted(band.strings, band.knots)[1]
    # A colour that is wrong already in knot 202 leaves that one alone on its side, one in knot 200 leaves none.
    for place, left in ((201, 1_500), (199, 0)):
        other = "b" if shown[place] == "a" else "a"
        assert answer(capsys, Question(band, done, see, [(place, other)]))["all"] == left


def test_a_band_in_which_mistakes_are_known_already_is_searched_as_it_was_made() -> None:
    """Knots that were left out, too, can have been tied after all."""
    of_two = 0
    for seed in range(150):
        chance = Random(f"known {seed}")
        strings = chance.randint(2, 7)
        colours = " ".join(chance.choice("abc") for _ in range(strings))
        charted = DiagonalWork(chart(colours, *rows_of("random", Size(strings, chance.randint(2, 6)), seed)), 1)
        known = {step: chance.choice((None, *Knot)) for step in range(charted.size) if chance.random() < 0.2}
        work = charted.made_otherwise(known)
        knots = [
            (work.left(step) - 1, token(known[step] if step in known else charted.how_made(step)))
            for step in range(work.size)
        ]
        band = Band([*work.strings], knots, [])
        question = a_question(chance, band)
        shows = {place: None if colour == "-" else colour for place, colour in question.shows}
        if len(set(question.shows)) > len(shows):
            continue
        found = why(work, range(question.done), question.see, shows)
        listed = [
            [{"knot": each.step + 1, "made": [*map(token, each.made)]} for each in mistake]
            for mistake in found.mistakes
        ]
        ask = None if found.ask is None else found.ask + 1
        assert {"as_charted": found.as_charted, "mistakes": listed, "all": found.total, "ask": ask} == expected(
            question
        )
        if found.ask is not None:
            other = why(work, range(question.done), question.see, shows, unasked=(found.ask,)).ask
            assert (None if other is None else other + 1) == expected(question, (found.ask,))["ask"]
        of_two += bool(listed) and len(listed[0]) == 2
    assert of_two > 10


def test_a_mistake_is_among_its_explanations(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever one or two knots were made otherwise, and whichever knots are looked at."""
    monkeypatch.setattr(why_module, "MOST_LISTED", 10**9)
    of_two = 0
    for seed in range(120):
        chance = Random(f"among {seed}")
        strings, kinds = chance.randint(4, 12), chance.randint(2, 5)
        rows = rows_of(chance.choice([*SORTS]), Size(strings, chance.randint(10, 40)), seed)
        work = DiagonalWork(chart(" ".join(chance.choice("abcde"[:kinds]) for _ in range(strings)), *rows), 1)
        knots = [(work.left(step) - 1, token(work.how_made(step))) for step in range(work.size)]
        for _ in range(4):
            done = chance.randint(work.size // 2, work.size)
            places = sorted(chance.sample(range(done), chance.choice((1, 2))))
            wrong = tuple((place, chance.choice([way for way in WAYS if way != knots[place][1]])) for place in places)
            hanging, shown = knotted(work.strings, with_mistakes(knots[:done], wrong))
            looked_at = [
                *chance.sample(range(done), chance.randint(0, 3)),
                *chance.sample(places, chance.randint(0, 1)),
            ]
            shows = {place: None if shown[place] == "-" else shown[place] for place in looked_at}
            found = why(work, range(done), hanging, shows)
            made = {tuple(each.step for each in mistake): [each.made for each in mistake] for mistake in found.mistakes}
            assert found.total == len(made)
            if found.as_charted or len(next(iter(made))) < len(places):
                continue
            ways = made[tuple(places)]
            assert all(made_of(way) in of_step for of_step, (_, way) in zip(ways, wrong, strict=True)), (seed, wrong)
            of_two += len(places) == 2
    assert of_two > 30


def test_few_questions_are_asked_until_one_answer_is_left() -> None:
    """Makers who answer each question by what the band shows: at most log2 of the candidates and 2, on the average."""
    over: list[float] = []
    for seed in range(80):
        chance = Random(f"questions {seed}")
        strings = chance.randint(4, 12)
        colours = " ".join(chance.choice("abcd") for _ in range(strings))
        rows = rows_of(chance.choice([*SORTS]), Size(strings, chance.randint(10, 40)), seed)
        work = DiagonalWork(chart(colours, *rows), 1)
        knots = [(work.left(step) - 1, token(work.how_made(step))) for step in range(work.size)]
        places = sorted(chance.sample(range(work.size), 1 + seed % 2))
        wrong = tuple((place, "fb" if knots[place][1] in ("f", "b") else "f") for place in places)
        hanging, shown = knotted(work.strings, with_mistakes(knots, wrong))
        shows: dict[int, str | None] = {}
        found = why(work, range(work.size), hanging, shows)
        if found.as_charted:
            continue
        candidates = many(work, hanging)
        while found.ask is not None:
            assert found.ask not in shows
            assert shown[found.ask] in [colour or "-" for colour in found.answers]
            shows[found.ask] = None if shown[found.ask] == "-" else shown[found.ask]
            found = why(work, range(work.size), hanging, shows)
        assert found.total
        over.append(len(shows) - log2(candidates))
    assert len(over) > 50
    assert fmean(over) <= 2


def many(work: DiagonalWork, hanging: Sequence[str]) -> int:
    """How many candidates explain how the strings hang."""
    sight = Sight(work, range(work.size), hanging, {})
    single = sum(len(each.made) for each in singles(sight))
    return single or Pairs(sight).candidates


def test_a_search_for_two_says_how_far_it_is_and_can_be_stopped() -> None:
    work = DiagonalWork(chart("a b a b", *["f f", ""] * 400), 1)
    told: list[tuple[int, int]] = []
    assert why(work, range(800), ["b", "a", "b", "a"], {}, lambda *told_now: told.append(told_now)).total == 400**2
    assert [done for done, _ in told] == [0, 250, 500, 750]
    assert {of for _, of in told} == {799}

    class Stopped(Exception):
        pass

    def stop(done: int, of: int) -> None:
        raise Stopped

    with pytest.raises(Stopped):
        why(work, range(800), ["b", "a", "b", "a"], {}, stop)
