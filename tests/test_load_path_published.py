"""The load path against printed numbers, and the ways in which a house is put together."""

from __future__ import annotations

import dataclasses
import html
import re
from pathlib import Path

import pytest
from houses import house

from calclib.errors import InputError
from calclib.job import audit, tree
from calclib.job.carry import balance
from calclib.job.file import JobError, parse, read
from calclib.job.solve import Solved, solve
from calclib.sheet.page import render
from calclib.units import ft, lbf, plf

EXAMPLES = Path(__file__).parent.parent / "examples"
FOXGLOVE = (EXAMPLES / "foxglove_cottage.toml").read_text("utf-8")

HEAD = """format = 1
[job]
title = "A house of the tests"
number = "T-1"
site = "Nowhere"
date = 2026-11-26
revision = "A"
prepared_by = ""
checked_by = ""
units = "US"
method = "ASD"
load_standard = "ASCE 7-16"
building_code = "IRC 2018"
"""
BEAM = """[beams.NAME]
material = "generic 2.0E-2900Fb LVL"
plies = 3
size = "1-3/4 x 11-7/8"
density = "42 pcf"
setting = "dropped"
starts_at = "2 in"
moisture = "dry"
temperature = "100 F or less"
unbraced_top = "16 in"
live_limit = "L/360"
total_limit = "L/240"
dead_load_rule = "NDS 3.5.2"
[beams.NAME.spans]
only = "LONG"
[beams.NAME.supports.a]
on = "ground"
bearing = "4 in"
[beams.NAME.supports.b]
on = "ground"
bearing = "4 in"
"""


def beam(name: str = "girder", long: str = "15 ft 8 in") -> str:
    return BEAM.replace("NAME", name).replace("LONG", long)


def floor(live: float, dead: float, name: str = "floor") -> str:
    return f'[surfaces.{name}]\nlive = "{live} psf"\n[surfaces.{name}.layers]\nall = "{dead} psf"\n'


def joists(name: str, on: str, span: str, more: str = "", surface: str = "floor") -> str:
    return (
        f'[joists.{name}]\nsurface = "{surface}"\nrests_on = [{on}]\nspan = "{span}"\n'
        f'along = "whole"\nsize = "2x10"\nspacing = "16 in"\n{more}\n'
    )


WALLS = '[walls.west]\nrests_on = "ground"\n[walls.east]\nrests_on = "ground"\n'


def lines_on(solved: Solved, path: str) -> float:
    """Return the line loads that land on a member, summed [lbf/in]."""
    return sum(row.size.at() for row in solved.landed[path] if row.size.unit == "plf")


def handed(solved: Solved, giver: str, taker: str) -> float:
    return sum(
        each.total for each in solved.flow.handings if (each.giver, each.taker) == (giver, taker)
    )


def test_a_girder_off_the_middle_carries_half_of_each_side():
    # US Army Engineer School, EN5156 Carpentry, art. 1-6: joists of 14 and 10 ft, 70 psf: 840 plf.
    text = HEAD + floor(60, 10) + WALLS + beam()
    text += joists("long", '"walls.west", "beams.girder"', "14 ft")
    text += joists("short", '"beams.girder", "walls.east"', "10 ft")

    assert lines_on(solve(parse(text)), "beams.girder") == pytest.approx(840 * plf)


def test_a_floor_runs_down_to_beam_and_column():
    # University of Oregon ARCH 461, lecture 19, example 1: 50 psf, joists of 18 ft: 900 lb at each
    # end of a joist at 2 ft, so 450 lb/ft on a beam of 16 ft and 3,600 lb on a column.
    text = HEAD + floor(40, 10) + WALLS + beam()
    text += joists("only", '"beams.girder", "walls.east"', "18 ft")
    solved = solve(parse(text))

    assert lines_on(solved, "beams.girder") == pytest.approx(450 * plf)
    own = solved.flow.own["beams.girder"]["D"]
    assert handed(solved, "beams.girder", "ground") - own == pytest.approx(2 * 3600 * lbf)


