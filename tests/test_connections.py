"""The schedule of connections: what each must carry, and what is told for it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from calclib.job.connections import end_brace_force, net_uplift, share_cut
from calclib.job.file import JobError, parse
from calclib.job.solve import solve
from calclib.sheet.page import render

EXAMPLES = Path(__file__).parent.parent / "examples"
LARKSPUR = (EXAMPLES / "larkspur_house.toml").read_text("utf-8")
FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")
CAP = '[connections.cap]\nkind = "post cap"\njoins = ["beams.opening", "posts.west"]\n'
FOOT = '[connections.foot]\nkind = "post base"\njoins = ["posts.west"]\n'
BRACE = '[connections.brace]\nkind = "end brace"\njoins = ["beams.opening"]\n'
TIE = '[connections.tie]\nkind = "plate tie"\njoins = ["beams.opening"]\n'
NOTCH = '[connections.notch]\nkind = "notch tie"\njoins = ["walls.kitchen"]\n'
REPORT = 'report = "ER-0000"\n'
STEEL = 'thickness = "0.054 in"\nwidth = "1 1/2 in"\nnails = 8\n'


def checks(text: str) -> dict:
    return {
        check.id.removeprefix("finished/"): check
        for check in solve(parse(text)).checks
        if check.id.startswith("finished/")
    }


def test_what_nobody_told_is_open_with_what_it_must_carry():
    found = checks(LARKSPUR)

    for key in ("beams.opening/cap.west", "posts.west/foot", "beams.opening/ends"):
        assert found[key].state == "open"
        assert found[key].demand.at(found[key].case) > 0
    bearing = found["beams.opening/bearing.west"]
    cap = found["beams.opening/cap.west"]
    assert cap.demand.at(cap.case) == pytest.approx(bearing.demand.at(bearing.case) * 5.25 * 3.5)


@pytest.mark.parametrize(("capacity", "state"), [("9000 lbf", "passes"), ("4000 lbf", "fails")])
def test_a_cap_is_compared_with_its_listed_capacity(capacity, state):
    cap = checks(f'{LARKSPUR}{CAP}capacity = "{capacity}"\n{REPORT}')["beams.opening/cap.west"]

    assert cap.state == state
    assert "ER-0000" in cap.clause


def test_a_tie_without_download_is_compared_with_the_uplift():
    foot = checks(f'{LARKSPUR}{FOOT}uplift = "900 lbf"\n{REPORT}')["posts.west/foot"]

    # Nothing lifts without wind.
    assert foot.demand.at(foot.case) == 0
    assert foot.state == "passes"


def test_what_lifts_is_asked_for_and_fails_a_weak_tie():
    # A tank at the far end of an overhang lifts the other support.
    text = LARKSPUR.replace('starts_at = "0 ft"', 'starts_at = "0 ft"\noverhang_end = "8 ft"')
    text = text.replace("unbraced_top", 'unbraced_bottom = "8 ft"\nunbraced_top', 1)
    text = re.sub(r'along = "whole"', 'from = "0 ft"\nto = "2 ft"', text)
    text += '[points.tank]\nrests_on = "beams.opening"\nat = "21 ft"\nlive = "9000 lbf"\n'
    listed = f'{CAP}capacity = "9000 lbf"\n{REPORT}'

    asked = checks(text + listed)["beams.opening/cap.west"]
    weak = checks(f'{text}{listed}uplift = "100 lbf"\n')["beams.opening/cap.west"]
    strong = checks(f'{text}{listed}uplift = "9000 lbf"\n')["beams.opening/cap.west"]

    assert min(asked.demand.number) < 0
    assert [c.state for c in (asked, weak, strong)] == ["open", "fails", "passes"]
    assert net_uplift(-150.0) == 150.0
    assert net_uplift(150.0) == 0.0


def test_the_ends_of_a_beam_are_braced_for_a_share_of_its_compression():
    # By hand: 2 % of M / (2/3 d), a habit of the trade, no source; 10,000 lbf ft, 12 in deep.
    assert end_brace_force(0.02, 120_000.0, 90_000.0, 12.0) == pytest.approx(0.02 * 120_000 / 8)
    weak, strong = (
        checks(f'{LARKSPUR}{BRACE}capacity = "{n} lbf"\n')["beams.opening/ends"] for n in (300, 600)
    )

    assert (weak.state, strong.state) == ("fails", "passes")


def test_plates_that_a_beam_cuts_are_tied_by_design():
    def tie(more, beam='plates = "cut"\n'):
        text = FOXGLOVE.replace('plates = "cut"', "#", 1)
        text = text.replace('[beams.opening]\nstands = "new"\n',
                            f'[beams.opening]\nstands = "new"\n{beam}', 1)  # fmt: skip
        return checks(text + more).get("beams.opening/plate_tie")

    force = 'plates = "cut"\nplate_tie_force = "1500 lbf"\n'
    listed = f'\n{TIE}capacity = "1800 lbf"\n{REPORT}'
    assert tie("").state == "open"
    assert tie(listed).state == "open"
    assert tie("", force).state == "open"
    assert tie(listed, force).state == "passes"
    assert tie(listed.replace("1800", "1200"), force).state == "fails"
    assert tie("", 'plates = "run through"\n') is None
    # A new beam in the place of a wall, of whose plates nothing is told.
    assert any("was not told" in question for question in tie("", "").questions)


def test_a_beam_that_takes_no_wall_s_place_cuts_no_plates():
    assert "beams.opening/plate_tie" not in checks(LARKSPUR)


@pytest.mark.parametrize(
    ("notch", "more", "state"),
    [
        # IRC R602.6.1: more than half of the plate's width asks for a tie.
        ("1 3/4 in", "", "passes"),
        ("2 in", "", "fails"),
        ("2 in", f"\n{NOTCH}{STEEL}", "passes"),
        ("2 in", f"\n{NOTCH}{STEEL.replace('0.054', '0.044')}", "fails"),
        ("2 in", f"\n{NOTCH}{STEEL.replace('1 1/2', '1 1/4')}", "fails"),
        ("2 in", f"\n{NOTCH}{STEEL.replace('= 8', '= 6')}", "fails"),
    ],
)
def test_a_plate_notched_for_a_pipe(notch, more, state):
    plate = f'bracing = "unknown"\nplate_notch = "{notch}"\nplate_width = "3 1/2 in"\n'
    found = checks(FOXGLOVE.replace('bracing = "unknown"\n', plate, 1) + more)

    assert found["walls.kitchen/notch_tie"].state == state
    assert share_cut(1.75, 3.5) == 0.5


def test_the_schedule_lists_every_connection_with_its_state():
    page = render(solve(parse(f'{LARKSPUR}{CAP}capacity = "9000 lbf"\n{REPORT}')))
    schedule = page[page.index("Schedule of connections") : page.index("Register of assumptions")]

    rows = re.findall(r"<tr>.*?</tr>", schedule[schedule.index("<tbody>") :], flags=re.DOTALL)
    states = [re.search(r'class="state (\w+)"', row)[1] for row in rows]
    assert len(rows) == 5
    assert states.count("passes") == 1
    assert states.count("open") == 4
    told = next(row for row in rows if "Cap of west post" in row)
    assert "9,000 lbf" in told
    assert "ER-0000" in told
    assert "not given" in next(row for row in rows if "Cap of east post" in row)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (CAP.replace("posts.west", "posts.wset"), "connections.cap.joins: needs members of this"),
        (CAP.replace('"beams.opening", ', ""), "connections.cap.joins: needs members of this"),
        (FOOT.replace("posts.west", "walls.east"), "connections.foot.joins: needs members of this"),
        (
            BRACE.replace("beams.opening", "posts.west"),
            "connections.brace.joins: needs members of this file that meet there",
        ),
        (f'{CAP}capacity = "9000 lbf"\n', "connections.cap.report: needs the number of the"),
        (f"{CAP}nails = 8\n", "connections.cap.nails: needs it for a notch tie alone"),
        (CAP + CAP.replace(".cap]", ".twin]"), "connections.twin: needs one post cap at each"),
    ],
)
def test_a_slip_about_a_connection_is_answered(more, message):
    with pytest.raises(JobError) as refusal:
        parse(LARKSPUR + more)
    assert any(message in line for line in refusal.value.messages), refusal.value.messages


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            'bracing = "unknown"\n',
            'bracing = "unknown"\nplate_notch = "2 in"\n',
            "walls.kitchen.plate_width: needs the width of its top plate",
        ),
        (
            'plates = "cut"',
            'plate_tie_force = "900 lbf"\nplates = "run through"',
            "beams.opening.plate_tie_force: needs plates that are cut",
        ),
    ],
)
def test_a_slip_about_plates_is_answered(old, new, message):
    with pytest.raises(JobError) as refusal:
        parse(FOXGLOVE.replace(old, new, 1))
    assert any(message in line for line in refusal.value.messages), refusal.value.messages
