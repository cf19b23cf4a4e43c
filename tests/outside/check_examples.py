"""Independent checks of everything that the examples' builds left behind.

Usage: check_examples.py FOLDER SCHEMA

Every folder below FOLDER that holds a manifest is checked with libraries that the
compiler does not use: numpy, scipy, shapely, trimesh, manifold3d, lib3mf, jsonschema.
"""

import json
import sys
from pathlib import Path

import jsonschema
import lib3mf
import manifold3d
import numpy as np
import trimesh
from shapely.geometry import box as rectangle

from gaps import sampled_gap

# The manifest rounds to 1e-6; binary STL holds 24 bits of mantissa, which at 100 mm is
# 4e-6 mm a coordinate: a body of area A may differ by about A times that.
STL_COORDINATE_MM = 8e-6
GAP_TOLERANCE_MM = 0.005

# Motifs drawn with a line have twisted flanks; an inlay's triangles lie inside of them by
# no more than the chord tolerance, so that the gap is never eaten.
DRAWN = {"salt-cellar", "round-boxes", "name-cup"}
CHORD_MM = 0.005

failures = []
checks = 0


def check(condition, text):
    """Counts a check and remembers a failed one."""
    global checks
    checks += 1
    if not condition:
        failures.append(text)


def assembly_mesh(folder, part, printed):
    """The finished body in assembly axes, from its STL and the inverse of its pose."""
    soup = trimesh.load(folder / f"{part['name']}.stl", process=False)
    triangles = np.array(soup.triangles, dtype=float)
    start = 0
    for piece in printed["pieces"]:
        rows = np.array(piece["transform"], dtype=float).reshape(4, 3)
        end = start + piece["triangles"]
        triangles[start:end] = (triangles[start:end] - rows[3]) @ np.linalg.inv(rows[:3])
        start = end
    check(start == len(triangles), f"{folder.name}/{part['name']}: pieces cover all triangles")
    mesh = trimesh.Trimesh(**trimesh.triangles.to_kwargs(triangles), process=False)
    # STL repeats every corner; equal coordinates are one vertex again.
    mesh.merge_vertices(digits_vertex=5)
    return mesh


def solid(mesh):
    """The same body for the reference boolean library."""
    return manifold3d.Manifold(
        manifold3d.Mesh64(
            np.asarray(mesh.vertices, dtype=np.float64), np.asarray(mesh.faces, dtype=np.uint64)
        )
    )


def check_part(name, part, mesh):
    """Watertight, oriented, and of the volume that the manifest says."""
    check(mesh.is_watertight, f"{name}: watertight")
    check(mesh.is_winding_consistent, f"{name}: consistent winding")
    check(mesh.volume > 0, f"{name}: faces look outwards")
    slack = mesh.area * STL_COORDINATE_MM
    told = part["engines"]["mesh_mm3"]
    check(abs(mesh.volume - told) <= slack, f"{name}: volume {mesh.volume} against {told}")
    area = part["engines"]["mesh_mm2"]
    check(abs(mesh.area - area) <= 1e-6 * area, f"{name}: area {mesh.area} against {area}")
    check(len(mesh.faces) == part["triangles"], f"{name}: {len(mesh.faces)} triangles")
    check(mesh.body_count == part["pieces"], f"{name}: {mesh.body_count} pieces")
    # Euler: V - E + F = 2 (pieces - genus).
    genus = part["pieces"] - mesh.euler_number / 2
    check(genus == part["genus"], f"{name}: genus {genus} against {part['genus']}")
    check(part["open_edges"] == 0, f"{name}: no open edge")
    check(part["self_intersections"] == 0, f"{name}: no self-intersection")
    if part["form"] == "exact":
        exact = part["engines"]["exact_mm3"]
        apart = 2e-4 * exact
        if name.split("/")[0].split(" ")[0] in DRAWN:
            apart = max(apart, CHORD_MM * part["area_mm2"])
        check(abs(exact - told) <= apart, f"{name}: exact {exact} against mesh {told}")
    else:
        check(bool(part["engines"]["reason"]), f"{name}: a mesh without a reason")


