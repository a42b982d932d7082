"""Text for a speech engine: words on one line, and no commands."""

from unicodedata import category, is_normalized, normalize

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from benchmate.speech import text as cleaning
from benchmate.speech.text import LONGEST, MARKS, MOST_READ, cleaned
from tests.charts import seeded

ANYTHING = st.text(st.characters(exclude_categories=())) | st.text(
    st.sampled_from("ab \t\n\x00\x01\x1b\ud800\u200d\u202e\u2028\ufeff\u0300\u0301\u1fef\u037e\U000e0041[]<>{}|\\^~`é"),
    max_size=2 * LONGEST,
)
"""Every kind of text: lone surrogates, control characters, combining marks, and much that engines take for commands."""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("forward, deep over foam", "forward, deep over foam"),
        ("  row\tdone\n\nnext: rain ", "row done next: rain"),
        ("\x010A deep", "0A deep"),
        ("deep\x00foam", "deepfoam"),
        ("\ud800deep\udfff", "deep"),
        ("<speak><voice name='x'>deep</voice></speak>", "speak voice name='x' deep /voice /speak"),
        ("[[volm 0]]deep", "volm 0 deep"),
        ("$(touch x); `touch x`", "$(touch x); touch x"),
        ("\u202edeep\u200b\ufefffoam", "deepfoam"),
        ("cafe\u0301 e\u200d\u0301", "café é"),
        ("\u1fef\u2028\u2029", ""),
        ("ночное небо · 夜空", "ночное небо · 夜空"),
        ("", ""),
    ],
)
def test_only_the_words_are_left(text: str, words: str) -> None:
    assert cleaned(text) == words


@seeded
@given(ANYTHING)
@example("\u1fef\u0300 <\u0338 >\u0338")
def test_a_cleaned_text_has_no_commands_for_an_engine(text: str) -> None:
    words = cleaned(text)
    assert not MARKS & set(words)
    assert all(category(character)[0] != "C" and (character == " " or not character.isspace()) for character in words)
    assert is_normalized("NFC", words)
    assert words == " ".join(words.split())
    assert len(words) <= LONGEST
    assert cleaned(words) == words


@seeded
@given(st.lists(st.text("abcdé,.'", min_size=1, max_size=12), min_size=1, max_size=120))
def test_long_text_ends_with_a_whole_word(words: list[str]) -> None:
    kept = cleaned(" ".join(words)).split(" ")
    assert kept == words[: len(kept)]
    assert len(kept) == len(words) or len(" ".join(words[: len(kept) + 1])) > LONGEST


@pytest.mark.parametrize(
    ("lengths", "kept"),
    [
        ([299], 1),
        ([300], 1),
        ([149, 150], 2),
        ([149, 150, 5], 2),
        ([149, 148, 1], 3),
        ([149, 148, 1, 1], 3),
        ([150, 150], 1),
        ([149, 151], 1),
        ([149, 149, 1], 2),
        ([150, 150, 5], 1),
        ([149, 149, 1, 1], 2),
        ([300, 1], 1),
        ([299, 1], 1),
        ([298, 1], 2),
    ],
)
def test_as_many_whole_words_as_fit_into_three_hundred_characters_are_kept(lengths: list[int], kept: int) -> None:
    words = [letter * length for letter, length in zip("abcd", lengths, strict=False)]
    assert cleaned(" ".join(words)) == " ".join(words[:kept])


def test_one_very_long_word_is_cut() -> None:
    for length in (300, 301, 302, 1000):
        assert cleaned("x" * length) == "x" * 300


def test_cleaning_a_very_long_text_reads_only_its_beginning(monkeypatch: pytest.MonkeyPatch) -> None:
    composed = []

    def counted(form: str, text: str) -> str:
        composed.append(len(text))
        return normalize("NFC", text[: 2 * MOST_READ])

    monkeypatch.setattr(cleaning, "normalize", counted)
    assert cleaned("deep " + "\u0300\u0323" * 500_000) == "deep"
    assert max(composed) <= MOST_READ
