"""The designer's explorer: what is moved or chosen is what the job, so written, says."""

import tomllib
from pathlib import Path

import pytest
from houses import house

from calclib.errors import InputError, LookupMiss
from calclib.job.errors import JobError
from calclib.job.file import parse, read
from calclib.job.solve import solve
from calclib.lessons import choices
from calclib.lessons.design import design_study, exact_text, job_text
from calclib.lessons.designing import Designer
from calclib.units import parse as length

EXAMPLES = Path(__file__).parents[1] / "examples"
LARKSPUR, BASEMENT, FOXGLOVE = (
    EXAMPLES / f"{name}.toml" for name in ("larkspur_house", "basement_beam", "foxglove_cottage")
)


def lines(reading):
    return [*reading.checks, *reading.beside]


def agrees(reading, text, file="job"):
    """Say whether a job file, read and solved by itself, has the checks of a reading."""
    checks = {c.id: c for c in solve(parse(text, file)).checks}
    for line in lines(reading):
        check = checks[line.id]
        assert (line.state, line.case) == (check.state, check.case_name)
        assert line.used == pytest.approx(check.worst, rel=1e-9)
        assert line.demand == pytest.approx(check.demand.at(check.case), rel=1e-9)
        assert line.capacity == pytest.approx(check.capacity.at(check.case), rel=1e-9)
    return True


@pytest.fixture(scope="module")
def studies():
    return {path: design_study(path) for path in (LARKSPUR, BASEMENT, FOXGLOVE)}


@pytest.mark.parametrize("path", [LARKSPUR, BASEMENT, FOXGLOVE], ids=lambda path: path.stem)
@pytest.mark.parametrize("share", [0.3, 0.8])
def test_a_state_written_as_a_job_file_gives_the_same_numbers(studies, path, share):
    """All numbers moved at once, spans only outward, where what stands above still fits."""
    study = studies[path]
    numbers = {
        s.key: s.start * (1 + share / 8)
        if s.key.startswith("span")
        else s.low + share * (s.high - s.low)
        for s in study.settings
    }

    text = job_text(study, numbers)

    assert agrees(study.with_beside(**numbers), text)


@pytest.mark.parametrize("key", ["span", "width_east", "live_bedroom_floor", "snow_roof"])
def test_each_number_by_itself_is_written_and_read_again(studies, key):
    study = studies[LARKSPUR]
    setting = next(s for s in study.settings if s.key == key)
    number = setting.start * 1.137

    assert agrees(study.with_beside(**{key: number}), job_text(study, {key: number}))


def test_what_carries_the_beam_is_read_with_it(studies):
    """Foxglove's posts stand on an old girder, which the work overloads (its README says so)."""
    reading = studies[FOXGLOVE].with_beside()
    members = {line.id.split("/")[1] for line in reading.beside}

    assert members == {
        "beams.opening", "posts.west", "posts.east", "beams.girder", "posts.column_1",
        "posts.column_2",
    }  # fmt: skip
    assert any(line.state == "fails" and "girder" in line.id for line in reading.beside)
    assert "of girder beam, sagging needs" in repr(reading)
    assert "stay open" in repr(reading)


def test_the_beam_alone_is_read_without_them(studies):
    """For the figure, which is not to wait."""
    study = studies[FOXGLOVE]

    assert study.at().beside == ()
    assert study.at().checks == study.with_beside().checks


def test_loads_that_do_not_reach_the_beam_are_not_offered():
    """The roof of the basement job's house lands elsewhere; none of its surfaces is one."""
    text = LARKSPUR.read_text("utf-8").replace(
        'rests_on = ["walls.bedroom", "walls.east"]', 'rests_on = ["walls.west", "walls.east"]'
    )

    keys = [s.key for s in design_study(parse(text)).settings]

    assert "live_bedroom_floor" in keys
    assert not any("roof" in key for key in keys)


def test_a_changed_number_says_where_it_comes_from_and_what_stood_there(studies):
    """No tape measured what a slider set."""
    study = studies[LARKSPUR]

    text = job_text(study, {"width_east": 84.0, "span": 168.0, "live_bedroom_floor": 40 / 144})

    data = tomllib.loads(text)
    assert data["joists"]["east"]["span"] == {
        "value": "14 ft 0 in", "basis": "assumed", "source": "set in an explorer",
        "note": "before: 13 ft 2 in, measured, tape, first survey",
    }  # fmt: skip
    assert data["beams"]["opening"]["spans"]["opening"]["basis"] == "chosen"
    assert data["surfaces"]["bedroom_floor"]["live"]["value"] == "40 psf"
    assert "use" not in data["surfaces"]["bedroom_floor"]


