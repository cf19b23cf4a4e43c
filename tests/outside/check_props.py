"""Props judged on the triangles of the STL files, with trimesh, manifold3d and shapely.

Argument: a folder with one build of each design named below, made with the props in the STL
files. The part comes first in each file, its columns after it.
"""

import json
import math
import pathlib
import sys

import manifold3d
import numpy
import shapely
import trimesh

from check_layers import ABOVE, section

# Design, part, gaps above and below, repeats of its motif.
CASES = [("belt", "belt", 0.2, 0.2, 14), ("desk-tray", "tray", 0.2, 0.4, 1)]
LAYER = 0.2
# An overhang of 45 deg, and what it may be more: the layer check's own allowance.
REACH = LAYER + 1e-3
# What prints in the air: as the layer check has it.
PRINTS = 1.5
BRIDGE = 8.0


def split(path, count):
    """The part and its columns."""
    mesh = trimesh.load(path)
    bodies = list(mesh.split(only_watertight=False))
    bodies.sort(key=lambda b: -abs(b.volume))
    part, columns = bodies[: len(bodies) - count], bodies[len(bodies) - count:]
    assert len(columns) == count, f"{path}: {len(bodies)} bodies, {count} columns"
    assert all(c.is_watertight and c.volume > 0 for c in columns), path
    return trimesh.util.concatenate(part), columns


def solid(mesh):
    """The same for manifold3d."""
    body = manifold3d.Manifold(
        manifold3d.Mesh(mesh.vertices.astype(numpy.float32), mesh.faces.astype(numpy.uint32))
    )
    assert body.status() == manifold3d.Error.NoError, body.status()
    return body


def spread(mesh, step=0.2):
    """Points on all faces, corners included, no farther apart than a step."""
    corners, _ = trimesh.remesh.subdivide_to_size(mesh.vertices, mesh.faces, step)
    return corners


def distances(part, columns, above, below, path):
    """Least distance of tops, of feet and of all, by proximity of points on the columns."""
    query = trimesh.proximity.ProximityQuery(part)
    for column in columns:
        points = spread(column)
        nearest, away, _ = query.on_surface(points)
        # Square to the face: above a top lies the part, below a foot the part or nothing.
        up = (nearest - points)[:, 2] / numpy.maximum(away, 1e-9)
        least = away.min()
        assert least > min(above, below) - 1e-4, f"{path}: {least} mm from a column"
        tops = away[up > 0.5].min()
        assert abs(tops - above) < 0.01, f"{path}: {tops} mm above, asked {above}"
        if column.bounds[0][2] > 1e-4:
            feet = away[up < -0.5].min()
            assert abs(feet - below) < 0.01, f"{path}: {feet} mm below, asked {below}"


def apart(part, columns, path):
    """No volume in common, with the part or with each other."""
    body = solid(part)
    columns = [solid(c) for c in columns]
    together = manifold3d.Manifold.batch_boolean(columns, manifold3d.OpType.Add)
    assert (body ^ together).volume() == 0.0, path
    total = sum(c.volume() for c in columns)
    assert abs(together.volume() - total) < 1e-6 * total, path


def loose(part, columns, gap):
    """Regions that are carried by neither the layer below nor a column within the gap, and are
    an island, or reach or span more than what prints."""
    # A column carries what lies within the gap above it.
    lifted = []
    for column in columns:
        copy = column.copy()
        copy.apply_translation([0, 0, gap])
        lifted.append(copy)
    lifted = trimesh.util.concatenate(lifted) if lifted else None
    found = []
    height = part.bounds[1][2]
    layers = int(round(height / LAYER))
    below = section(part, LAYER / 2 + ABOVE)
    for k in range(1, layers):
        z = LAYER * (k + 0.5) + ABOVE
        if z >= height:
            break
        here = section(part, z)
        held = below
        if lifted is not None:
            held = held.union(section(lifted, z - LAYER))
        carried = held.buffer(REACH, join_style="mitre", mitre_limit=4)
        free = here.difference(carried)
        for region in shapely.get_parts(free):
            # Less than a dot of a line is not laid.
            if region.area < math.pi / 4 * 0.42**2:
                continue
            rest = here.intersection(carried).buffer(1e-4)
            touching = region.boundary.intersection(rest)
            if touching.length < 1e-3:
                found.append(("island", z, region.area))
                continue
            # Farthest free point from what carries it, across what prints or a bridge.
            edge = region.boundary.difference(rest)
            points = [p for line in shapely.get_parts(edge) for p in line.coords]
            far = max((touching.distance(shapely.Point(p)) for p in points), default=0.0)
            if far > PRINTS and not bridged(region, touching):
                found.append(("overhang", z, far))
        below = here
    return found


def bridged(region, touching):
    """Whether lines of some direction across it rest at both ends and are short enough."""
    from check_layers import bridges

    span = bridges(region, touching)
    return span is not None and span <= BRIDGE


def repeats(columns, count, path):
    """Every column turned by a repeat about the axis lies on another one."""
    middles = numpy.array([c.center_mass for c in columns])
    turn = 2 * math.pi / count
    matrix = numpy.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    turned = middles.copy()
    turned[:, :2] = middles[:, :2] @ matrix.T
    away = numpy.linalg.norm(turned[:, None, :] - middles[None, :, :], axis=2).min(axis=1)
    assert away.max() < 1e-3, f"{path}: {away.max()} mm from a repeat"


def main():
    folder = pathlib.Path(sys.argv[1])
    for design, part_name, above, below, count in CASES:
        path = folder / design
        (manifest,) = path.glob("*.manifest.json")
        manifest = json.loads(manifest.read_text())
        (entry,) = [p for p in manifest["print"] if p["part"] == part_name]
        props = entry["props"]
        assert props["in_stl"] and props["without_room"] == 0
        part, columns = split(path / f"{part_name}.stl", props["count"])
        before = loose(part, [], 0.0)
        assert before, f"{path}: nothing to carry"
        left = loose(part, columns, above)
        assert not left, f"{path}: {left[:4]}"
        distances(part, columns, above, below, path)
        apart(part, columns, path)
        total = sum(c.volume for c in columns)
        assert abs(total - props["volume_mm3"]) < 1e-3 * total, path
        if count > 1:
            assert props["repeats"] == count
            repeats(columns, count, path)
        print(f"{design}: {len(columns)} columns, {len(before)} regions loose before, none after")


main()
