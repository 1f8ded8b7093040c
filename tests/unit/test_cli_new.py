"""new: questions, answers in advance, and nothing written unless all is well."""

from __future__ import annotations

import builtins
import re
from pathlib import Path

import pytest

from command_line import refused, run
from house_files import ANSWERS
from sugarwright.plant.questions import is_asked, questions
from sugarwright.plant.read_house import read_house

FLAGS = [word for key, text in ANSWERS.items() for word in ("--set", f"{key}={text}")]


def typed_answers(**instead: str) -> str:
    """Return what a person types: the invented answers, Enter where they are silent."""
    lines, raw = [], {}
    for question in questions():
        if is_asked(question, raw):
            text = instead.get(question.path.replace(".", "__"), ANSWERS.get(question.path, ""))
            lines.append(text)
            raw[question.path] = question.read(text.split("\n")[-1]) if text else question.default
    return "\n".join(lines) + "\n"


def test_flags_alone_make_the_house(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "house"
    ran = run("new", folder, "--yes", *FLAGS)
    assert ran.code == 0, ran
    house = read_house(folder / "sugarhouse.toml")
    assert (house.site.name, house.gathering[0].taps) == ("Invented house", 310)
    last = ran.out.splitlines()[-4:]
    assert [line.split()[1] for line in last] == ["check", "season", "weather", "plan"]
    assert run("check", folder).code == 0


def test_answers_from_a_file_and_a_flag_over_them(tmp_path: Path) -> None:
    file = tmp_path / "answers.txt"
    lines = [f"{key} = {text}" for key, text in ANSWERS.items()]
    file.write_text("# invented\n\n" + "\n".join(lines))
    ran = run("new", tmp_path / "h", "--answers", file, "--set", "gathering.taps=99", "--json")
    assert ran.code == 0, ran
    assert Path(ran.document["file"]) == tmp_path / "h" / "sugarhouse.toml"
    assert read_house(tmp_path / "h" / "sugarhouse.toml").gathering[0].taps == 99


def test_a_conversation(tmp_path: Path) -> None:
    ran = run("new", tmp_path / "h", typed=typed_answers())
    assert ran.code == 0, ran
    by_flags = run("new", tmp_path / "f", "--yes", *FLAGS)
    assert by_flags.code == 0
    spoken, flagged = (read_house(tmp_path / name / "sugarhouse.toml") for name in "hf")
    assert spoken == flagged


def test_a_wrong_answer_is_explained_and_asked_again(tmp_path: Path) -> None:
    typed = typed_answers(
        gathering__taps="many\n-3\n310", site__timezone="America/New_Yrok\nAmerica/New_York"
    )
    ran = run("new", tmp_path / "h", typed=typed)
    assert ran.code == 0, ran
    assert ran.out.count("\n  ? ") == 0  # the prompt stands before it on the same line
    assert ran.out.count("  ? ") == 3
    assert 'Did you mean "America/New_York"?' in " ".join(ran.out.split())
    assert read_house(tmp_path / "h" / "sugarhouse.toml").gathering[0].taps == 310


def test_back_returns_to_the_question_before(tmp_path: Path) -> None:
    typed = typed_answers(
        site__name="back\nWrong name", site__units="back\nRight name\nback\n\nmetric",
        gathering__taps="back\n\n310",
    )  # fmt: skip
    ran = run("new", tmp_path / "h", typed=typed)
    assert ran.code == 0, ran
    assert ran.out.count("no question before this one") == 1
    assert "[Wrong name] > " in ran.out  # what was said before is there to be taken
    assert "[America/New_York] > " in ran.out
    site = read_house(tmp_path / "h" / "sugarhouse.toml").site
    assert (site.name, site.units) == ("Right name", "metric")


def test_back_over_the_membrane_takes_its_tanks_away(tmp_path: Path) -> None:
    """Two questions of the machine and one of its tank are answered, then taken back."""
    before, _, after = typed_answers().partition("yes\n")
    taken_back = "yes\n2\n82 ft2\n160 gal\n" + "back\n" * 4 + "no\n"
    ran = run("new", tmp_path / "h", typed=before + taken_back + after.partition("310 gal\n")[2])
    assert ran.code == 0, ran
    house = read_house(tmp_path / "h" / "sugarhouse.toml")
    assert (house.membrane, house.stock_tank) == (None, None)


def test_a_metric_person_is_asked_in_metric(tmp_path: Path) -> None:
    typed = typed_answers(
        site__units="metric",
        tank__sap__volume="900000 L\n1500\n1500 L",
        site__elevation="x\n305 m",
    )
    ran = run("new", tmp_path / "h", typed=typed)
    assert ran.code == 0, ran
    shown = " ".join(ran.out.partition("Latitude")[2].split())
    assert "[305 m] > " in shown
    assert "allowed: 3.8 L to 189,271 L" in shown
    assert "Write it like 1,514 L" in shown
    assert "Write it like 305 m" in shown
    assert not re.search(r"[0-9] gal\b", shown.replace("(25 gal/h, 95 L/h)", ""))


def test_words_as_people_say_them(tmp_path: Path) -> None:
    typed = typed_answers(
        membrane="perhaps\nyes", people__weekdays="never\nnone", trees__tapped="now\n2027-02-20",
        gathering__way="by hose\nbuckets", gathering__tank__volume="240 gal",
    )  # fmt: skip
    ran = run("new", tmp_path / "h", typed=typed)
    assert ran.code == 0, ran
    assert "allowed: yes or no" in ran.out
    assert "allowed: gravity or pump or trips" in ran.out
    assert "allowed: year-month-day, as in 2027-02-27" in ran.out
    assert "quotes" not in ran.out
    house = read_house(tmp_path / "h" / "sugarhouse.toml")
    assert (house.gathering[0].way, house.people[0].weekdays) == ("trips", ())


def test_elevation_is_asked_and_taken(tmp_path: Path) -> None:
    ran = run("new", tmp_path / "h", typed=typed_answers(site__elevation="1850 ft"))
    assert "Sap boils" in ran.out
    site = read_house(tmp_path / "h" / "sugarhouse.toml").site
    assert site.elevation_m == pytest.approx(1850 * 0.3048)
    assert "1,850 ft above the sea" in run("check", tmp_path / "h").out


def test_a_longitude_without_its_minus_is_asked_again(tmp_path: Path) -> None:
    typed = typed_answers(site__longitude="71.9") + "-71.9\n"
    ran = run("new", tmp_path / "h", typed=typed)
    assert ran.code == 0, ran
    assert "Did you mean -71.9, 71.9 west?" in " ".join(ran.out.split())
    assert read_house(tmp_path / "h" / "sugarhouse.toml").site.longitude_deg == -71.9


def test_a_house_without_a_name_is_called_as_its_folder(tmp_path: Path) -> None:
    flags = [word for word in FLAGS if not word.startswith("site.name")]
    flags = [word for at, word in enumerate(flags) if flags[at : at + 2] != ["--set", "--set"]]
    assert run("new", tmp_path / "hill_house", "--yes", *flags).code == 0
    assert read_house(tmp_path / "hill_house" / "sugarhouse.toml").site.name == "Hill house"
    assert run("new", tmp_path / ("x" * 80), "--yes", *flags).code == 0


@pytest.mark.parametrize("after", [0, 1, 5, 9])
def test_answers_that_end_too_early_leave_nothing(tmp_path: Path, after: int) -> None:
    typed = "".join(line + "\n" for line in typed_answers().splitlines()[:after])
    ran = run("new", tmp_path / "h", typed=typed)
    assert ran.code == 2
    assert "no sugarhouse.toml was written" in ran.err
    assert not (tmp_path / "h").exists()


def test_ctrl_c_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(prompt: str = "") -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(builtins, "input", interrupted)
    ran = run("new", tmp_path / "h")
    assert ran.code == 130
    assert not (tmp_path / "h").exists()


def test_yes_names_every_answer_that_is_missing(tmp_path: Path) -> None:
    lines = refused("new", tmp_path / "h", "--yes", "--set", "gathering.taps=310").splitlines()
    named = {line.split(":")[0] for line in lines}
    assert named == set(ANSWERS) - {
        "site.name", "gathering.taps", "membrane", "tank.stock.volume", "tank.permeate.volume"
    }  # fmt: skip
    assert not (tmp_path / "h").exists()
    lines = refused("new", tmp_path / "h", "--yes", "--set", "membrane=yes").splitlines()
    assert any(line.startswith("tank.stock.volume: is needed") for line in lines)


def test_what_is_there_is_never_overwritten(tmp_path: Path) -> None:
    file = tmp_path / "sugarhouse.toml"
    file.write_text("mine")
    assert "not overwritten" in refused("new", tmp_path, "--yes", *FLAGS)
    assert file.read_text() == "mine"
    assert "not overwritten" in refused("new", file, "--yes", *FLAGS)
    (tmp_path / "file").write_text("mine")
    assert "is a file" in refused("new", tmp_path / "file", "--yes", *FLAGS)
    dangling = tmp_path / "link"
    dangling.mkdir()
    (dangling / "sugarhouse.toml").symlink_to(tmp_path / "nowhere")
    assert "not overwritten" in refused("new", dangling, "--yes", *FLAGS)


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("gathering.taps", 'has no "="'),
        ("gathering.tapps=3", "is no key of the house"),
        ("gathering.taps=", "gathering.taps"),
        ("tank.sap.volume=400 galons", 'Did you mean "gal"?'),
        ("=5", "is no key of the house"),
    ],
)
def test_flags_that_say_nothing(tmp_path: Path, word: str, told: str) -> None:
    assert told in refused("new", tmp_path / "h", "--yes", *FLAGS, "--set", word)
    assert not (tmp_path / "h").exists()


def test_answer_files_that_cannot_be_read(tmp_path: Path) -> None:
    assert "cannot be read" in refused("new", tmp_path / "h", "--answers", tmp_path / "none")
    (tmp_path / "bytes").write_bytes(b"\xff\xfe\x00")
    assert "UTF-8" in refused("new", tmp_path / "h", "--answers", tmp_path / "bytes")
    (tmp_path / "long").write_text("#" * 200_000)
    assert "is too long" in refused("new", tmp_path / "h", "--answers", tmp_path / "long")


def test_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert refused("new", tmp_path / "file" / "below", "--yes", *FLAGS)
    assert refused("new", "a" * 5000, "--yes", *FLAGS)
    assert refused("new", "nul\0byte", "--yes", *FLAGS)
