"""No text makes the reader hang, fall over or run anything: it reads a job or says why not."""

import os
import re
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calclib.job import toml
from calclib.job.errors import MOST_MESSAGES
from calclib.job.file import JobError, parse, read

ROOT = Path(__file__).parents[1]
# From the first entry on, so that no piece of a comment is replaced.
EXAMPLES = [
    text[text.index("format = 1") :]
    for text in (path.read_text(encoding="utf-8") for path in (ROOT / "examples").glob("*.toml"))
]
(EXAMPLE,) = (text for text in EXAMPLES if "Larkspur" in text)
HEAD = "format = 1\n"
FULL = toml.LARGEST_FILE - 100


def refusals(text):
    """Return the messages with which a text is refused."""
    with pytest.raises(JobError) as refusal:
        parse(text, "alder.toml")
    return refusal.value.messages


def refusal_of(path):
    """Return the one message with which a file is refused."""
    with pytest.raises(JobError) as refusal:
        read(path)
    (message,) = refusal.value.messages
    return message


def replaced(old, new):
    """Return the example with one piece of it replaced."""
    assert old in EXAMPLE
    return EXAMPLE.replace(old, new, 1)


def test_a_large_file_is_refused_before_it_is_read(tmp_path, monkeypatch):
    """Its size is asked first; nothing is opened."""
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * (toml.LARGEST_FILE + 1))
    monkeypatch.setattr("builtins.open", lambda *_: pytest.fail("the file was opened"))

    message = refusal_of(path)

    assert message.startswith("large.toml: needs at most 1,000,000 bytes, got 1,000,001. A job ")


def test_a_file_of_the_largest_size_is_read(tmp_path):
    """The limit itself is allowed."""
    path = tmp_path / "house.toml"
    text = EXAMPLE.encode()
    path.write_bytes(text + b"#" * (toml.LARGEST_FILE - len(text)))

    assert read(path).of("beams")


def test_a_file_that_grows_while_it_is_read_is_refused(tmp_path, monkeypatch):
    """A wrong size of the system does not let more in."""
    path = tmp_path / "growing.toml"
    path.write_bytes(b"#" * (toml.LARGEST_FILE + 1))
    size = os.stat_result((0o100644, 0, 0, 0, 0, 0, 10, 0, 0, 0))
    monkeypatch.setattr(toml.os, "stat", lambda _: size)

    assert "needs at most 1,000,000 bytes" in refusal_of(path)


def test_a_long_text_is_refused():
    """The limit holds for text that was not a file."""
    (message,) = refusals("é" * 600_000)

    assert "needs at most 1,000,000 bytes, got 1,200,000." in message


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("", "got no such file or directory."),
        ("missing.toml", "got no such file or directory."),
        ("folder", "got a folder."),
        ("n\0l.toml", "got a name with a null character."),
        ("x" * 5000, "got file name too long."),
        ("\ud800.toml", "got a name that no file can have."),
        ("a/b.toml", "got no such file or directory."),
    ],
)
def test_what_is_no_file_is_refused(tmp_path, monkeypatch, name, said):
    """Whatever stands where a job should."""
    (tmp_path / "folder").mkdir()
    monkeypatch.chdir(tmp_path)

    message = refusal_of(name)

    assert "needs a job file that can be read, " + said in message
    assert "calclib check house.toml" in message
    assert message.isprintable()


