"""Simulated makers in trouble: `python -m tests.measure.trouble`.

Each knots a random band in the program's own piece, errs once in 80 knots, notices it some rows late, loses the place
twice and runs short of a string. All they do about it is what the program advises: they tell how the strings hang and
what colour a knot shows, and take out, mend or accept the mistake that it names. Every band must end as charted or as
they chose, and the program's record of it must be what was made, knot by knot.
"""

import argparse
import tempfile
from collections.abc import Sequence
from pathlib import Path
from random import Random
from unittest.mock import patch

from benchmate import piece_opening as opening
from benchmate.craft.knots import Knot
from benchmate.craft.ways import NAMES
from benchmate.families.diagonal.body import Diagonal
from benchmate.store.places import HOME
from tests.charts import TOKENS, random_chart
from tests.measure.erring_maker import ErringMaker, Story, bits
from tests.measure.pieces import COLOURS

SWAPPING = [Knot.FORWARD, Knot.BACKWARD, *Knot]
"""The knots of a usual band: most of them change places."""


def design(chance: Random) -> str:
    """A random band of 100 to 250 knots in a few colours."""
    strings = chance.randint(4, 10)
    body = random_chart(chance, strings, 2 * chance.randint(100, 250) // strings, chance.choice([TOKENS, SWAPPING]))
    names = chance.sample(sorted(COLOURS), chance.randint(2, min(5, strings)))
    hanging = [*names, *(chance.choice(names) for _ in range(strings - len(names)))]
    chance.shuffle(hanging)
    return text_of(body, hanging)


def text_of(body: Diagonal, strings: Sequence[str]) -> str:
    """The text of the design."""
    colours = ", ".join(f'{name}: "{value}"' for name, value in COLOURS.items())
    lines = ["benchmate: 1", "title: Trial band", "family: diagonal", f"colours: {{{colours}}}"]
    lines += [f"strings: [{', '.join(strings)}]", "rows:"]
    for row in body.rows:
        knots = " ".join("-" if knot is None else knot.value for knot in row.knots)
        lines.append(f'  - {{start: {row.start}, knots: "{knots}"}}')
    return "\n".join(lines) + "\n"


def knotted(seed: int, folder: Path) -> Story:
    """How the piece of one maker went, kept in a home of its own in `folder`. Raises Astray."""
    chance = Random(seed)
    file = folder / f"band-{seed}.yaml"
    file.write_text(design(chance), encoding="utf-8")
    with patch.dict("os.environ", {HOME: str(folder / f"home-{seed}")}):
        kept = opening.Kept()
        try:
            options = opening.WorkingOptions(chance.choice(NAMES), from_right=chance.random() < 0.3)
            held = opening.follow(kept, str(file), options, new=True).held
            held.hold()
            return ErringMaker(held, chance).finish()
        finally:
            kept.close()


def table(stories: Sequence[Story]) -> str:
    """What became of the pieces."""
    asked = [each for story in stories for each in story.asked]
    questions = sum(each.questions for each in asked) / max(1, len(asked))

    def all_of(name: str) -> int:
        return sum(getattr(story, name) for story in stories)

    rows = {
        "pieces": len(stories),
        "knots": all_of("knots"),
        "mistakes": all_of("mistakes"),
        "asked what went wrong": len(asked),
        "explained by two knots": sum(each.pairs for each in asked),
        "knots out, as nothing explained it": all_of("unexplained"),
        "questions, mean": f"{questions:.2f}",
        "log2 of the candidates, mean": f"{bits(asked):.2f}",
        "taken out": all_of("taken_out"),
        "knots untied": all_of("untied"),
        "mended": all_of("mended"),
        "knots changed": all_of("changed"),
        "accepted": all_of("accepted"),
        "place lost": all_of("lost"),
        "knots looked at to find it": all_of("looked_at"),
        "rows counted, places alike": all_of("counted"),
        "strings laid in, hidden": all_of("laid_in"),
        "strings tied on": all_of("tied_on"),
        "other knots that look alike": all_of("alike"),
        "ended as charted": all_of("as_charted"),
        "ended as chosen": len(stories) - all_of("as_charted"),
    }
    wide = max(map(len, rows))
    return "\n".join(f"{name:<{wide}}  {value!s:>8}" for name, value in rows.items())


def main(arguments: Sequence[str] | None = None) -> int:
    """Prints the table; returns the exit status, 1 where a maker was led astray."""
    parser = argparse.ArgumentParser(prog="python -m tests.measure.trouble", description=__doc__)
    parser.add_argument("--makers", type=int, default=100, help="how many makers (default: 100)")
    parser.add_argument("--seed", type=int, default=0, help="the seed of the first (default: 0)")
    options = parser.parse_args(arguments)
    stories, astray = [], 0
    with tempfile.TemporaryDirectory() as name:
        for seed in range(options.seed, options.seed + options.makers):
            try:
                stories.append(knotted(seed, Path(name)))
            except AssertionError as error:
                astray += 1
                print(f"maker {seed}: {type(error).__name__}: {error}")
    print(table(stories))
    print(f"{astray} led astray")
    return 1 if astray else 0


if __name__ == "__main__":
    raise SystemExit(main())
