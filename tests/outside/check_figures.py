"""Lettering and drawings against shapely: areas in flat faces, volumes in round walls.

Usage: check_figures.py PIPKIN WORK

The centre lines of letters are read from the alphabet, the SVG files by the reader below;
both are made polygons here and strokes are widened by shapely. The program's volumes come
from the manifests of designs written and built here.
"""

import json
import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

ROOT = Path(__file__).resolve().parents[2]
ALPHABET = ROOT / "src/plane/letters/alphabet.txt"
DRAWINGS = [Path(__file__).parent / "figures/teapot.svg", ROOT / "examples/float-tub/perch.svg"]
LETTERS = "ACDGQRSaegkswz0268&@"
# What the program's chords may leave of arcs and curves, mm: twice 0.005 where a drawing's
# curves are made chords and their strokes' arcs again.
CHORD_MM = 0.005
# Sides of free forms move by this much more than the gap, mm; see the room `model`.
ALLOWANCE_MM = 6e-4
HEIGHT, WEIGHT, DEEP, GAP = 14.0, 1.9, 1.2, 0.1
BORE, WALL = 80.0, 4.0

failures = []
count = 0


def check(found, wanted, allowed, what):
    """Remembers a difference that is larger than allowed."""
    global count
    count += 1
    if not abs(found - wanted) <= allowed:
        failures.append(f"{what}: {found}, shapely {wanted}, allowed {allowed}")


def arc(start, end, angle):
    """Points of an arc that turns left by `angle` (right below 0), the start left out."""
    a, b = np.array(start), np.array(end)
    across = np.array([-(b - a)[1], (b - a)[0]])
    centre = (a + b) / 2 + across * (0.5 / math.tan(angle / 2))
    steps = 200
    spoke = a - centre
    turned = []
    for k in range(1, steps + 1):
        c, s = math.cos(angle * k / steps), math.sin(angle * k / steps)
        turned.append(tuple(centre + [c * spoke[0] - s * spoke[1], s * spoke[0] + c * spoke[1]]))
    return turned


def letter(line):
    """A letter of the alphabet as a polygon, mm."""
    strokes = []
    for text in line.split(" | ")[1:]:
        points = []
        for word in text.split():
            turn = re.match(r"([()])(?:([\d.]+):)?", word)
            place = word[turn.end() :] if turn else word
            to = tuple(float(number) for number in place.split(","))
            if turn:
                angle = math.radians(float(turn[2] or 90))
                points += arc(points[-1], to, angle if turn[1] == "(" else -angle)
            else:
                points.append(to)
        strokes.append(LineString(points))
    scale = (HEIGHT - WEIGHT) / 10
    wide = [
        affinity.scale(s, scale, scale, origin=(0, 0)).buffer(WEIGHT / 2, quad_segs=200)
        for s in strokes
    ]
    return unary_union(wide)


def bezier(points):
    """Points of a Bezier curve, the start left out."""
    t = np.linspace(0, 1, 401)[1:, None]
    n = len(points) - 1
    terms = [math.comb(n, k) * (1 - t) ** (n - k) * t**k * np.array(p) for k, p in enumerate(points)]
    return [tuple(p) for p in sum(terms)]


def svg_arc(start, radius, large, sweep, end):
    """Points of a circular arc of a path; sweeps anticlockwise on paper are 0."""
    chord = math.dist(start, end)
    half = math.asin(min(1.0, chord / 2 / radius))
    angle = 2 * (math.pi - half if large else half)
    return arc(start, end, angle if sweep else -angle)