def test_the_headers_of_a_house_of_two_storeys():
    # P. Fisette, University of Massachusetts, sizing headers (from memory): roof 65 psf x 14 ft =
    # 910 plf on the upper header; with a wall of 80 plf and a floor of 40 psf x 6 ft, 1230 plf.
    text = HEAD + floor(30, 10) + WALLS
    text += '[surfaces.roof]\nsnow = "50 psf"\n[surfaces.roof.layers]\nall = "15 psf"\n'
    text += beam("upper") + beam("lower")
    text += '[rafters.roof]\nsurface = "roof"\nrests_on = ["beams.upper", "walls.west"]\n'
    text += 'span = "28 ft"\nalong = "whole"\nsize = "2x12"\nspacing = "16 in"\n'
    text += '[walls.upper]\nweight = "10 psf"\nheight = "8 ft"\nrests_on = "beams.lower"\n'
    text += 'from = "0 ft"\nto = "16 ft"\n'
    text += joists("floor", '"beams.lower", "walls.east"', "12 ft")
    text = text.replace('on = "ground"\nbearing', 'on = "walls.upper"\nbearing', 2)
    solved = solve(parse(text))

    assert lines_on(solved, "beams.upper") == pytest.approx(910 * plf)
    own = sum(solved.flow.own["beams.upper"].values())
    assert handed(solved, "beams.upper", "walls.upper") - own == pytest.approx(910 * 16 * lbf)
    # The upper header comes down at two places on the wall; its sum is the printed line load.
    below = handed(solved, "walls.upper", "beams.lower") - own
    below += handed(solved, "joists.floor", "beams.lower")
    assert below / (16 * ft) == pytest.approx(1230 * plf)


def through(over: str, spans: tuple[float, ...], more: str = "") -> Solved:
    names = [f"walls.w{i}" for i in range(len(spans) + 1)]
    names[1] = "beams.girder"
    text = HEAD + floor(40, 10) + beam()
    text += "".join(f'[{n}]\nrests_on = "ground"\n' for n in names if n.startswith("walls."))
    listed = ", ".join(f'"{n}"' for n in names)
    text += f'[joists.j]\nsurface = "floor"\nrests_on = [{listed}]\nover_supports = "{over}"\n'
    text += f'along = "whole"\nsize = "2x10"\nspacing = "16 in"\n{more}\n[joists.j.spans]\n'
    text += "".join(f's{i} = "{span} ft"\n' for i, span in enumerate(spans))
    return solve(parse(text))


@pytest.mark.parametrize(
    ("spans", "coefficients"),
    [
        # T. G. Hicks, Civil Engineering Formulas, Table 2.1: reactions over wL.
        ((12.0, 12.0), (0.375, 1.25, 0.375)),
        ((12.0, 12.0, 12.0), (0.4, 1.1, 1.1, 0.4)),
        ((12.0, 12.0, 12.0, 12.0), (0.393, 1.143, 0.928, 1.143, 0.393)),
    ],
)
def test_joists_that_run_on_load_their_walls_by_the_printed_coefficients(spans, coefficients):
    solved = through("continuous", spans)

    whole = 50 * plf * 12 * 16 * 12
    found = {each.taker: each.total / whole for each in solved.flow.handings
             if each.giver == "joists.j"}  # fmt: skip
    names = [f"walls.w{i}" for i in range(len(spans) + 1)]
    names[1] = "beams.girder"
    # Printed to three places.
    assert [found[name] for name in names] == pytest.approx(coefficients, abs=6e-4)


def test_cutting_joists_loads_the_far_walls_by_a_third_more():
    """0.5 wl against 0.375 wl (the same table), and the wall between is relieved by a fifth."""
    whole = through("continuous", (12.0, 12.0))
    cut = through("simple", (12.0, 12.0))

    def ratio(path):
        return handed(cut, "joists.j", path) / handed(whole, "joists.j", path)

    assert ratio("walls.w0") == pytest.approx(4 / 3)
    assert ratio("beams.girder") == pytest.approx(4 / 5)


def test_cut_joists_sag_two_and_a_half_times_as_much():
    """5/384 = 0.0130 of a simple span against 0.0054 of two equal spans, both fully loaded."""
    wood = 'species = "hem-fir"\ngrade = "No.2"\nrepetitive = "yes"'
    sags = []
    for over in ("continuous", "simple"):
        solved = through(over, (12.0, 12.0), wood)
        joist = solved.joists[0]
        groups = [[float(g.source == "D") for g in joist.strength.groups]]
        curves = joist.solution.number.combine(groups)
        sags.append(float(curves.deflection_extremes.highest.max()))

    # AISC Manual, beam diagrams (from memory): 0.0054 wl^4/EI for two equal spans.
    assert sags[1] / sags[0] == pytest.approx((5 / 384) / 0.0054, rel=0.005)


