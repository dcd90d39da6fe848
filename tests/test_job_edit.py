"""A job file is changed where it stands: what was asked for changes, all other lines stay."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calclib.errors import InputError
from calclib.job.edit import edited, save
from calclib.job.errors import JobError
from calclib.job.file import read

EXAMPLES = sorted((Path(__file__).parents[1] / "examples").glob("*.toml"))
LARKSPUR = (Path(__file__).parents[1] / "examples" / "larkspur_house.toml").read_text("utf-8")
FORMS = {
    "a line": '[joists.east]  # over the kitchen\nspan = "13 ft 2 in"   # taped\nsize = "2x10"\n',
    "told": '[joists.east]\nspan = { value = "13 ft 2 in", basis = "measured" } # taped\n',
    "dotted": '# head\njoists.east.span = "13 ft 2 in" # taped\njoists.east.size = "2x10"\n',
    "inline": 'joists.east = { span = "13 ft 2 in", size = "2x10" } # both\n[posts.west]\n',
    "inline last": 'joists.east = { size = "2x10", span = "13 ft 2 in" }\n',
    "alone": 'joists = { east = { span = "13 ft 2 in" } }\n',
    "a table": '[joists.east.span]\nvalue = "13 ft 2 in" # taped\nbasis = "measured"\n',
    "quoted": "[joists.'east']\n\"span\" = '13 ft 2 in'\n",
    "a head above": '[joists]\neast.span = """13 ft 2 in""" # taped\n',
    "a list before": '[joists.east]\nrests_on = [ # both\n "a#]", "b",\n]\nspan = "13 ft 2 in"\n',
}


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("value", ["14 ft", {"value": "14 ft", "basis": "chosen", "note": '"x"\\'}])
def test_a_value_is_changed_in_every_form_that_toml_has(form, value):
    text = FORMS[form]

    new = edited(text, {"joists.east.span": value})

    want = {"value": "14 ft"} if form == "a table" and value == "14 ft" else value
    assert tomllib.loads(new)["joists"]["east"]["span"] == want
    assert [line for line in text.splitlines() if "13 ft" not in line][:1] == [
        line for line in new.splitlines() if "14 ft" not in line
    ][:1]
    for comment in ("# over the kitchen", "# taped", "# both", "# head"):
        assert (comment in text) == (comment in new)


@pytest.mark.parametrize("form", FORMS)
def test_a_key_is_taken_out_in_every_form(form):
    new = edited(FORMS[form], {"joists.east.span": None})

    assert "span" not in tomllib.loads(new).get("joists", {}).get("east", {})


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('[beams.b]\nsize = "2x10" # it\n\n[posts.west]\nsize = "4x4"\n', 'grade = "No.2"'),
        ('[beams.b]\n[beams.b.spans]\nx = "12 ft"\n', 'grade = "No.2"'),
        ('[beams]\nb.size = "2x10"\n', 'b.grade = "No.2"'),
        ('beams.b = { size = "2x10" }\n', '{ grade = "No.2", size'),
        ("beams.b = {}\n", '{ grade = "No.2"}'),
        ("# nothing yet\n", '[beams.b]\ngrade = "No.2"'),
        ('[posts.a]\nsize = "4x4"\n', '[beams.b]\ngrade = "No.2"'),
        ('beams.b.size = "2x10"\n[posts.a]\n', 'beams.b.size = "2x10"\nbeams.b.grade = "No.2"'),
    ],
)
def test_a_key_that_is_missing_comes_to_stand_in_its_table(text, line):
    new = edited(text, {"beams.b.grade": "No.2"})

    assert tomllib.loads(new)["beams"]["b"]["grade"] == "No.2"
    assert line in new


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_changes_in_the_lines_asked_for_alone(path):
    """Each number of the file in turn, and the file stays a job file."""
    job = read(path)
    entries = [e for named in job.sections.values() for s in named.values() for e in _numbers(s)]
    assert len(entries) > 20

    for entry in entries:
        new = edited(job.text, {entry.path: {"value": entry.text, "note": "again"}})
        differing = [
            (a, b) for a, b in zip(job.text.splitlines(), new.splitlines(), strict=True) if a != b
        ]
        assert len(differing) == 1
        assert _comment(differing[0][0]) == _comment(differing[0][1])


def _numbers(section):
    for item in (
        *section.numbers.values(),
        *(i for t in section.inside.values() for i in t.values()),
    ):
        if hasattr(item, "numbers"):
            yield from _numbers(item)
        elif item.text and item.key.kind != "count" and "item" not in item.note:
            yield item


def _comment(line: str) -> str:
    return line.partition("  #")[2]


def test_what_is_no_toml_is_refused_as_such():
    with pytest.raises(JobError, match="needs a line of TOML"):
        edited("[joists.east\n", {"joists.east.span": "14 ft"})


def test_a_value_below_what_is_no_table_is_refused():
    with pytest.raises(InputError, match="needs a table of entries"):
        edited('a = "b"\n', {"a.b": "c"})


NAMES = st.sampled_from(["a", "b", "c d", "e.f", "g-1"])
VALUES = st.recursive(
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8) | st.integers(),
    lambda inner: st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=4,
)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.dictionaries(st.sampled_from("abc"), st.dictionaries(st.sampled_from("xyz"), VALUES)),
       st.sampled_from("abc"), st.sampled_from("xyz"), VALUES | st.none(),
       st.booleans())  # fmt: skip
def test_any_value_of_any_table_comes_out_as_written(data, table, key, value, by_heads):
    """Built with the same writer, read by the standard library's reader."""
    text = ""
    for name, inner in data.items():
        text += f"[{name}]\n" if by_heads else ""
        for each, content in inner.items():
            text = edited(text, {f"{name}.{each}": content})

    new = edited(text, {f"{table}.{key}": value})

    found = tomllib.loads(new).get(table, {})
    assert found.get(key) == value
    for name, inner in data.items():
        for each, content in inner.items():
            if (name, each) != (table, key):
                assert tomllib.loads(new)[name][each] == content


def test_a_job_is_saved_whole_under_a_name_that_is_free(tmp_path):
    path = save(LARKSPUR, tmp_path / "larkspur_b.toml")

    assert path.read_text("utf-8") == LARKSPUR
    assert read(path).title_block["number"] == "LH-01"


def test_a_file_that_stands_there_is_never_written_over(tmp_path):
    path = tmp_path / "house.toml"
    path.write_text("mine", "utf-8")

    with pytest.raises(InputError, match="needs a name that is free, got a file"):
        save(LARKSPUR, path)

    assert path.read_text("utf-8") == "mine"


@pytest.mark.parametrize(
    ("name", "reason"),
    [("house.txt", "a name that ends in .toml"), ("no/house.toml", "Name a folder that is there")],
)
def test_a_place_where_no_job_file_can_be_is_refused(tmp_path, name, reason):
    with pytest.raises(InputError, match=reason):
        save(LARKSPUR, tmp_path / name)


def test_what_is_no_job_is_not_saved(tmp_path):
    with pytest.raises(JobError):
        save("format = 1\n", tmp_path / "house.toml")

    assert list(tmp_path.iterdir()) == []
