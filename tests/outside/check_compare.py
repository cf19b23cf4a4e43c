"""Volumes added and removed, as `pipkin compare` tells them, by PyPI manifold3d.

Usage: check_compare.py PIPKIN FOLDER DESIGN

Makes changed copies of DESIGN in FOLDER, builds both sides, and takes old less new and new less
old of the built STL files with another mesh library. Agreement within 1e-6 of the part's volume.
"""

import json
import subprocess
import sys
from pathlib import Path

import manifold3d
import numpy as np
import trimesh

# As a share of the part's volume. Binary STL holds 24 bits of mantissa, so that faces which both
# bodies share are rounded apart: that alone comes to 3e-7.
AGREE = 1e-6

CHANGES = {
    "level": [("deep * 55 %", "deep * 50 %")],
    "gap": [("gap: 0.1 mm", "gap: 0.17 mm")],
    "bore": [("bore = 72 mm", "bore = 74 mm")],
    "ease": [("ease: 45 deg", "ease: 40 deg")],
    "row": [(". # # . # # . .", ". # # # # # . .")],
}

failures = []
checks = 0


def run(*words, allowed=(0,)):
    """Standard output of a command."""
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode not in allowed:
        sys.exit(f"{' '.join(map(str, words))}: {done.returncode}\n{done.stderr}")
    return done.stdout


def bodies(pipkin, design, out):
    """Each part in assembly axes: its STL file, put back by the manifest's transforms."""
    run(pipkin, "build", "-q", design, "--out", out)
    manifest = json.loads((out / f"{design.stem}.manifest.json").read_text())
    found = {}
    for printed in manifest["print"]:
        name = printed["part"]
        soup = trimesh.load(out / f"{name}.stl", process=False)
        triangles = np.array(soup.triangles, dtype=float)
        start = 0
        for piece in printed["pieces"]:
            rows = np.array(piece["transform"], dtype=float).reshape(4, 3)
            end = start + piece["triangles"]
            triangles[start:end] = (triangles[start:end] - rows[3]) @ np.linalg.inv(rows[:3])
            start = end
        mesh = trimesh.Trimesh(**trimesh.triangles.to_kwargs(triangles), process=False)
        mesh.merge_vertices(digits_vertex=5)
        found[name] = (mesh, solid(mesh))
    return found


def solid(mesh):
    """The body that a mesh encloses, in double precision."""
    body = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.array(mesh.vertices, dtype=np.float64),
            tri_verts=np.array(mesh.faces, dtype=np.uint64),
        )
    )
    if body.status() != manifold3d.Error.NoError or body.is_empty():
        sys.exit(f"manifold3d refuses a body: {body.status()}")
    return body


def check(condition, text):
    """Counts a check and remembers a failed one."""
    global checks
    checks += 1
    if not condition:
        failures.append(text)


def main():
    """Checks every change."""
    pipkin, folder, design = (Path(word).resolve() for word in sys.argv[1:4])
    text = design.read_text()
    old = bodies(pipkin, design, folder / "old")
    worst = 0.0
    for name, edits in CHANGES.items():
        changed = text
        for before, after in edits:
            check(before in changed, f"{name}: there is no `{before}`")
            changed = changed.replace(before, after)
        (folder / name).mkdir(parents=True, exist_ok=True)
        file = folder / name / design.name
        file.write_text(changed)
        new = bodies(pipkin, file, folder / name / "out")
        report = json.loads(
            run(pipkin, "compare", design, file, "--report", "json", allowed=(4,))
        )
        told = {part["name"]: part for part in report["form"]}
        check(set(told) == set(new), f"{name}: the report has all parts")
        for part, (mesh, body) in new.items():
            other_mesh, other = old[part]
            volume = max(mesh.volume, other_mesh.volume)
            for what, found in (
                ("added_mm3", (body - other).volume()),
                ("removed_mm3", (other - body).volume()),
            ):
                off = abs(told[part][what] - found)
                worst = max(worst, off / volume)
                check(
                    off <= AGREE * volume,
                    f"{name}: {part} {what}: told {told[part][what]}, manifold3d {found}",
                )
    for failure in failures:
        print(f"FAILED {failure}")
    print(f"compare: farthest apart {worst:.1e} of the part's volume")
    print(f"{checks - len(failures)} passed, {len(failures)} failed")
    sys.exit(1 if failures else 0)


main()
