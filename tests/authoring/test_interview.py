"""The interview, driven by a script in place of a person."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable

import pytest

from bridgewire.authoring.answers_file import profile_of_answers
from bridgewire.authoring.draft import Draft
from bridgewire.authoring.interview import Interview, StoppedError
from bridgewire.authoring.questions import SECTIONS, section
from tests.authoring.test_answers import EVENING


class Script:
    """Types one line after another and keeps what was shown."""

    def __init__(self, lines: Iterable[str]) -> None:
        self.lines = list(lines)
        self.asked: list[str] = []
        self.said: list[str] = []

    def ask(self, prompt: str) -> str:
        self.asked.append(prompt)
        if not self.lines:
            raise AssertionError(f"nothing left to type at: {prompt}")
        return self.lines.pop(0)

    def run(self) -> tuple[Draft, str]:
        found = Interview(self.ask, self.said.append).run()
        assert not self.lines
        return found


KIT = ["club", "Club kit", "2026-05-31"]
METER = ["bench meter", "0.5 + 2", "0.8 + 3", "-", "0.12"]
NONE = ["no"] * 6
CONTACT = ["yes", "plug", "-", "10", "0.31 0.34 0.30", "0", "5", "label"]


def test_a_short_interview() -> None:
    script = Script([*KIT, *METER, *CONTACT, *NONE, "yes"])
    made, text = script.run()
    assert tomllib.loads(text)["contact"][0]["rated_A"] == 5.0
    assert made.entries[0].unknown == ["title"]
    assert any("mean of the chain" in line for line in script.said)
    assert "Reading with the two probe tips pressed together, in ohm" in script.asked


def test_the_file_and_the_interview_ask_the_same(tmp_path: object) -> None:
    """Every answer of the answers file, typed in: the same profile."""
    answers = tomllib.loads(EVENING.read_text(encoding="utf-8"))
    typed: list[str] = []
    for part in SECTIONS:
        entries = answers.get(part.key, []) if part.many else [answers[part.key]]
        for entry in entries:
            typed += ["yes"] if part.many else []
            known: dict[str, str] = {}
            for question in part.questions:
                if question.applies(known):
                    value = entry.get(question.key, "-")
                    text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
                    known[question.key] = text
                    typed.append(text)
        typed += ["no"] if part.many else []
    script = Script([*typed, "yes"])
    assert script.run()[1] == profile_of_answers(EVENING)[1]


def test_help_is_shown_and_the_question_asked_again() -> None:
    script = Script(["?", *KIT, *METER, *NONE, "yes"])
    script.run()
    assert script.asked[0] == script.asked[1]
    assert any(section("kit").question("id").help in line for line in script.said)


def test_a_bad_answer_is_asked_again() -> None:
    script = Script(["a/b", "", *KIT[:2], "yesterday", KIT[2], *METER, *NONE, "yes"])
    script.run()
    assert any("2026-05-31" in line for line in script.said)


@pytest.mark.parametrize(
    ("typed", "told"),
    [("0,12", "decimal point"), ("0.12 ohm", "without its unit"), ("0.12Ω", "without its unit")],
)
def test_a_slip_in_a_number_is_named(typed: str, told: str) -> None:
    script = Script([*KIT, *METER[:4], typed, METER[4], *NONE, "yes"])
    script.run()
    assert any(told in line for line in script.said)


@pytest.mark.parametrize("typed", ["0,31, 0,34, 0,30", "0,31; 0,34", "0,31"])
def test_a_decimal_comma_is_not_taken_for_two_readings(typed: str) -> None:
    script = Script([*KIT, *METER, *CONTACT[:4], typed, *CONTACT[4:], *NONE, "yes"])
    made, _ = script.run()
    assert any("with a point" in line for line in script.said)
    assert made.entries[0].data["contact_ohm"]["max"] < 0.1


def test_prompts_show_how_an_answer_is_written() -> None:
    script = Script([*KIT, *METER, *NONE, "yes"])
    script.run()
    assert "Date of the measurements, as in 2026-05-31" in script.asked
    assert "Accuracy on the voltage range, as in 0.5 % + 2" in script.asked


@pytest.mark.parametrize(
    ("typed", "taken"),
    [
        ("Common return", "common-return"),
        ("PAIR", "pair"),
        ("m", "matrix"),
        ("common-return", "common-return"),
    ],
)
def test_a_choice_is_taken_in_any_case_and_by_its_beginning(typed: str, taken: str) -> None:
    assert section("box").question("map").checked(typed) == taken


@pytest.mark.parametrize("typed", ["co", "red"])
def test_a_choice_that_is_not_clear_is_asked_again(typed: str) -> None:
    with pytest.raises(ValueError, match="copper, copper-clad-aluminium, aluminium"):
        section("cable").question("metal").checked(typed)


def test_what_is_required_cannot_be_unknown() -> None:
    script = Script(["-", *KIT, *METER, *NONE, "yes"])
    script.run()
    assert any("cannot do without" in line for line in script.said)


def test_going_back_over_answers_and_entries() -> None:
    script = Script(
        [
            "wrong", "<", *KIT, *METER,
            "no", "<",  # there is a contact after all
            "yes", "<", "yes", "plug", "-", "<", "a title",
            "-", "2", "label",
            *NONE, "yes",
        ]
    )  # fmt: skip
    made, _ = script.run()
    assert made.head["id"] == "club"
    assert made.entries[0].data == {"id": "plug", "title": "a title", "rated_A": 2.0}


def test_there_is_nothing_before_the_first_question() -> None:
    script = Script(["<", *KIT, *METER, *NONE, "yes"])
    script.run()
    assert any("first question" in line for line in script.said)


def test_an_answer_is_changed_in_the_review() -> None:
    script = Script([*KIT, *METER, *CONTACT, *NONE, "x", "99", "0000099", "1", "shed", "yes"])
    made, _ = script.run()
    assert made.head["id"] == "shed"
    assert any(line.endswith("Short name of the kit: club") for line in script.said)
    assert any(line.endswith("in a few words: not known") or "not known" in line
               for line in script.said)  # fmt: skip


def test_a_changed_answer_asks_what_now_applies_and_drops_what_does_not() -> None:
    script = Script([*KIT, *METER, *CONTACT, *NONE])
    number = len(KIT) + len(METER) + 3  # pairs
    script.lines += [str(number), "-", "yes"]
    made, _ = script.run()
    assert "contact_ohm" not in made.entries[0].data
    script = Script([*KIT, *METER, "yes", "plug", "-", "-", "5", "label", *NONE])
    script.lines += [str(number), "10", "0.31", "0", "yes"]
    made, _ = script.run()
    assert "contact_ohm" in made.entries[0].data


def test_stopping_at_the_review() -> None:
    with pytest.raises(StoppedError):
        Script([*KIT, *METER, *NONE, "stop"]).run()


def test_answers_that_contradict_one_another_must_be_changed() -> None:
    contact = ["yes", "plug", "-", "10", "0.05", "0", "5", "label"]  # less than the meter's leads
    script = Script([*KIT, *METER, *contact, *NONE])
    reading = len(KIT) + len(METER) + 4
    script.lines += ["yes", str(reading), "0.31", "yes"]
    made, _ = script.run()
    assert any("this cannot be" in line for line in script.said)
    assert any("do not go together: contact plug: " in line for line in script.said)
    assert "contact_ohm" in made.entries[0].data


def test_two_entries_of_one_name_are_refused() -> None:
    script = Script([*KIT, *METER, *CONTACT, *CONTACT, *NONE])
    second = len(KIT) + len(METER) + len(CONTACT) - 1 + 1
    script.lines += [str(second), "plug-2", "yes"]
    made, _ = script.run()
    assert [e.data["id"] for e in made.entries] == ["plug", "plug-2"]
    assert any("two of the name" in line for line in script.said)