def test_all_else_of_the_file_stays_as_it_was(studies):
    """Comments, order, and the other sections: three lines differ."""
    study = studies[LARKSPUR]
    old = study.solved.job.text.splitlines()

    new = job_text(study, {"width_east": 84.0, "width_west": 72.0, "span": 168.0}).splitlines()

    differing = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(differing) == 3
    assert job_text(study, {"span": study.settings[0].start}) == study.solved.job.text


@pytest.mark.parametrize("seed", range(4))
def test_any_house_of_the_tests_moves_as_its_file_does(seed):
    """Widths and loads of its first beam that joists rest on."""
    text, _ = house(seed, storeys=2, lines=3, bays=2)
    job = parse(text)
    solved = solve(job)
    studies = (design_study(solved, beam.section.name) for beam in solved.beams)
    study = next(found for found in studies if any("width" in s.key for s in found.settings))
    numbers = {s.key: s.low + 0.7 * (s.high - s.low) for s in study.settings if "span" not in s.key}

    reading = study.with_beside(**numbers)

    assert agrees(reading, job_text(study, numbers))


@pytest.mark.parametrize(
    ("inches", "unit", "si", "text"),
    [
        (162.0, "ft", False, "13 ft 6 in"),
        (170.64, "ft", False, "170.64 in"),
        (4115 / 25.4, "ft", True, "4.115 m"),
        (1000 / 3, "ft", False, "333.33333333333331 in"),
    ],
)
def test_a_number_is_written_so_that_it_is_read_again(inches, unit, si, text):
    """To the last bit, by as few digits as that takes."""
    assert exact_text(inches, unit, si) == text
    assert length(text, unit) == pytest.approx(inches, rel=1e-15)


def options(path):
    """Yield what can be chosen in a job: each wood, grade and number of plies, some sizes."""
    (section, *_) = read(path).of("beams").values()
    for choice in choices.choices(section):
        for option in choice.options[:: 9 if choice.key == choices.SIZE else 1]:
            yield path, choice.key, option


@pytest.mark.parametrize(
    ("path", "key", "option"),
    [
        *(each for each in options(LARKSPUR) if each[1] != choices.GRADE),
        *(each for each in options(BASEMENT) if each[1] == choices.GRADE),
    ],
    ids=lambda part: getattr(part, "stem", part),
)
def test_every_choice_makes_a_job_that_can_be_solved(path, key, option):
    """The beam is then of what was chosen, and what was can be chosen again."""
    job = read(path)
    name, section = next(iter(job.of("beams").items()))

    other = choices.with_choices(job, name, {key: option})

    found = choices.choices(other.of("beams")[name], section)
    assert next(choice.now for choice in found if choice.key == key) == option
    assert found[0].options[0] == choices.wood_of(section)
    assert solve(other).beams[0].checks


def test_another_kind_of_wood_takes_its_own_words_along():
    """Composite lumber to sawn: no report, no density; the stock size that is nearest."""
    job = choices.with_choices(read(LARKSPUR), "opening", {"wood": "hem-fir", "plies": "4"})
    data = tomllib.loads(job.text)["beams"]["opening"]

    assert data["species"]["value"] == "hem-fir"
    assert data["plies"]["note"] == "before: 3, assumed"
    assert (data["size"], data["incised"], data["grade"]["value"]) == ("2x12", "no", "No.2")
    assert not {"material", "report", "F_b", "density"} & set(data)
    assert "# zero of all positions: inner face of the west post" in job.text


def test_what_is_chosen_as_the_job_has_it_changes_nothing():
    job = read(LARKSPUR)
    now = {choice.key: choice.now for choice in choices.choices(job.of("beams")["opening"])}

    assert choices.with_choices(job, "opening", now).text == job.text


def test_a_choice_that_is_none_is_refused():
    with pytest.raises(LookupMiss, match="one of wood, grade, size, plies"):
        choices.with_choices(read(LARKSPUR), "opening", {"woof": "hem-fir"})


