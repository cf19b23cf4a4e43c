"""Slices bodies that were made for it, and the button jar's band, with trimesh and shapely, and
compares with what the manifest says of them: area within 2 %, kind always.

Arguments: the folder with one build for each design of tests/outside/layers, and the printer's
layer height and overhang in mm and deg.
"""

import json
import math
import pathlib
import sys

import numpy
import shapely
import trimesh

# What the compiler lets a slope hang over more than the limit, mm: `CARRY_MM` in its layer check.
CARRY = 1e-3
# Cuts lie this far above the middle of a layer, mm: clear of faces in it, in single precision.
ABOVE = 2e-5
LINE = 0.42

# By hand: which kinds each body shows.
KINDS = {
    "cone_44": set(),
    "cone_45": set(),
    "cone_46": {"overhang"},
    "bridge_5": {"bridge"},
    "bridge_8": {"bridge"},
    "bridge_12": {"bridge"},
    "tee": {"overhang"},
    "mushroom": {"overhang"},
    # Its tip starts in the air; where the arm comes to lie, the tip is its other end.
    "hook": {"bridge", "island"},
    "bead": {"overhang"},
}
SPANS = {"bridge_5": 5.0, "bridge_8": 8.0, "bridge_12": 12.0}


def section(mesh, z):
    """The section as one shapely region, in the mesh's own axes."""
    lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, z])
    if len(lines) == 0:
        return shapely.Polygon()
    rounded = shapely.linestrings(numpy.round(lines[:, :, :2], 7))
    rings = shapely.get_parts(shapely.polygonize([shapely.union_all(rounded)]))
    # Holes come as polygons of their own: a ring counts where an odd number of others hold it.
    region = shapely.Polygon()
    for ring in rings:
        region = region.symmetric_difference(shapely.Polygon(ring.exterior))
    return region


def bridges(part, carried):
    """Whether lines of one direction across it end on what is carried, and their length."""
    low_x, low_y, high_x, high_y = part.bounds
    size = math.hypot(high_x - low_x, high_y - low_y)
    rest = carried.buffer(1e-4)
    best = None
    middle = numpy.array(part.centroid.coords[0])
    for deg in range(0, 180, 15):
        along = numpy.array([math.cos(math.radians(deg)), math.sin(math.radians(deg))])
        across = numpy.array([-along[1], along[0]])
        at = [middle + across * size * share for share in numpy.linspace(-0.499, 0.5, 41)]
        lines = shapely.multilinestrings([[p - along * size, p + along * size] for p in at])
        chords = [c for c in shapely.get_parts(part.intersection(lines)) if c.length > 1e-6]
        held = [c for c in chords if all(rest.intersects(e) for e in shapely.get_parts(c.boundary))]
        good, total = (sum(c.length for c in some) for some in (held, chords))
        longest = max((c.length for c in held), default=0.0)
        if total > 0 and good >= 0.95 * total and (best is None or longest < best):
            best = longest
    return best


def sliced(mesh, layer, overhang):
    """Area by kind, and the spans of bridges."""
    reach = layer * math.tan(math.radians(overhang)) + CARRY
    height = mesh.bounds[1][2]
    areas, spans = {}, []
    below = None
    for index in range(round(height / layer)):
        here = section(mesh, layer * (index + 0.5) + ABOVE)
        if below is not None:
            grown = below.buffer(reach, join_style="mitre", mitre_limit=4.0)
            for part in shapely.get_parts(here.difference(grown)):
                if part.area < 1e-4:
                    continue
                span = None
                if part.distance(grown) > 1e-5:
                    kind = "island"
                else:
                    span = bridges(part, grown)
                    kind = "overhang" if span is None else "bridge"
                areas[kind] = areas.get(kind, 0.0) + part.area
                if span is not None:
                    spans.append(span + 2 * reach)
        below = here
    return areas, spans


def told(folder, name):
    manifest = json.loads(next(folder.glob("*.manifest.json")).read_text())
    entry = next(p for p in manifest["print"] if p["part"] == name)
    areas = {}
    for region in entry["unsupported"]:
        areas[region["kind"]] = areas.get(region["kind"], 0.0) + region["area_mm2"]
    return areas, entry["unsupported"]


def compare(name, ours, theirs):
    assert set(ours) == set(theirs), f"{name}: kinds {ours} here, {theirs} in the manifest"
    for kind, area in ours.items():
        off = abs(theirs[kind] / area - 1)
        assert off <= 0.02, f"{name}: {kind} {area:.3f} mm2 here, {theirs[kind]:.3f} in the manifest"
        print(f"{name}: {kind} {area:.3f} mm2, off by {off * 100:.3f} %")


def main(work, layer, overhang):
    for name, kinds in KINDS.items():
        folder = work / name
        mesh = trimesh.load_mesh(folder / f"{name}.stl")
        assert mesh.is_watertight
        ours, spans = sliced(mesh, layer, overhang)
        theirs, regions = told(folder, name)
        assert set(theirs) == kinds, f"{name}: {theirs}, by hand {kinds}"
        compare(name, ours, theirs)
        if not kinds:
            print(f"{name}: all carried")
        if name in SPANS:
            seen = [region["span_mm"] for region in regions] + spans
            assert all(abs(span - SPANS[name]) < 0.01 for span in seen), f"{name}: {seen}"
        for region in regions:
            if name == "cone_46":
                assert abs(region["angle_deg"] - 46) < 0.05, region
                overlap = 1 - layer * math.tan(math.radians(46)) / LINE
                assert abs(region["overlap_percent"] / 100 - overlap) < 0.002, region


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), float(sys.argv[2]), float(sys.argv[3]))