def runs(data):
    """The subpaths of a path: points, and whether they are closed."""
    words = re.findall(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?", data)
    found, points, at, place, command = [], [], (0.0, 0.0), 0, ""
    sizes = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "Q": 4, "A": 7, "Z": 0}
    while place < len(words):
        if words[place].isalpha():
            command = words[place]
            place += 1
        kind, relative = command.upper(), command.islower()
        values = [float(w) for w in words[place : place + sizes[kind]]]
        place += sizes[kind]
        base = at if relative else (0.0, 0.0)
        if kind == "Z":
            found.append((points, True))
            at, points = points[0], []
            continue
        if kind == "H":
            to = [(values[0] + base[0], at[1])]
        elif kind == "V":
            to = [(at[0], values[0] + base[1])]
        elif kind == "A":
            to = [(values[5] + base[0], values[6] + base[1])]
        else:
            to = [(x + base[0], y + base[1]) for x, y in zip(values[::2], values[1::2])]
        if kind == "M":
            if points:
                found.append((points, False))
            points = [to[0]]
            command = "l" if relative else "L"
        elif kind in "CQ":
            points += bezier([at, *to])
        elif kind == "A":
            points += svg_arc(at, values[0], values[3] != 0, values[4] != 0, to[0])
        else:
            points += to
        at = to[-1]
    if points:
        found.append((points, False))
    return found


def transform(text):
    """The matrix of a `transform`."""
    whole = np.eye(3)
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", text or ""):
        v = [float(w) for w in re.split(r"[\s,]+", inside.strip())]
        if name == "translate":
            m = np.array([[1, 0, v[0]], [0, 1, v[1]], [0, 0, 1]])
        elif name == "scale":
            m = np.diag([v[0], v[-1], 1])
        elif name == "rotate":
            c, s = math.cos(math.radians(v[0])), math.sin(math.radians(v[0]))
            x, y = v[1:] or (0, 0)
            m = np.array([[c, -s, x - c * x + s * y], [s, c, y - s * x - c * y], [0, 0, 1]])
        else:
            raise ValueError(name)
        whole = whole @ m
    return whole


def painted(element, matrix, found):
    """Adds what an element and those in it paint, as polygons."""
    tag = element.tag.split("}")[-1]
    matrix = matrix @ transform(element.get("transform"))
    number = lambda name: float(element.get(name))
    shapes = []
    if tag == "path":
        lines = runs(element.get("d"))
        if element.get("fill") != "none":
            whole = Polygon()
            for points, _ in lines:
                whole = whole.symmetric_difference(Polygon(points))
            shapes.append(whole)
        if element.get("stroke"):
            caps = {"round": 1, "butt": 2, "square": 3}[element.get("stroke-linecap", "butt")]
            joins = {"round": 1, "miter": 2, "bevel": 3}[element.get("stroke-linejoin", "miter")]
            for points, _ in lines:
                shapes.append(
                    LineString(points).buffer(
                        number("stroke-width") / 2,
                        quad_segs=200,
                        cap_style=caps,
                        join_style=joins,
                        mitre_limit=4.0,
                    )
                )
    elif tag == "rect":
        x, y = number("x"), number("y")
        shapes.append(box(x, y, x + number("width"), y + number("height")))
    elif tag == "circle":
        shapes.append(Point(number("cx"), number("cy")).buffer(number("r"), quad_segs=400))
    for shape in shapes:
        (a, b, c), (d, e, f) = matrix[0], matrix[1]
        found.append(affinity.affine_transform(shape, [a, b, d, e, c, f]))
    for child in element:
        painted(child, matrix, found)


def drawing(path):
    """An SVG file as a polygon, mm, y upwards."""
    root = ET.parse(path).getroot()
    width = float(root.get("width").removesuffix("mm"))
    _, _, wide, _ = (float(v) for v in root.get("viewBox").split())
    found = []
    for child in root:
        painted(child, np.diag([width / wide, -width / wide, 1]), found)
    return unary_union(found)


def sunk(polygon, by):
    """What is left of a polygon whose upper sides have all sunk: no point within `by` above
    the outside. That is the polygon less the outside swept down."""
    frame = polygon.envelope.buffer(3 * by + 1)
    outside = frame.difference(polygon)
    parts = [outside, affinity.translate(outside, 0, -by)]
    for piece in getattr(polygon, "geoms", [polygon]):
        for ring in [piece.exterior, *piece.interiors]:
            for (ax, ay), (bx, by_) in zip(ring.coords, ring.coords[1:]):
                swept = Polygon([(ax, ay), (bx, by_), (bx, by_ - by), (ax, ay - by)])
                if swept.area > 1e-12:
                    parts.append(swept.buffer(0))
    return polygon.difference(unary_union(parts))


