"""Invented houses of any size, as job files: storeys, lines of walls and beams, joist fields."""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass, field

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
[surfaces.roof]
snow = "{snow} psf"
roof_live = "20 psf"
[surfaces.roof.layers]
all = "9 psf"
"""

FLOOR = """[surfaces.floor]
live = "{live} psf"
[surfaces.floor.layers]
all = "11 psf"
"""
BEAM = """[beams.{name}]
material = "generic 2.0E-2900Fb LVL"
plies = 3
size = "1-3/4 x 11-7/8"
density = "42 pcf"
setting = "dropped"
direction = "{direction}"
starts_at = "{start} in"
moisture = "dry"
temperature = "100 F or less"
unbraced_top = "16 in"
unbraced_bottom = "8 ft"
live_limit = "L/360"
total_limit = "L/240"
dead_load_rule = "NDS 3.5.2"
"""
BEARING = 4.0


@dataclass
class Plan:
    """What a house was made of, for an independent solution.

    Attributes
    ----------
    lines : list of float [in]
        Place of each line across the house.
    bays : list of float [in]
        Ends of the stretches along it.
    fields : list of tuple
        (name, storey, stretch, lines that it rests on, overhang).
    carriers : dict
        (storey, line, stretch) to the path of what stands there.
    """

    lines: list[float]
    bays: list[float]
    storeys: int
    fields: list[tuple[str, int, int, tuple[int, ...], float]] = field(default_factory=list)
    carriers: dict[tuple[int, int, int], str] = field(default_factory=dict)


def house(
    seed: int,
    *,
    storeys: int = 2,
    lines: int = 4,
    bays: int = 3,
    determinate: bool = False,
    live: float = 40.0,
    snow: float = 30.0,
    shuffled: int | None = None,
) -> tuple[str, Plan]:
    """Return a job file and what it was made of.

    Parameters
    ----------
    seed : int
    storeys, lines, bays : int
        Floors above each other, lines of walls across, stretches along.
    determinate : bool
        Only simple spans: reactions then follow from statics alone.
    live, snow : float [psf]
    shuffled : int, optional
        Seed by which the entries are written in another order.
    """
    dice = random.Random(seed)
    places, ends = [0.0], [0.0]
    for _ in range(lines - 1):
        places.append(places[-1] + dice.randint(80, 190))
    for _ in range(bays):
        ends.append(ends[-1] + dice.randint(90, 170))
    plan = Plan(places, ends, storeys)
    blocks: list[str] = []
    for storey in range(storeys):
        for line in range(lines):
            for bay in range(bays):
                blocks += _carrier(dice, plan, storey, line, bay)
    for storey in range(storeys):
        for bay in range(bays):
            blocks += _fields(dice, plan, storey, bay, determinate)
        blocks += _extras(dice, plan, storey)
    if shuffled is not None:
        random.Random(shuffled).shuffle(blocks)
    floor = FLOOR.format(live=live) if storeys > 1 else ""
    return HEAD.format(snow=snow) + floor + "".join(blocks), plan


def _carrier(dice: random.Random, plan: Plan, storey: int, line: int, bay: int) -> list[str]:
    name = f"s{storey}_l{line}_b{bay}"
    below = plan.carriers.get((storey - 1, line, bay), "ground")
    start, end = plan.bays[bay], plan.bays[bay + 1]
    if dice.random() < 0.6:
        plan.carriers[storey, line, bay] = f"walls.{name}"
        return [
            f'[walls.{name}]\nweight = "{dice.randint(6, 14)} psf"\nheight = "8 ft"\n'
            f'rests_on = "{below}"\nfrom = "{start} in"\nto = "{end} in"\n'
        ]
    plan.carriers[storey, line, bay] = f"beams.{name}"
    text = BEAM.format(name=name, direction="along", start=start + BEARING / 2)
    text += f'[beams.{name}.spans]\nonly = "{end - start - BEARING} in"\n'
    posts = []
    for side in ("west", "east"):
        text += (
            f'[beams.{name}.supports.{side}]\non = "posts.{name}_{side}"\n'
            f'bearing = "{BEARING} in"\n'
        )
        posts.append(
            f'[posts.{name}_{side}]\nsize = "4x6"\nspecies = "hem-fir"\ngrade = "No.1"\n'
            f'height = "8 ft"\nrests_on = "{below}"\n'
        )
    return [text, *posts]


def _fields(dice: random.Random, plan: Plan, storey: int, bay: int, determinate: bool) -> list[str]:
    found = []
    line = 0
    last = len(plan.lines) - 1
    while line < last:
        reach = 1 if determinate else min(dice.choice((1, 1, 2, 3)), last - line)
        on = tuple(range(line, line + reach + 1))
        name = f"f{storey}_{bay}_{line}"
        overhang = 0.0
        surface = "roof" if storey == plan.storeys - 1 else "floor"
        text = (
            f'[joists.{name}]\nsurface = "{surface}"\nsize = "2x10"\nspacing = "16 in"\n'
            f'from = "{plan.bays[bay]} in"\nto = "{plan.bays[bay + 1]} in"\n'
        )
        rests = ", ".join(f'"{plan.carriers[storey, each, bay]}"' for each in on)
        text += f"rests_on = [{rests}]\n"
        if on[-1] == last and dice.random() < 0.4:
            overhang = float(dice.randint(12, 40))
            text += f'overhang_end = "{overhang} in"\n'
        if reach == 1:
            text += f'span = "{plan.lines[line + 1] - plan.lines[line]} in"\n'
        else:
            way = dice.choice(("continuous", "continuous", "lapped"))
            text += f'over_supports = "{way}"\n[joists.{name}.spans]\n'
            for a, b in itertools.pairwise(on):
                text += f'n{a} = "{plan.lines[b] - plan.lines[a]} in"\n'
        plan.fields.append((name, storey, bay, on, overhang))
        found.append(text)
        line += reach
    return found


def _extras(dice: random.Random, plan: Plan, storey: int) -> list[str]:
    """Return point loads, partitions on joists, and beams that land on what stands there."""
    found = []
    bay = dice.randrange(len(plan.bays) - 1)
    start, end = plan.bays[bay], plan.bays[bay + 1]
    on = plan.carriers[storey, dice.randrange(len(plan.lines)), bay]
    at = dice.uniform(start + 5, end - 5)
    found.append(
        f'[points.p{storey}]\nrests_on = "{on}"\nat = "{at:.3f} in"\ndead = "310 lbf"\n'
        f'snow = "150 lbf"\n'
    )
    name, _, field_bay, lines, _ = next(each for each in plan.fields if each[1] == storey)
    low, high = plan.bays[field_bay], plan.bays[field_bay + 1]
    reach = plan.lines[lines[-1]] - plan.lines[lines[0]]
    found.append(
        f'[walls.partition_{storey}]\nweight = "7 psf"\nheight = "8 ft"\n'
        f'rests_on = "joists.{name}"\nacross = "{dice.uniform(10, reach - 10):.3f} in"\n'
        f'from = "{low + 12} in"\nto = "{high - 20} in"\n'
    )
    line = dice.randrange(len(plan.lines) - 1)
    ends = [plan.carriers[storey, each, bay] for each in (line, line + 1)]
    places = [plan.lines[line], plan.lines[line + 1]]
    x = dice.uniform(start + 10, end - 10)
    name = f"trimmer_{storey}"
    text = BEAM.format(name=name, direction="across", start=places[0] + BEARING / 2)
    text += f'[beams.{name}.spans]\nonly = "{places[1] - places[0] - BEARING} in"\n'
    for side, carrier in zip(("low", "high"), ends, strict=True):
        text += (
            f'[beams.{name}.supports.{side}]\non = "{carrier}"\nat = "{x:.3f} in"\n'
            f'bearing = "{BEARING} in"\n'
        )
    found.append(text)
    found.append(
        f'[points.q{storey}]\nrests_on = "beams.{name}"\n'
        f'at = "{dice.uniform(places[0] + 8, places[1] - 8):.3f} in"\nlive = "420 lbf"\n'
    )
    return found
