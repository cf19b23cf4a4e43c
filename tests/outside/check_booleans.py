"""Judges booleans of exact bodies by manifold3d, on bodies that it makes itself from the
same sizes. Argument: what the test `corpus_and_random_pairs_for_the_outside_judge` wrote."""

import json
import math
import sys

import numpy as np
from manifold3d import CrossSection, Manifold

# Sides of a circle. Its polygons stand out by the equal-area factor, so that what is left
# is the sagitta of a side, some 2e-4 of the radius.
SIDES = 180
# Of the volume, and of a band as wide as the sagitta along the surface, mm3 per mm2.
SHARE = 2e-4
BAND_MM = 4e-3


def circle(radius):
    """A polygon of the circle's area."""
    step = 2 * math.pi / SIDES
    outer = radius * math.sqrt(step / math.sin(step))
    turns = [step * k for k in range(SIDES)]
    return CrossSection([[(outer * math.cos(t), outer * math.sin(t)) for t in turns]])


def sector(radius, start, end):
    """A pie of the disc's share of area."""
    count = max(8, round(SIDES * (end - start) / (2 * math.pi)))
    step = (end - start) / count
    outer = radius * math.sqrt(step / math.sin(step))
    turns = [start + step * k for k in range(count + 1)]
    rim = [(outer * math.cos(t), outer * math.sin(t)) for t in turns]
    return CrossSection([[(0.0, 0.0), *rim]])


def turned(profile):
    """A profile swept about z, its radii grown so that rings keep their area."""
    step = 2 * math.pi / SIDES
    grown = math.sqrt(step / math.sin(step))
    points = [(x * grown, y) for x, y in profile]
    return Manifold.revolve(CrossSection([points]), SIDES)


def leaf(kind, sizes):
    """A body as the exact engine has it."""
    if kind == "block":
        x, y, z = sizes
        return Manifold.cube([x, y, z], False).translate([-x / 2, -y / 2, 0])
    if kind == "tube":
        inner, outer, height = sizes
        rod = Manifold.extrude(circle(outer), height)
        return rod - Manifold.extrude(circle(inner), height) if inner else rod
    if kind == "cone":
        below, above, height = sizes
        return turned([(0, 0), (below, 0), (above, height), (0, height)])
    if kind == "ball":
        half = [math.pi * (k / 90 - 0.5) for k in range(91)]
        return turned([(sizes[0] * math.cos(t), sizes[0] * math.sin(t)) for t in half])
    if kind == "ring":
        middle, thick = sizes
        around = [2 * math.pi * k / 90 for k in range(90)]
        radius = thick / 2 * math.sqrt((math.pi / 45) / math.sin(math.pi / 45))
        return turned([(middle + radius * math.cos(t), radius * math.sin(t)) for t in around])
    outer, depth, height, count = sizes
    period = 2 * math.pi / count
    flat = CrossSection()
    for k in range(int(count)):
        start, end = period * k, period * (k + 0.5)
        flat += sector(outer, start, end) - sector(outer - depth, start, end)
    return Manifold.extrude(flat, height)


def made(tree):
    """The solid of a tree of booleans."""
    if "kind" in tree:
        matrix = np.column_stack([*tree["columns"], tree["origin"]])
        return leaf(tree["kind"], tree["sizes"]).transform(matrix)
    left, right = made(tree["left"]), made(tree["right"])
    if tree["do"] == "join":
        return left + right
    return left - right if tree["do"] == "less" else left ^ right


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        answers = json.load(file)
    wrong = carried = 0
    for answer in answers:
        if answer["volume_mm3"] is None:
            continue
        carried += 1
        solid = made(answer["tree"])
        told, found = answer["volume_mm3"], solid.volume()
        allowed = SHARE * found + BAND_MM * solid.surface_area() + 1e-3
        if not answer["sound"] or abs(told - found) > allowed:
            wrong += 1
            print(f"{answer['name']}: {told} mm3, by manifold3d {found}, allowed {allowed}")
    declined = len(answers) - carried
    print(f"{carried} booleans judged by manifold3d, {declined} declined, {wrong} wrong")
    sys.exit(wrong > 0 or carried < 1000)


main()