@pytest.mark.skipif(os.name == "nt", reason="devices and pipes have no path there")
def test_a_device_or_a_pipe_is_refused_at_once(tmp_path):
    """One that gives nothing, one that never ends, one that nobody writes into."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)

    messages = [refusal_of(path) for path in (os.devnull, "/dev/zero", pipe)]

    assert all("needs a job file that can be read, got a device." in m for m in messages)


def test_an_empty_file_says_what_it_lacks(tmp_path):
    """The head, the title block, the beam."""
    path = tmp_path / "empty.toml"
    path.write_bytes(b"")

    with pytest.raises(JobError) as refusal:
        read(path)

    places = [message.partition(":")[0] for message in refusal.value.messages]
    assert places == ["empty.toml, format", "empty.toml, job", "empty.toml, beams"]


@pytest.mark.parametrize(
    "data",
    [
        b"\xef\xbb\xbf" + EXAMPLE.encode(),
        EXAMPLE.replace("\n", "\r\n").encode(),
        b"\xef\xbb\xbf" + EXAMPLE.replace("\n", "\r\n").encode(),
    ],
    ids=["byte order mark", "lines of Windows", "both"],
)
def test_a_file_of_another_editor_is_read_alike(tmp_path, data):
    """A mark at its head and two characters at each line's end change nothing."""
    path = tmp_path / "house.toml"
    path.write_bytes(data)

    assert read(path) == parse(EXAMPLE, "house.toml")


@pytest.mark.parametrize(
    ("data", "line"),
    [
        (EXAMPLE.encode("utf-16"), 1),
        (b"format = 1\n[job]\nsite = \"Z\xfcrich\"\n", 3),
        (b"\xff", 1),
        (HEAD.encode() + b"\xed\xa0\x80", 2),
    ],
    ids=["UTF-16", "Latin-1", "no text", "half a character"],
)  # fmt: skip
def test_bytes_that_are_no_utf_8_are_refused_with_their_line(tmp_path, data, line):
    """The editor is told how to save."""
    path = tmp_path / "house.toml"
    path.write_bytes(data)

    assert refusal_of(path) == (
        f"house.toml, line {line}: needs UTF-8 text, got other bytes. "
        "Save the file as UTF-8, in a plain text editor."
    )


DEEP = {
    "header": "[" + ".".join(["a"] * 2000) + "]",
    "header of a list": "[[" + ".".join(["a"] * 2000) + "]]",
    "key": ".".join(["a"] * 2000) + " = 1",
    "key in a table": "[job]\n" + ".".join(["a"] * 2000) + " = 1",
    "key in an inline table": "a = { " + ".".join(["a"] * 2000) + " = 1 }",
    "key after a comma": "a = { b = 1, " + ".".join(["a"] * 2000) + " = 1 }",
    "quoted key": ".".join(['"a.b"'] * 2000) + " = 1",
    "literal key": " . ".join(["'a'"] * 2000) + " = 1",
    "key after a text with a quote": 'a = "\\""\n' + ".".join(["a"] * 2000) + " = 1",
    "key after a text over lines": 'a = """\n"\\""" ""\n""""\n' + ".".join(["a"] * 2000) + " = 1",
    "key after a literal over lines": "a = ''''\n''x\\'''\n" + ".".join(["a"] * 2000) + " = 1",
    "key after a comment": "# it's \"\n" + ".".join(["a"] * 2000) + " = 1",
    "lists": "a = " + "[" * 5000 + "]" * 5000,
    "lists over lines": "a = " + "[ # [\n" * 5000,
    "tables": "a = " + "{a=" * 5000 + "1" + "}" * 5000,
    "lists and tables": "a = " + "[{a=" * 2500,
}


@pytest.mark.parametrize("text", DEEP.values(), ids=DEEP)
def test_nesting_is_refused_before_it_is_parsed(text, monkeypatch):
    """Python's parser takes seconds for a deep key and breaks off at deep brackets."""
    monkeypatch.setattr(toml.tomllib, "loads", lambda _: pytest.fail("the text was parsed"))

    (message,) = refusals(HEAD + text)

    assert re.match(r"alder\.toml, line \d+: needs tables and lists at most 10 deep, ", message)


HARMLESS = "a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q [[[[[[[[[[[[[[[[[[ {{{{{{{{{{{{{{{{{{{"