@pytest.fixture
def designer(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return Designer(read(LARKSPUR))


def files_of(designer):
    box = designer.box.children[-1]
    (name, write), (start, open_) = (row.children for row in box.children[:2])
    return name, write, start, open_, box.children[2]


def test_moving_and_choosing_change_figure_and_text(designer):
    figure, said = designer._figure, designer._said
    seen = {(figure.value, said.value)}

    designer.controls["span"].entry.value = "15 ft"
    seen.add((figure.value, said.value))
    designer.choices.lists["plies"].value = "2"
    seen.add((figure.value, said.value))
    designer.choices.lists["wood"].value = "Douglas fir-larch"
    seen.add((figure.value, said.value))

    assert len(seen) == 4
    assert designer.choices.lists["size"].value == "2x12"
    assert "Select Structural" in designer.choices.lists["grade"].options
    assert "size 2x12" in designer.choices.told.value
    assert "governs" in said.value or "too small" in said.value
    assert designer.controls["span"].number == 180.0


def test_going_back_leaves_nothing_of_the_way(designer):
    before = designer._figure.value, designer._said.value
    wood = designer.choices.lists["wood"].value

    designer.choices.lists["wood"].value = "24F-1.8E"
    designer.controls["snow_roof"].slider.value = 44.0
    designer.choices.lists["wood"].value = wood
    designer.controls["snow_roof"].slider.value = 30.0

    assert (designer._figure.value, designer._said.value) == before
    assert designer.text() == LARKSPUR.read_text("utf-8")


def test_its_state_is_written_read_again_and_never_over_another(designer, tmp_path):
    """What the file gives, solved by itself, is what was shown."""
    name, write, start, open_, said = files_of(designer)
    designer.controls["width_west"].entry.value = "7 ft 1 1/2 in"
    designer.choices.lists["size"].value = "1-3/4 x 14"
    shown = designer._shown
    name.value = "larkspur_b.toml"

    write.click()
    first = said.value
    write.click()
    second = said.value

    assert "Written: larkspur_b.toml" in first
    assert "needs a name that is free" in second
    assert agrees(shown, (tmp_path / "larkspur_b.toml").read_text("utf-8"))

    designer.controls["span"].entry.value = "20 ft"
    start.value = "larkspur_b.toml"
    open_.click()

    assert "Started from larkspur_b.toml" in said.value
    assert designer.controls["width_west"].entry.value == "7 ft 1 1/2 in"
    assert designer.controls["span"].entry.value == "13 ft 6 in"
    assert [line.used for line in lines(designer._shown)] == pytest.approx(
        [line.used for line in lines(shown)], rel=1e-9
    )


def test_what_no_file_can_say_is_not_written(designer, tmp_path):
    """A wall that stands past the beam's end is left out on the screen; a file may not have it."""
    name, write, _, _, said = files_of(designer)
    designer.controls["span"].entry.value = "8 ft"
    name.value = "short.toml"

    write.click()

    assert "walls.bedroom.to: needs a place on opening beam" in said.value
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(JobError):
        designer.text()


def test_a_file_that_is_none_is_refused_and_all_stays(designer, tmp_path):
    _, _, start, open_, said = files_of(designer)
    before = designer._said.value
    (tmp_path / "bad.toml").write_text("format = 2\n", "utf-8")

    start.value = "bad.toml"
    open_.click()
    bad = said.value
    start.value = "<b>none.toml"
    open_.click()

    assert 'role="alert"' in bad
    assert "&lt;b&gt;none.toml" in said.value
    assert designer._said.value == before


def test_a_choice_that_the_tables_refuse_takes_the_old_numbers_away(designer, monkeypatch):
    """Nothing of an earlier choice stays beside a newer one, and nothing is written."""

    def refuse(*_):
        raise InputError("no value for this wood.")

    monkeypatch.setattr(choices, "with_choices", refuse)

    designer.choices.lists["plies"].value = "1"

    assert designer._figure.value == ""
    assert "Nothing to show: no value for this wood." in designer._said.value
    assert "no value for this wood." in designer.choices.told.value
    with pytest.raises(Exception, match="nothing to write"):
        designer.text()


def test_every_control_has_a_label_with_its_unit(designer):
    labels = [c.slider.description for c in designer.controls.values()]
    labels += [dropdown.description for dropdown in designer.choices.lists.values()]

    assert labels[:2] == ["Clear span (ft)", "Tributary width from east joists (ft)"]
    assert "Floor live load on bedroom floor (psf)" in labels
    assert "Size of a ply (nominal, in)" in labels
    assert all(labels)