def test_a_wall_on_an_overhang_lifts_the_other_end():
    """By statics: P x c / l off the far support, P x (1 + c / l) on the near one."""
    text = HEAD + floor(40, 10) + WALLS + beam()
    text += joists("bay", '"walls.west", "beams.girder"', "10 ft", 'overhang_end = "2 ft"')
    text += '[walls.bay]\nweight = "10 psf"\nheight = "10 ft"\nrests_on = "joists.bay"\n'
    text += 'across = "12 ft"\nfrom = "0 ft"\nto = "16 ft"\n'
    bare = text.replace('weight = "10 psf"', 'weight = "0 psf"')

    def more(path):
        return handed(solve(parse(text)), "joists.bay", path) - handed(
            solve(parse(bare)), "joists.bay", path
        )

    wall = 100 * plf * 16 * ft
    assert more("walls.west") == pytest.approx(-wall * 2 / 10)
    assert more("beams.girder") == pytest.approx(wall * 12 / 10)


def test_a_short_back_span_is_lifted_and_fails():
    text = HEAD + floor(40, 10) + WALLS + beam()
    wood = 'overhang_end = "6 ft"\nspecies = "hem-fir"\ngrade = "No.2"'
    text += joists("bay", '"walls.west", "beams.girder"', "5 ft", wood)

    solved = solve(parse(text))
    uplift = next(c for c in solved.checks if c.id == "finished/joists.bay/uplift.west_wall")

    assert uplift.state == "fails"
    held = solve(parse(text.replace('span = "5 ft"', 'span = "5 ft"\nheld_down = ["walls.west"]')))
    uplift = next(c for c in held.checks if c.id == "finished/joists.bay/uplift.west_wall")
    assert uplift.questions


def test_a_new_beam_takes_its_stretch_of_the_wall_and_no_more():
    solved = solve(parse(FOXGLOVE))

    marks = [
        (s.start.at() / 12, s.end.at() / 12, s.marks) for s in solved.flow.strips["joists.attic"]
    ]
    # From center to center of the bearings: 11 ft 6 in and 3-1/2 in.
    low, high = -1.75 / 12, 11.5 + 1.75 / 12
    runs = ("walls.south", "walls.kitchen", "walls.north")
    assert [mark for *_, mark in marks] == [
        runs, ("walls.south", "beams.opening"), ("beams.opening", "walls.north"), runs,
    ]  # fmt: skip
    assert [place for *place, _ in marks] == pytest.approx(
        [pytest.approx(p) for p in ([-6, low], [low, high], [low, high], [high, 18])]
    )


def test_a_dropped_beam_leaves_the_joists_whole():
    text = FOXGLOVE.replace('setting = "flush"', 'setting = "dropped"')

    solved = solve(parse(text))

    assert all(len(strip.bays) == 2 for strip in solved.flow.strips["joists.attic"])
    assert not [c for c in solved.checks if "/hanger." in c.id]


def test_before_and_after_are_compared_member_by_member():
    solved = solve(parse(FOXGLOVE))
    found = {
        change.path: change
        for change in audit.changes(
            solved.found, solved.flow, solved.before, (*solved.beams, *solved.joists)
        )
    }

    # The same total, moved: the girder's load falls, its moment rises.
    girder = found["beams.girder"]
    assert girder.after < girder.before
    assert girder.moment_after > 1.05 * girder.moment_before
    assert girder.needs_check
    assert found["walls.south"].needs_check
    assert not found["walls.north"].needs_check
    ids = [check.id for check in solved.checks]
    assert "finished/walls.south/rise" in ids
    assert "finished/walls.north/rise" not in ids


def test_what_fails_as_found_says_so():
    solved = solve(parse(FOXGLOVE))

    failing = {c.id for c in solved.checks if c.state == "fails"}
    assert "as_found/beams.girder/bending" in failing
    assert "finished/beams.girder/bending" in failing
    girder = next(c for c in solved.checks if c.id == "finished/beams.girder/bending")
    assert any("fails as found already, with 1.259" in note for note in girder.notes)
    # What the work does not touch is checked once, and says that it is unchanged.
    unchanged = [c for c in solved.checks if any("does not change it" in n for n in c.notes)]
    assert {c.id.split("/")[1] for c in unchanged} == {"joists.attic.parlor-kitchen"}


