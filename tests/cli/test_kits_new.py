"""``bridgewire kits new`` and ``kits compare``, and profiles that extend others."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from bridgewire.documents.loader import load_kit
from tests.authoring.test_answers import EVENING
from tests.authoring.test_interview import CONTACT, KIT, METER, NONE
from tests.cli.running import COMMAND, environment, run_command


def type_in(
    folder: Path, *lines: str, options: tuple[str, ...] = ()
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, "kits", "new", *options],
        input="".join(f"{line}\n" for line in lines),
        capture_output=True,
        encoding="utf-8",
        cwd=folder,
        env=environment(),
        check=False,
        timeout=120,
    )


def test_from_an_answers_file(tmp_path: Path) -> None:
    done = run_command("kits", "new", "--answers", str(EVENING), "--output", "k.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    kit, _ = load_kit(tmp_path / "k.toml")
    assert kit.id == "lakeshed"
    assert "wrote k.toml" in done.stdout
    assert "looks like copper-clad aluminium" in " ".join(done.stdout.split())
    assert "Cannot be checked without" in done.stdout


def test_the_interview(tmp_path: Path) -> None:
    done = type_in(tmp_path, *KIT, *METER, *CONTACT, *NONE, "yes")
    assert done.returncode == 0, done.stderr
    assert load_kit(tmp_path / "club.toml")[0].contact[0].rated_A == 5.0
    assert "Reading with the two probe tips pressed together, in ohm:" in done.stdout


def test_stopping_before_the_first_answer_writes_nothing(tmp_path: Path) -> None:
    done = type_in(tmp_path)
    assert done.returncode == 130
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize(
    "cut", [1, len(KIT), len(KIT) + 2, len(KIT) + len(METER) + 1, len(KIT) + len(METER) + 4, 99]
)
def test_stopping_keeps_the_answers_to_go_on_with(tmp_path: Path, cut: int) -> None:
    whole = [*KIT, *METER, *CONTACT]
    stopped = type_in(tmp_path, *whole[:cut], *([*NONE, "stop"] if cut == 99 else []))
    assert stopped.returncode == 130
    assert os.listdir(tmp_path) == ["club-answers.toml"]
    assert "--resume club-answers.toml" in stopped.stderr
    rest = whole[cut:]
    if cut == len(KIT) + len(METER) + 1:  # "yes" to a contact is no answer of that contact yet
        rest = ["yes", *rest]
    done = type_in(tmp_path, *rest, *NONE, "yes", options=("--resume", "club-answers.toml"))
    assert done.returncode == 0, done.stderr
    assert load_kit(tmp_path / "club.toml")[0].contact[0].rated_A == 5.0
    assert type_in(tmp_path, *KIT).returncode == 130  # keeps its own file
    assert (tmp_path / "club-answers-2.toml").is_file()


def test_answers_are_read_or_asked_not_both(tmp_path: Path) -> None:
    options = ("--answers", str(EVENING), "--resume", str(EVENING))
    assert type_in(tmp_path, options=options).returncode == 2


def test_a_file_that_is_there_is_kept(tmp_path: Path) -> None:
    (tmp_path / "k.toml").write_text("mine", encoding="utf-8")
    arguments = ("kits", "new", "--answers", str(EVENING), "--output", "k.toml")
    done = run_command(*arguments, cwd=tmp_path)
    assert done.returncode == 2
    assert "--force" in done.stderr
    assert (tmp_path / "k.toml").read_text(encoding="utf-8") == "mine"
    assert run_command(*arguments, "--force", cwd=tmp_path).returncode == 0
    assert load_kit(tmp_path / "k.toml")[0].id == "lakeshed"


def test_the_interview_does_not_start_where_it_could_not_write(tmp_path: Path) -> None:
    (tmp_path / "k.toml").write_text("mine", encoding="utf-8")
    done = type_in(tmp_path, options=("--output", "k.toml"))
    assert done.returncode == 2
    assert "Short name" not in done.stdout


def test_bad_answers(tmp_path: Path) -> None:
    file = tmp_path / "answers.toml"
    file.write_text('[kit]\nid = "k"\n[meter]\nleads = "x"\n', encoding="utf-8")
    done = run_command("kits", "new", "--answers", "answers.toml", cwd=tmp_path)
    assert done.returncode == 2
    assert "answers.toml:4:9" in done.stderr
    assert os.listdir(tmp_path) == ["answers.toml"]


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    done = run_command(
        "kits", "new", "--answers", str(EVENING), "--output", "no/k.toml", cwd=tmp_path
    )
    assert done.returncode == 2
    assert "there is no folder" in done.stderr


@pytest.fixture
def extending(tmp_path: Path) -> Path:
    text = 'extends = "harrowmere"\n[[contact]]\nid = "lake-plug"\ncontact_ohm = 0.012\n'
    (tmp_path / "club.toml").write_text(f'format = 1\nid = "club"\n{text}', encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("second", ["club", "club.toml"])
def test_compare(extending: Path, second: str) -> None:
    done = run_command("kits", "compare", "harrowmere", second, cwd=extending)
    assert done.returncode == 0, done.stderr
    assert "×1.5" in done.stdout
    assert "1 value not the same" in done.stdout
    more = run_command("kits", "compare", "harrowmere", second, "--all", "--origins", cwd=extending)
    assert "club.toml:6" in more.stdout


def test_profiles_with_nothing_in_common_are_not_counted(tmp_path: Path) -> None:
    for name, table in (("club", "contact"), ("lake", "strip")):
        key = "contact_ohm = 0.012" if table == "contact" else "ways = 4"
        text = f'format = 1\nid = "{name}"\n[[{table}]]\nid = "own"\n{key}\n'
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    done = run_command("kits", "compare", "club", "lake", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "No entry in common." in done.stdout
    assert "not the same" not in done.stdout
    assert "Only in club: contact own." in done.stdout


def test_compare_with_a_profile_that_is_not_there(extending: Path) -> None:
    done = run_command("kits", "compare", "harrowmere", "clup", cwd=extending)
    assert done.returncode == 2
    assert "DOC011" in done.stderr


def test_show_tells_where_inherited_values_stand(extending: Path) -> None:
    done = run_command("kits", "show", "club", cwd=extending)
    assert done.returncode == 0, done.stderr
    assert "club: contact_ohm (line 6)" in done.stdout
    assert "Where the values are written" not in run_command("kits", "show", "generic").stdout


def test_validate_a_profile_that_extends_another(extending: Path) -> None:
    done = run_command("kits", "validate", "club.toml", cwd=extending)
    assert done.returncode == 0, done.stderr + done.stdout


def test_a_show_uses_a_profile_of_the_users_folder(tmp_path: Path) -> None:
    kits = tmp_path / "config" / "bridgewire" / "kits"
    kits.mkdir(parents=True)
    text = 'format = 1\nid = "club"\nextends = "harrowmere"\n'
    (kits / "club.toml").write_text(text, encoding="utf-8")
    show = tmp_path / "night.toml"
    show.write_text('format = 1\ntitle = "Regatta Night"\nkits = ["club"]\n', encoding="utf-8")
    env = {"XDG_CONFIG_HOME": str(tmp_path / "config")}
    listed = run_command("kits", "list", cwd=tmp_path, env=env)
    assert "club" in listed.stdout
    done = run_command("check", "night.toml", cwd=tmp_path, env=env)
    assert done.returncode in (0, 1), done.stderr
    assert (
        run_command("check", "night.toml", cwd=tmp_path, env={"HOME": str(tmp_path)}).returncode
        == 2
    )