@pytest.mark.parametrize(
    "text",
    [
        replaced('"tape, first survey"', f'"{HARMLESS}"'),
        replaced('"tape, first survey"', f"'{HARMLESS} \"'"),
        replaced('"tape, first survey"', f'"""{HARMLESS}"" {HARMLESS} \\""""'),
        replaced('"tape, first survey"', f'"\\" {HARMLESS}"'),
        replaced('"tape, first survey"', f"'''\nit''s\n{HARMLESS}'''"),
        replaced('units = "US"', f'units = "US" # {HARMLESS}'),
        f"# {HARMLESS} \" ' \n{EXAMPLE}# '''{HARMLESS}",
    ],
    ids=["text", "literal", "text over lines", "after a quote", "literal over lines",
         "comment on a line", "comments"],
)  # fmt: skip
def test_dots_and_brackets_in_text_and_comments_are_harmless(text):
    """Only what the parser would nest counts."""
    assert parse(text).of("beams")


@pytest.mark.parametrize("depth", [1, 9, 10])
def test_nesting_up_to_the_limit_reaches_the_parser(depth):
    """What is allowed gets an answer about its content, for keys and for brackets."""
    for text in (".".join(["a"] * depth) + " = 1", "a = " + "[" * depth + "]" * depth):
        assert any('got "a"' in message for message in refusals(HEAD + text))


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("nan", "got the number nan"),
        ("-inf", "got the number -inf"),
        ("1e400", "got the number inf"),
        ("9" * 1000, "got a number of more than 60 digits"),
        ("0x" + "f" * 9000, "got a number of more than 60 digits"),
        ('"9**9**9**9 ft"', 'got "9**9**9**9 ft"'),
        ('"1e999 ft"', 'got "1e999 ft"'),
        ('"1e300 ft"', 'got "1e300 ft"'),
        ('"nan ft"', 'got "nan ft"'),
        ("\"__import__('os').getcwd()\"", "got \"__import__('os').getcwd()\""),
        ("2026-10-12", 'got "2026-10-12"'),
        ("[[]]", "got a list"),
        ("true", "got true"),
        ('{ value = { value = "13 ft" } }', "got a table"),
    ],
)
def test_a_number_that_is_none_is_refused(value, said):
    """Where a length belongs, nothing else gets through, and nothing is evaluated."""
    text = replaced('span = { value = "13 ft 2 in", basis', f"span = {{ value = {value}, basis")
    nested = replaced('{ value = "13 ft 2 in", basis = "measured", source = "tape, first survey" }',
                      value)  # fmt: skip

    for each in (text, nested):
        (message,) = refusals(each)

        assert message.startswith("alder.toml, joists.east.span")


@pytest.mark.parametrize(
    "value",
    ["nan", "inf", "3.0", "true", '"3"', "9" * 4000, "-3", "0", "1e999", "[3]", "{ n = 3 }"],
)
def test_a_count_that_is_none_is_refused(value):
    """Plies are counted in whole numbers."""
    messages = refusals(replaced("plies = 3", f"plies = {value}"))

    assert messages[0].startswith("alder.toml, beams.opening.plies")
    assert all(message.startswith("alder.toml, beams.opening.plies") for message in messages)


def test_an_integer_that_python_refuses_is_refused_with_its_line():
    """Over 4,300 digits Python itself raises."""
    assert refusals(HEAD + "\na = " + "9" * 900_000) == (
        "alder.toml, line 3: needs numbers of ordinary size, got a giant one. "
        'Write a number with its unit, such as "13 ft 2 in".',
    )