def test_a_wall_that_may_brace_the_house_is_an_item_for_the_engineer():
    ids = {check.id: check for check in solve(parse(FOXGLOVE)).checks}
    assert ids["finished/walls.kitchen/bracing"].state == "open"

    sure = FOXGLOVE.replace('bracing = "unknown"', 'bracing = "no"')
    assert "finished/walls.kitchen/bracing" not in {c.id for c in solve(parse(sure)).checks}


def test_joists_one_by_one_stand_beside_the_line_load():
    """On a short header three joists are more than the line load says."""
    text = HEAD + floor(40, 10) + WALLS + beam(long="2 ft 8 in")
    text += joists("only", '"beams.girder", "walls.east"', "14 ft", 'first_joist = "2 in"')
    solved = solve(parse(text))

    bending = next(c for c in solved.checks if c.id == "finished/beams.girder/bending")
    assert bending.case_name == "D + L, joist by joist"
    # Joists at 2, 18 and 34 in of 36 in take 10, 16 and 10 in of the line: by hand the middle
    # moment is 18 w x 18 - 10 w x 16 = 164 w, against 36^2 w / 8 = 162 w.
    (girder,) = solved.beams
    groups = [group.source for group in girder.strength.groups]
    w = 40 * plf * 7
    for place, by_hand in zip(
        [i for i, source in enumerate(groups) if source == "L"], (162 * w, 164 * w), strict=True
    ):
        curves = girder.solution.number.combine([[float(i == place) for i in range(len(groups))]])
        assert curves.moment([18.0])[0, 0] == pytest.approx(by_hand)


def test_a_beam_lands_on_another_at_the_place_that_is_said():
    trimmer = beam("trimmer", "9 ft 8 in").replace(
        "[beams.trimmer]\n", '[beams.trimmer]\ndirection = "across"\n'
    )
    trimmer = trimmer.replace(
        'on = "ground"\nbearing', 'on = "beams.girder"\nat = "5 ft"\nbearing', 1
    )
    text = HEAD + floor(40, 10) + WALLS + beam() + trimmer
    text += joists("only", '"beams.girder", "walls.east"', "14 ft")
    text += '[points.tub]\nrests_on = "beams.trimmer"\nat = "5 ft"\nlive = "800 lbf"\n'
    solved = solve(parse(text))

    (tub,) = [row for row in solved.landed["beams.girder"] if row.origin == "points.tub"]
    # Half of it, for it stands in the middle of 10 ft; 5 ft along the girder.
    assert tub.size.at() == pytest.approx(400 * lbf)
    assert tub.start.at() == pytest.approx(5 * ft)

    with pytest.raises(JobError, match=r"supports\.a\.at: needs the place along girder beam"):
        parse(text.replace('at = "5 ft"\nbearing', "bearing"))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            'tie = "strap across the beam at each joist, designed by the engineer"\n',
            "",
            "joists.attic.tie: needs what ties south rafters once beams.opening cuts these joists",
        ),
        (
            'replaces = "walls.kitchen"\n',
            'replaces = "walls.kitchn"\n',
            'beams.opening.replaces: needs a wall of this file, got "walls.kitchn"',
        ),
        (
            'to = "18 ft"\nbracing',
            'to = "11 ft"\nbracing',
            "beams.opening.replaces: needs a stretch of kitchen wall",
        ),
        (
            '[posts.west]\nstands = "new"\n',
            "[posts.west]\n",
            None,
        ),
        (
            'stands = "new"\nreplaces = "walls.kitchen"\n',
            'replaces = "walls.kitchen"\n',
            "beams.opening.stands: needs new, for a beam that takes the place of a wall",
        ),
        (
            'pitch = { value = "6/12"',
            'pitch = { value = "6 in 12"',
            "rafters.south.pitch: needs rise over 12",
        ),
        (
            'ties = "rafters.south"',
            'ties = "rafters.souht"',
            'joists.attic.ties: needs rafters of this file, got "rafters.souht"',
        ),
        (
            'spacing = { value = "16 in", basis = "measured" }\nfirst_joist',
            'spacing = "16 in"\ndoes_not_bear_on = ["walls.kitchen"]\nfirst_joist',
            "joists.attic.does_not_bear_on: needs walls of this file on which it does not rest",
        ),
    ],
)
def test_a_slip_about_the_work_is_answered(old, new, message):
    assert old in FOXGLOVE
    text = FOXGLOVE.replace(old, new, 1)
    if message is None:
        assert parse(text)
        return
    with pytest.raises(JobError) as refusal:
        parse(text, "fox.toml")
    assert any(message in line for line in refusal.value.messages), refusal.value.messages


