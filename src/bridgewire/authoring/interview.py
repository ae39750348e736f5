"""The interview: one question at a time, with help, a way back and a review."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TypeAlias

from attrs import define, field, frozen

from bridgewire.authoring.draft import Draft, DraftError, Sheet, draft, entry
from bridgewire.authoring.question import UNKNOWN, Question, Section
from bridgewire.authoring.questions import SECTIONS, section
from bridgewire.authoring.readings_in_common import Bench
from bridgewire.authoring.supply import BenchError
from bridgewire.authoring.toml_text import profile_text
from bridgewire.errors import BridgewireError, ModelRangeError

HELP, BACK = "?", "<"
INTRO = (
    "Answer what you have measured or can read off a label.",
    '"?" tells how to find out, "-" means: do not know, "<" goes back one question.',
    "What you do not know is left out of the profile; nothing is made up for it.",
    "Write meter readings as shown, with the last nought.",
    "Measure igniters only as the law and their maker allow, behind a shield, with nobody near.",
)
Ask: TypeAlias = Callable[[str], str]
Say: TypeAlias = Callable[[str], None]


class StoppedError(BridgewireError):
    """The person stopped; nothing is to be written."""


@frozen
class Step:
    """What is asked next: a question of an entry, or whether there is another entry."""

    section: Section
    index: int
    question: Question | None = None


@define
class Interview:
    """An interview under way.

    Parameters
    ----------
    ask : callable
        Shows a prompt and returns what the person types.
    say : callable
        Shows a line.
    """

    ask: Ask
    say: Say
    sheet: Sheet = field(factory=dict)
    """Answers; those that are there at the start are not asked again."""
    closed: set[str] = field(factory=set)
    """Sections to which nothing more is to be added."""
    history: list[Step] = field(factory=list)
    told: set[tuple[str, int]] = field(factory=set)

    def run(self) -> tuple[Draft, str]:
        """Ask everything, show it, and make the profile.

        Returns
        -------
        tuple of Draft and str
            The draft and the text of the profile.

        Raises
        ------
        StoppedError
            If the person stops at the review.
        """
        for line in INTRO:
            self.say(line)
        while True:
            step = self.next_step()
            if step is not None:
                self.take(step)
                continue
            try:
                made = draft(self.answers())
                text = profile_text(made)
            except DraftError as error:
                for problem in error.problems:
                    about = self._named(problem.section, problem.index)
                    self.say(f"  these answers do not go together: {about}{problem.message}")
                self._review(ready=False)
                continue
            if self._review(ready=True):
                return made, text

    def next_step(self) -> Step | None:
        """What is to be asked next; None where all is answered."""
        for part in SECTIONS:
            entries = self.sheet.setdefault(part.key, [] if part.many else [{}])
            for index, answers in enumerate(entries):
                for question in part.asked(answers):
                    if question.key not in answers:
                        return Step(part, index, question)
            if part.many and part.key not in self.closed:
                return Step(part, len(entries))
        return None

    def so_far(self) -> Sheet:
        """What has been answered, without answers to questions that no longer apply."""
        return {
            part.key: [
                {q.key: answers[q.key] for q in part.asked(answers) if q.key in answers}
                for answers in self.sheet.get(part.key, [])
            ]
            for part in SECTIONS
        }

    def answers(self) -> Sheet:
        """All answers, without those to questions that no longer apply."""
        return {
            part.key: [
                {q.key: answers[q.key] for q in part.asked(answers)}
                for answers in self.sheet.get(part.key, [])
            ]
            for part in SECTIONS
        }

    def take(self, step: Step) -> None:
        """Ask one step and keep the answer."""
        if step.question is None:
            self._take_more(step)
            return
        if step.section.intro and step.question == step.section.questions[0]:
            self.say("")
            self.say(step.section.intro)
        answer = self._answered(step.question)
        if answer is None:
            self.back()
            return
        self.sheet[step.section.key][step.index][step.question.key] = answer
        self.history.append(step)

    def _answered(self, question: Question) -> str | None:
        """Ask until there is an answer; None to go back."""
        while True:
            typed = self.ask(question.asked()).strip()
            if typed == HELP:
                self.say(f"  {question.help}")
            elif typed == BACK:
                return None
            else:
                try:
                    return question.checked(typed)
                except ValueError as error:
                    self.say(f"  {error}")

    def _take_more(self, step: Step) -> None:
        self._tell(step)
        one = "another" if step.index else "a"
        article = "an" if one == "a" and step.section.noun[0] in "aeiou" else one
        while True:
            typed = self.ask(f"Describe {article} {step.section.noun} (yes, no)").strip().lower()
            if typed == BACK:
                self.back()
                return
            if typed == HELP:
                self.say(f"  Each kind of {step.section.noun} that you use gets its own entry.")
            elif typed in ("yes", "y"):
                self.sheet[step.section.key].append({})
                break
            elif typed in ("no", "n", UNKNOWN):
                self.closed.add(step.section.key)
                break
            else:
                self.say('  write "yes" or "no"')
        self.history.append(step)

    def back(self) -> None:
        """Take the last answer back."""
        if not self.history:
            self.say("  this is the first question")
            return
        last = self.history.pop()
        if last.question is not None:
            self.sheet[last.section.key][last.index].pop(last.question.key, None)
            self.told.discard((last.section.key, last.index))
        elif last.section.key in self.closed and last.index == len(self.sheet[last.section.key]):
            self.closed.discard(last.section.key)
        else:
            del self.sheet[last.section.key][last.index]

    def _tell(self, step: Step) -> None:
        """Say what follows from the entry that has just been finished."""
        index = step.index - 1
        if index < 0 or (step.section.key, index) in self.told:
            return
        self.told.add((step.section.key, index))
        answers = self.answers()
        bench = Bench.of(answers["kit"][0], answers["meter"][0])
        try:
            made = entry(step.section.key, answers[step.section.key][index], bench)
        except (BenchError, ModelRangeError) as error:
            self.say(f"  this cannot be: {error}; change it in the review at the end")
            return
        for remark in made.remarks:
            self.say(f"  {remark}")

    # -- review -------------------------------------------------------------------------------

    def _review(self, *, ready: bool) -> bool:
        """Show all answers; true where they are to be written, false where one has changed."""
        lines = list(self._numbered())
        self.say("")
        for number, (part, index, question) in enumerate(lines, 1):
            if part.many and question == part.questions[0]:
                self.say(f"  {part.noun}")
            answer = self.sheet[part.key][index][question.key]
            known = "not known" if answer == UNKNOWN else answer
            self.say(f"{number:4}  {question.asked()}: {known}")
        wanted = "Number to change, " + ("yes to write, " if ready else "") + "or stop"
        while True:
            typed = self.ask(wanted).strip().lower()
            if typed == "stop":
                raise StoppedError("stopped; nothing was written")
            if typed in ("yes", "y") and ready:
                return True
            number = int(typed) if re.fullmatch("[0-9]{1,6}", typed) else 0
            if 1 <= number <= len(lines):
                part, index, question = lines[number - 1]
                answer_now = self._answered(question)
                if answer_now is not None:
                    self.sheet[part.key][index][question.key] = answer_now
                    self.told.discard((part.key, index))
                return False
            self.say(f"  write a number from 1 to {len(lines)}, or one of the words")

    def _named(self, key: str, index: int) -> str:
        """Name the entry that a problem is about; empty where there is none."""
        entries = self.sheet.get(key, [])
        if index >= len(entries) or "id" not in entries[index]:
            return ""
        return f"{section(key).noun} {entries[index]['id']}: "

    def _numbered(self) -> Iterator[tuple[Section, int, Question]]:
        for part in SECTIONS:
            for index, answers in enumerate(self.sheet.get(part.key, [])):
                for question in part.asked(answers):
                    if question.key in answers:
                        yield section(part.key), index, question