WALL = 'along = "whole"\nweight = "1 psf"\nheight = "1 ft"\n'
SLOW = {
    "quotes that do not close": HEAD + "'\"" * (FULL // 2),
    "escaped quotes that do not close": HEAD + 'a = "' + '\\"' * (FULL // 2),
    "a text over lines that does not close": HEAD + 'a = """' + '\\"""' * (FULL // 4),
    "a literal over lines that does not close": HEAD + "a = '''" + "''x" * (FULL // 3),
    "spaces": HEAD + "a = x" + " " * FULL + "y",
    "digits": HEAD + "a = " + ("0" * 999 + "a") * (FULL // 1000),
    "dots": HEAD + ("." * 9 + "[]") * (FULL // 11),
    "one long name": HEAD + "[joists." + "a" * FULL + "]",
    "unknown keys": HEAD + "[job]\n" + "".join(f"a{n} = 1\n" for n in range(70_000)),
    "unknown units": HEAD
    + "[surfaces.a.layers]\n"
    + "".join(f'a{n} = "1 psg"\n' for n in range(50_000)),
    "unknown supports": EXAMPLE
    + "".join(f'[walls.w{n}]\nrests_on = "walls.x{n}"\n{WALL}' for n in range(5_000)),
    "circles": EXAMPLE
    + "".join(f'[walls.w{n}]\nrests_on = "walls.w{n ^ 1}"\n{WALL}' for n in range(5_000)),
    "a high tower": EXAMPLE
    + "".join(f'[walls.w{n}]\nrests_on = "walls.w{n + 1}"\n{WALL}' for n in range(5_000)),
}


@pytest.mark.parametrize("text", SLOW.values(), ids=SLOW)
def test_a_megabyte_of_anything_is_answered_soon(text):
    """Time grows with the length of the text, not with its square."""
    start = time.process_time()

    messages = refusals(text[: toml.LARGEST_FILE])
    taken = time.process_time() - start

    assert len(messages) <= MOST_MESSAGES + 1
    # Seconds are what a busy machine takes; with the square of this length it were minutes.
    assert taken < 30


def test_a_flood_of_errors_is_cut_off():
    """Nobody reads more than a hundred, and the last line says that there may be more."""
    text = HEAD + "".join(f"a{n} = 1\n" for n in range(1000))

    messages = refusals(text)

    assert len(messages) == MOST_MESSAGES + 1
    assert messages[-1].startswith("alder.toml: there may be more than these 100 errors.")


@pytest.mark.parametrize(
    "text",
    [
        replaced('number = "LH-01"', 'number = "LH\\u001b[31m"'),
        replaced('number = "LH-01"', 'number = "LH\\u202e"'),
        replaced('number = "LH-01"', 'number = "LH\\u0000"'),
        replaced('source = "tape, first survey"', 'source = "\\u0007"'),
        HEAD + '"\\u001b[2J" = 1\n',
        HEAD + '[joists."\\u202e\\n"]\n',
        HEAD + "[surfaces.\"a\\nb\"]\n",
        HEAD + "a = \ud800",
        "\x1b[2J\n",
        "\0",
        HEAD + "\r",
    ],
)  # fmt: skip
def test_a_message_cannot_disturb_the_terminal(text):
    """What does not print is shown as an escape; a message stays on its line."""
    messages = refusals(text)

    assert messages
    assert all(message.isprintable() for message in messages)


def test_text_of_a_job_is_kept_as_it_is():
    """Brackets and signs of other languages are data; who shows them must escape them."""
    title = "<script>alert(1)</script> {{ 7 * 7 }} ${x} %s"

    job = parse(replaced("Larkspur house: opening between kitchen and dining room", title))

    assert job.title_block["title"] == title


SIZES = st.text('0123456789/- x×."in', max_size=40)
WORDS = st.one_of(
    st.text(max_size=30),
    SIZES,
    st.sampled_from(["", "9" * 299, "2x10", "1/0 x 2", "2x10\n", "No.2", "generic", "ground"]),
)


def quoted(word):
    """Return a word as a TOML text."""
    return '"' + "".join(
        f"\\U{ord(c):08x}" if c in '"\\' or not c.isprintable() else c for c in word
    ) + '"'  # fmt: skip


@settings(max_examples=150)
@given(st.data())
def test_any_word_in_place_of_another_is_read_or_refused(data):
    """Each text of the example is tried with words of every kind."""
    text = data.draw(st.sampled_from(EXAMPLES))
    spots = list(re.finditer(r'"[^"\n]*"', text))
    spot = data.draw(st.sampled_from(spots))
    word = data.draw(WORDS.filter(lambda word: not re.search("[\ud800-\udfff]", word)))

    only_job_errors(text[: spot.start()] + quoted(word) + text[spot.end() :])


@settings(max_examples=150)
@given(st.data())
def test_any_mutation_of_an_example_is_read_or_refused(data):
    """Pieces are cut out, doubled, moved or replaced."""
    text = data.draw(st.sampled_from(EXAMPLES))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 80)))
        to = data.draw(st.integers(0, len(text)))
        piece = data.draw(st.one_of(
            st.just(""), st.just(text[start:end]), st.text(max_size=8),
            st.sampled_from(["[", "]", "{", "}", '"', "'", "=", ".", "\n", "nan", "\\", "#", "1"]),
        ))  # fmt: skip
        text = text[:start] + text[end:] if data.draw(st.booleans()) else text
        text = text[:to] + piece + text[to:]

    only_job_errors(text)


@settings(max_examples=100)
@given(st.data())
def test_any_lines_of_an_example_left_out_or_swapped_are_read_or_refused(data):
    """A file half written, with sections in any order."""
    lines = data.draw(st.sampled_from(EXAMPLES)).splitlines(keepends=True)
    left_out = data.draw(st.sets(st.integers(0, len(lines) - 1), max_size=12))
    kept = [line for number, line in enumerate(lines) if number not in left_out]
    cut = data.draw(st.integers(0, len(kept)))

    only_job_errors("".join([*kept[cut:], *kept[:cut]]))


TABLES = st.recursive(
    st.one_of(st.integers(), st.booleans(), st.floats(), st.text(max_size=5)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(
            ["east", "span", "spans", "supports", "layers", "value", "item", "basis", "on",
             "rests_on", "use", "a b", ""]), inner, max_size=4),
    ),
    max_leaves=12,
)  # fmt: skip


@settings(max_examples=150)
@given(st.dictionaries(st.sampled_from(
    ["format", "job", "surfaces", "joists", "rafters", "walls", "points", "beams", "posts", "x"]),
    TABLES, max_size=5))  # fmt: skip
def test_any_shape_of_tables_is_refused(data):
    """Lists for tables, numbers for names, sections without content."""
    only_job_errors("".join(f"{key} = {written(value)}\n" for key, value in data.items()))


def written(value):
    """Return a value as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return quoted(value) if not re.search("[\ud800-\udfff]", value) else '"?"'
    if isinstance(value, list):
        return f"[{', '.join(map(written, value))}]"
    if isinstance(value, dict):
        inside = ", ".join(f"{quoted(key)} = {written(each)}" for key, each in value.items())
        return f"{{ {inside} }}"
    return repr(value)


@settings(max_examples=150)
@given(st.text())
def test_any_text_is_refused(text):
    """Text that is no job gets a message, whatever it holds."""
    assert refusals(text)


def messages_of(text):
    """Return the messages with which a text is refused; none when it is a job."""
    try:
        job = parse(text, "alder.toml")
    except JobError as error:
        return error.messages
    assert job.of("beams")
    return ()


def only_job_errors(text):
    """Read a text; it is a job, or it is refused in messages that can be printed on a line each."""
    for message in messages_of(text):
        assert re.match(r"alder\.toml.*: needs .+, got .+\. .+", message), message
        assert message.isprintable()


def test_the_reader_evaluates_nothing():
    """No module of the reader has a way to run text."""
    words = re.compile(r"\b(eval|exec|compile|literal_eval|sympify|parse_expr|__import__)\(")
    folder = ROOT / "calclib" / "job"

    found = [
        path.name
        for path in sorted(folder.glob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if words.search(line) and "re.compile(" not in line
    ]

    assert "toml.py" in os.listdir(folder)
    assert found == []


def test_deep_recursion_of_the_parser_is_answered(monkeypatch):
    """Whatever the parser of another Python does, no traceback reaches the user."""
    monkeypatch.setattr(toml.tomllib, "loads", lambda _: (_ for _ in ()).throw(RecursionError()))
    assert sys.getrecursionlimit() > toml.DEEPEST

    (message,) = refusals(EXAMPLE)

    assert message.startswith("alder.toml, line 1: needs numbers of ordinary size")