def test_trusses_are_never_cut():
    trusses = """[trusses.roof]
surface = "roof"
rests_on = ["walls.south", "walls.kitchen"]
span = "11 ft 9 in"
from = "-6 ft"
to = "18 ft"
spacing = "24 in"
"""
    with pytest.raises(JobError, match="needs supports below the trusses, which are never cut"):
        parse(FOXGLOVE + trusses)

    solved = solve(parse(FOXGLOVE.replace('"flush"', '"dropped"') + trusses))
    check = next(c for c in solved.checks if c.id == "finished/trusses.roof/design")
    assert check.state == "open"


def test_a_member_without_a_path_to_the_ground_is_named():
    text = FOXGLOVE.replace("[walls.kitchen] ", "[walls.kitchen]").replace(
        'bracing = "unknown"', 'bracing = "unknown"\nstands = "removed"'
    )

    with pytest.raises(InputError, match=r"joists\.attic: needs a path to the ground \(finished\)"):
        solve(parse(text))


def test_the_tree_prints_each_member_and_the_balance():
    text = tree.as_text(solve(read(EXAMPLES / "foxglove_cottage.toml")))

    assert "├ south wall" in text
    assert "rises by 18.0 % (moment): check required" in text  # regression, no source
    assert "snow        15,000 lbf          15,000 lbf" in text
    trial = tree.as_text(solve(parse(FOXGLOVE)), ["posts.west"])
    assert "falls: opening beam" in trial
    assert "falls: ridge props wall" in trial


def test_snow_is_drifted_onto_each_slope_in_turn():
    text = FOXGLOVE.replace(
        'snow = { value = "25 psf", basis = "required by code", '
        'source = "building office, roof snow load" }',
        'ground_snow = "36 psf"\npitch = "6/12"\neave_to_ridge = "14 ft"\nterrain = "B"\n'
        'exposure = "partially exposed"\nthermal = "heated"\nrisk_category = "II"\n'
        'slippery = "no"',
    )
    solved = solve(parse(text))

    # ASCE 7-16 7.3 and 7.6.1 (from memory): 0.7 x 36 psf balanced, 36 psf leeward, none windward.
    rows = [row for row in solved.landed["walls.south"] if row.source == "S"]
    assert {row.way: row.size.at() / plf for row in rows} == pytest.approx(
        {"": 25.2 * 11.75 / 2, "snow drifted onto south rafters": 36 * 11.75 / 2}
    )
    opening = next(beam for beam in solved.beams if beam.section.name == "opening")
    assert "D + S, snow drifted onto north rafters" in opening.strength.names
    entered, left = balance(solved.flow)["S"]
    assert left == pytest.approx(entered)
    assert entered == pytest.approx(25.2 * 25 * 24)


# The last part of the id of what stands for a hand-over.
INTERFACES = ("bearing", "hanger", "base", "soil", "concrete", "footing", "point", "seat")
STATES = {"passes": "passes", "fails": "FAILS", "open": "OPEN"}


def interfaces(solved):
    """Return the checks of hand-overs by the member that hands its load on."""
    standing = {}
    for check in solved.checks:
        state, member, what = check.id.split("/", 2)
        if state == "finished" and what.split(".")[0] in INTERFACES:
            kind, _, rest = member.partition(".")
            standing.setdefault(f"{kind}.{rest.split('.')[0]}", []).append(check)
    return standing


