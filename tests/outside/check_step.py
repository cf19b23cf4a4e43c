"""Has every STEP file below a folder read by another kernel and compares what it says
with the manifest beside the file. Arguments: the programs of step/report.cpp and
step/fits.cpp, the folder."""

import json
import re
import subprocess
import sys
from pathlib import Path

# Manifests state volumes to 1e-6 mm3, some 1e-9 of the smallest body here.
VOLUME = 1e-8
# Manifests state areas to 1e-6 mm2; centres to 1e-6 mm, rounded once.
AREA = 1e-8
CENTRE_MM = 2e-6
# The elementary surfaces of ISO 10303-42, in the kernel's order.
KINDS = ("PLANE", "CYLINDRICAL_SURFACE", "CONICAL_SURFACE", "SPHERICAL_SURFACE", "TOROIDAL_SURFACE")
# The asked gap is the least that may be; where edges lean or bend it is more, by this share.
MORE = 0.01
# The other kernel finds where analytic flanks are nearest to this, mm, and the manifest by
# triangles whose facets leave their arc by 0.005 mm at most, a gap by far less.
NEAREST_MM = 1e-5
TRIANGLES_MM = 2e-5
# What its booleans leave of shared faces.
COMMON_MM3 = 1e-6
# What the files claim of themselves, mm.
TOLERANCE_MM = 1e-6


def wrong(said, parts, text):
    """What does not hold of one file."""
    if not said["read"]:
        return ["it cannot be read"]
    found = [f"not {word}" for word in ("valid", "closed") if not said[word]]
    if said["loose_faces"]:
        found.append(f"{said['loose_faces']} faces belong to no solid")
    pieces = sum(part["pieces"] for part in parts)
    if said["solids"] != pieces:
        found.append(f"{said['solids']} solids, {pieces} pieces")
    exact = sum(part["engines"]["exact_mm3"] for part in parts)
    if not abs(said["volume_mm3"] - exact) <= VOLUME * exact:
        found.append(f"volume {said['volume_mm3']}, exact {exact}")
    area = sum(part["engines"]["exact_mm2"] for part in parts)
    if not abs(said["area_mm2"] - area) <= AREA * area:
        found.append(f"area {said['area_mm2']}, exact {area}")
    centre = [
        sum(p["engines"]["exact_centre_mm"][axis] * p["engines"]["exact_mm3"] for p in parts) / exact
        for axis in range(3)
    ]
    if not max(abs(a - b) for a, b in zip(said["centre_mm"], centre)) <= CENTRE_MM:
        found.append(f"centre {said['centre_mm']}, exact {centre}")
    kind_of = dict(re.findall(r"^(#\d+)=([A-Z_]+)\(", text, re.MULTILINE))
    faces = re.findall(r"=ADVANCED_FACE\('[^']*',\([^)]*\),(#\d+),", text)
    written = [sum(kind_of[face] == kind for face in faces) for kind in KINDS]
    # The kernel parts some faces on tori, which close in both directions, in two.
    *plain, tori = said["kinds"][:5]
    if plain != written[:4] or tori not in (written[4], 2 * written[4]):
        found.append(f"faces of kinds {said['kinds']}, written {written}")
    if not said["tolerance_mm"] <= TOLERANCE_MM:
        found.append(f"tolerance {said['tolerance_mm']}")
    return found


def asked(program, *paths):
    """What a program says, a line for each answer."""
    run = subprocess.run([program, *map(str, paths)], capture_output=True, text=True, check=True)
    return [json.loads(line) for line in run.stdout.splitlines()]


def ill_fitting(program, folder, manifest):
    """What does not hold of the seats, and how many there are."""
    found = []
    count = 0
    for seat in manifest["seats"]:
        paths = [folder / f"{seat[role]}.step" for role in ("inlay", "host")]
        if not all(path.exists() for path in paths):
            continue
        count += 1
        (said,) = asked(program, *paths)
        gap = seat["gap_mm"]["asked"]
        name = f"{seat['inlay']} in {seat['host']}"
        least = said["least_mm"]
        if not gap - NEAREST_MM <= least <= gap * (1 + MORE) + NEAREST_MM:
            found.append(f"{name}: flanks of {said['flanks']} come to {least} of {gap}")
        told = seat["gap_mm"]["least"]
        if not abs(told - least) <= TRIANGLES_MM:
            found.append(f"{name}: flanks come to {least}, the manifest says {told}")
        common = said["common_mm3"]
        if common is not None and not 0 <= common <= COMMON_MM3:
            found.append(f"{name}: {common} mm3 in common")
    return found, count


def main():
    program, fits, folder = sys.argv[1:]
    checked = 0
    seats = 0
    failed = False
    for path in sorted(Path(folder).rglob("*.manifest.json")):
        manifest = json.loads(path.read_text())
        groups = {f"{part['name']}.step": [part] for part in manifest["parts"]}
        whole = path.name.replace(".manifest.json", ".assembly.step")
        groups[whole] = manifest["parts"] + manifest["bought"]
        names = [name for name in groups if name in manifest["files"]]
        paths = [str(path.parent / name) for name in names]
        lines = asked(program, *paths)
        assert len(lines) == len(names), lines
        for name, said in zip(names, lines):
            checked += 1
            for fault in wrong(said, groups[name], (path.parent / name).read_text()):
                failed = True
                print(f"{path.parent / name}: {fault}")
        faults, count = ill_fitting(fits, path.parent, manifest)
        seats += count
        for fault in faults:
            failed = True
            print(f"{path.parent}: {fault}")
    print(f"{checked} STEP files read by another kernel, {seats} seats measured by it")
    sys.exit(failed or checked == 0 or seats == 0)


main()