def check_3mf(folder, manifest):
    """The consortium's reader in strict mode: no warning, right names, nothing overlaps."""
    wrapper = lib3mf.get_wrapper()
    for file in sorted(folder.glob("*.3mf")):
        model = wrapper.CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromFile(str(file))
        check(reader.GetWarningCount() == 0, f"{file.name}: {reader.GetWarningCount()} warnings")
        names = set()
        objects = model.GetMeshObjects()
        while objects.MoveNext():
            mesh = objects.GetCurrentMeshObject()
            # What only helps to print a part is a body of its own, named after it.
            aid = mesh.GetType() == lib3mf.ObjectType.SolidSupport
            names.add(mesh.GetName().rsplit(" ", 1)[0] if aid else mesh.GetName())
            check(mesh.IsManifoldAndOriented(), f"{file.name}: {mesh.GetName()} is manifold")
        parts = {part["name"] for part in manifest["parts"] if part["files"]}
        check(names <= parts, f"{file.name}: objects {names} against parts {parts}")
        check_items(file, model, manifest)


def check_items(file, model, manifest):
    """Copies lie within the bed and apart from each other."""
    bed = manifest["printer"]["bed_mm"]
    footprints = []
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        outbox = item.GetObjectResource().GetOutbox()
        low, high = np.array(outbox.MinCoordinate), np.array(outbox.MaxCoordinate)
        fields = np.array(item.GetObjectTransform().Fields, dtype=float)
        low, high = low + fields[3], high + fields[3]
        inside = (low >= -1e-3).all() and (high <= np.array(bed) + 1e-3).all()
        check(inside, f"{file.name}: {low} to {high} lies outside the bed {bed}")
        check(abs(low[2]) < 1e-3, f"{file.name}: an item stands at z = {low[2]}")
        footprints.append(rectangle(low[0], low[1], high[0], high[1]))
    for i, a in enumerate(footprints):
        for b in footprints[i + 1 :]:
            check(a.intersection(b).area == 0, f"{file.name}: two items overlap")


def check_pair(name, inner, outer, told):
    """No common volume beyond what rounding to STL makes."""
    common = (solid(inner) ^ solid(outer)).volume()
    slack = 2 * inner.area * STL_COORDINATE_MM
    check(common <= slack, f"{name}: common volume {common} mm3, more than {slack}")
    check(told <= slack, f"{name}: the manifest tells {told} mm3")


def check_folder(folder, schema):
    """One build."""
    path = next(folder.glob("*.manifest.json"))
    manifest = json.loads(path.read_text(encoding="utf-8"))
    jsonschema.validate(manifest, schema)
    name = path.name.removesuffix(".manifest.json") + (f" ({manifest['size']})" if manifest["size"] else "")
    printed = {entry["part"]: entry for entry in manifest["print"]}
    meshes = {}
    for part in manifest["parts"]:
        meshes[part["name"]] = assembly_mesh(folder, part, printed[part["name"]])
        check_part(f"{name}/{part['name']}", part, meshes[part["name"]])
    check_3mf(folder, manifest)
    for seat in manifest["seats"]:
        inlay, host = meshes[seat["inlay"]], meshes[seat["host"]]
        pair = f"{name}: {seat['inlay']} in {seat['host']}"
        check_pair(pair, inlay, host, seat["overlap_mm3"])
        least = sampled_gap(inlay, host, seat)
        told = seat["gap_mm"]["least"]
        check(
            least is not None and abs(least - told) <= GAP_TOLERANCE_MM,
            f"{pair}: sampled gap {least} against {told}",
        )
        check(told >= seat["gap_mm"]["asked"] - 0.001, f"{pair}: gap {told} below what was asked")
    for lid in manifest["lids"]:
        pair = f"{name}: {lid['lid']} on {lid['host']}"
        check_pair(pair, meshes[lid["lid"]], meshes[lid["host"]], lid["overlap_mm3"])
    print(f"{name}: {len(meshes)} parts, {len(manifest['seats'])} seats, {len(manifest['lids'])} lids")


def main():
    """Checks all builds below the folder that is named first."""
    root, schema = Path(sys.argv[1]), json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))
    folders = sorted({path.parent for path in root.rglob("*.manifest.json")})
    for folder in folders:
        check_folder(folder, schema)
    check(len(folders) >= 5, f"only {len(folders)} builds found")
    for failure in failures:
        print(f"FAILED {failure}")
    print(f"{checks - len(failures)} passed, {len(failures)} failed")
    sys.exit(1 if failures else 0)


main()