def missing_interfaces(solved):
    """Return the hand-overs of a house, from the roof to the soil, for which no check stands."""
    standing, missing = interfaces(solved), []
    for handing in solved.flow.handings:
        titles = [check.title for check in standing.get(handing.giver, [])]
        kind = handing.giver.partition(".")[0]
        word = handing.taker.partition(".")[2].replace("_", " ") or "the ground"
        if kind == "beams":
            # Each support by its name, for a beam may meet one wall twice.
            ids = {check.id.rpartition("/")[2] for check in standing.get(handing.giver, [])}
            seats = [seat.name for seat in solved.flow.state.members[handing.giver].seats()]
            missing += [(handing.giver, seat) for seat in seats if f"bearing.{seat}" not in ids]
        elif kind in ("joists", "rafters", "trusses", "walls", "points"):
            # A wall on a footing whose concrete is known is checked there.
            below = [check.title for check in standing.get(handing.taker, [])]
            on_footing = any("Bearing of the wall on" in title for title in below)
            if not any(word in title for title in titles) and not on_footing:
                missing.append((handing.giver, handing.taker))
        else:
            needed = {"footings": "soil", "slabs": "footing", "posts": "base"}[kind]
            ids = [check.id for check in standing.get(handing.giver, [])]
            if kind == "posts":
                # On a footing whose concrete is known, the footing holds its bearing.
                ids += [check.id for check in standing.get(handing.taker, [])]
                ids = [id.replace("/bearing", "/base") if "/footings." in id else id for id in ids]
            if not any(id.endswith(f"/{needed}") for id in ids):
                missing.append((handing.giver, handing.taker))
    return missing


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_interface_from_roof_to_soil_stands_on_the_sheet(path):
    """Each hand-over has a check, which the sheet shows as passing, failing or open."""
    solved = solve(read(path))
    page = html.unescape(render(solved, draft=True))
    summary = page[page.index('<section id="summary">') :]
    summary = summary[: summary.index("</section>")]
    listed = page[page.index('<section id="open">') : page.index('<section id="summary">')]

    assert missing_interfaces(solved) == []
    for check in (check for checks in interfaces(solved).values() for check in checks):
        anchor = re.sub(r"\W|_", "-", f"check-{check.id}")
        (row,) = [row for row in summary.split("<tr>") if f'href="#{anchor}"' in row]
        assert f">{STATES[check.state]}</span>" in row, check.id
        # By itself under its heading, or as a row of checks that repeat one.
        place = re.search(rf'id="{anchor}">.*?(</h3>|</tr>)', page, flags=re.DOTALL)
        assert place, check.id
        assert f">{STATES[check.state]}</span>" in place[0], check.id
        assert all(question in listed for question in check.questions), check.id


@pytest.mark.parametrize("seed", [1, 7, 23])
def test_every_interface_of_any_house_has_its_check(seed):
    assert missing_interfaces(solve(parse(house(seed, storeys=2, lines=4, bays=2)[0]))) == []


def test_an_interface_that_is_left_out_is_noticed():
    solved = solve(parse(FOXGLOVE))
    every = {check.id for checks in interfaces(solved).values() for check in checks}

    found = {
        id: missing_interfaces(
            dataclasses.replace(solved, checks=tuple(c for c in solved.checks if c.id != id))
        )
        for id in every
    }
    # What a second check stands beside: the concrete of a footing, masonry below a pocket.
    kept = {id for id, missing in found.items() if not missing}
    assert all(id.rpartition("/")[2].split(".")[0] in ("concrete", "seat", "hanger")
               for id in kept), kept  # fmt: skip
    assert len(every) - len(kept) > 15


def test_the_bearing_of_joists_is_checked_when_its_length_is_entered():
    text = FOXGLOVE.replace("first_joist", 'bearing = "1 1/2 in"\nfirst_joist', 1)
    found = {c.id: c for c in solve(parse(text)).checks}

    bearing = found["finished/joists.attic.kitchen/bearing.north_wall"]
    # 1-5/8 in wide, by hand: half of (10.2 + 20) psf x 16 in x 13 ft 3 in.
    R = (10.2 + 20) * 16 / 12 * 13.25 / 2
    case = bearing.cases.index("D + L")
    assert bearing.demand.at(case) == pytest.approx(R / (1.625 * 1.5), rel=1e-3)
    assert bearing.worst == pytest.approx(R / (1.625 * 1.5) / 625, rel=1e-3)
    assert bearing.state == "open"
    assert any("own capacity is not checked" in question for question in bearing.questions)
    assert "finished/joists.attic.kitchen/bearing.opening_beam" not in found


def test_the_stretch_of_a_wall_that_is_out_weighs_nothing():
    """By hand: 19 psf x 8 ft 4 in, on 24 ft as found and without 11 ft 9-1/2 in afterwards."""
    solved = solve(parse(FOXGLOVE))
    (worked,) = solved.works
    before, out, after = (
        flow.own["walls.kitchen"]["D"] for flow in (solved.found, worked.flow, solved.flow)
    )

    # Statics; the opening counts from center to center of the beam's bearings.
    assert before == pytest.approx(19 * (8 + 4 / 12) * 24)
    assert out == after == pytest.approx(19 * (8 + 4 / 12) * (24 - (11 + 9.5 / 12)))