def design(figure, name):
    """The design of one figure: let into a block and cut into a wall, plain and eased."""
    radius = BORE / 2 + WALL
    return f"""material chalk {{ base: pla, colour: #e8e1d3 }}
material moss {{ base: pla, colour: #5f7a4a }}
let figure = {figure}
part slab = block {{ size: (60 mm, 60 mm, 6 mm), material: chalk }}
part {name} = inlay {{ on: slab.top, figure: figure, at: (0 mm, 0 mm), sink: {DEEP} mm, material: moss }}
seat {name} in slab {{ gap: {GAP} mm, taken_from: {name} }}
let drum = tube {{ bore: {BORE} mm, wall: {WALL} mm, height: 70 mm }}
let rough = relief {{ on: drum.outside, figure: figure, level: 35 mm, sink: {DEEP} mm }}
let eased = relief {{ on: drum.outside, figure: figure, level: 35 mm, sink: {DEEP} mm, ease: 45 deg }}
part whole = solid {{ form: drum, material: chalk, assembled: no }}
part plain = solid {{ form: drum less rough, material: chalk, assembled: no }}
part sloped = solid {{ form: drum less eased, material: chalk, assembled: no }}
""", radius


def judge(pipkin, work, name, figure, polygon):
    """Builds the design of a figure and compares its volumes."""
    text, radius = design(figure, "sign")
    folder = work / name
    folder.mkdir(parents=True, exist_ok=True)
    for svg in DRAWINGS:
        (folder / svg.name).write_bytes(svg.read_bytes())
    (folder / "case.pkn").write_text(text, encoding="utf-8")
    run = subprocess.run(
        [pipkin, "build", "-q", folder / "case.pkn", "--out", folder / "out"],
        capture_output=True,
        text=True,
        check=False,
    )
    manifest = folder / "out/case.manifest.json"
    if not manifest.exists():
        failures.append(f"{name}: {run.stderr}")
        return
    parts = {p["name"]: p for p in json.loads(manifest.read_text(encoding="utf-8"))["parts"]}
    for part in parts.values():
        if part["form"] != "exact":
            failures.append(f"{name}: {part['name']} is {part['engines']['reason']}")
            return
    volume = {key: part["engines"]["exact_mm3"] for key, part in parts.items()}
    # A flat segment of a circle is two thirds of its box.
    chords = 2 / 3 * CHORD_MM * polygon.length
    check(60 * 60 * 6 - volume["slab"], polygon.area * DEEP, chords * DEEP, f"{name}, pocket")
    small = polygon.buffer(-GAP - ALLOWANCE_MM, join_style=2, mitre_limit=5.0)
    check(volume["sign"], small.area * DEEP, chords * DEEP, f"{name}, inlay")
    # In a round wall an area as drawn shrinks with the radius, as upright flanks are radial.
    shells = [(DEEP * (x + 1) / 2, w * DEEP / 2) for x, w in zip(*np.polynomial.legendre.leggauss(6))]
    wanted = sum(w * polygon.area * (1 - d / radius) for d, w in shells)
    check(volume["whole"] - volume["plain"], wanted, chords * DEEP, f"{name}, wall")
    wanted = sum(w * sunk(polygon, d).area * (1 - d / radius) for d, w in shells)
    check(volume["whole"] - volume["sloped"], wanted, chords * DEEP, f"{name}, eased wall")


def main():
    pipkin, work = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    lines = {}
    for line in ALPHABET.read_text(encoding="utf-8").splitlines():
        if re.match(r". [-\d.]+ [-\d.]+ [-\d.]+ \| ", line):
            lines[line[0]] = line
    for number, which in enumerate(LETTERS):
        figure = f'lettering {{ text: "{which}", height: {HEIGHT} mm, weight: {WEIGHT} mm }}'
        judge(pipkin, work, f"letter-{number}", figure, letter(lines[which]))
    for path in DRAWINGS:
        judge(pipkin, work, path.stem, f'drawing "{path.name}"', drawing(path))
    print(f"{count} volumes of letters and drawings compared with shapely")
    for text in failures:
        print(text)
    sys.exit(1 if failures else 0)


main()
