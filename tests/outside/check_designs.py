"""Gaps of twenty small designs by an independent sampler, and mistakes that must be caught.

Usage: check_designs.py PIPKIN WORK

The designs are written from tests/outside/designs/list.txt, built by the program PIPKIN
into the folder WORK, and measured with numpy and scipy on the files alone.
"""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import trimesh

from gaps import sampled_gap

GAP_TOLERANCE_MM = 0.005
LIST = Path(__file__).parent / "designs" / "list.txt"
MATERIALS = (
    "material chalk { base: pla, colour: #e8e1d3 }\nmaterial moss { base: petg, colour: #5f7a4a }\n"
)
MOTIFS = {
    "stair": "  . # # #\n  # # . #\n",
    "tooth": "  # # # #\n  # . # .\n",
    "bar": "  # # # #\n",
}

failures = []


def check(condition, text):
    """Remembers a failed check."""
    if not condition:
        failures.append(text)


def taken(word, inlay, host):
    """`taken_from` of a row in the names of a design."""
    return {"host": host, "both": "both"}.get(word, inlay)


def ease(word):
    """The field `ease`, or none."""
    return "" if word == "none" else f"  ease: {word} deg\n"


def vessel(bore, wall, taper, depth):
    return (
        f"part pot = vessel {{ bore: {bore} mm, depth: {depth} mm, wall: {wall} mm, floor: 2 mm, "
        f"taper: {taper} deg, material: chalk }}\n"
    )


def ring(bore, wall, taper, repeats, height, sink, gap, eased, word, motif):
    depth = float(height) + 12
    return (
        MATERIALS
        + f"motif drawn = chart {{\n{MOTIFS[motif]}}}\n"
        + vessel(bore, wall, taper, depth)
        + f"part belt = inlay {{\n  on: pot.outside\n  motif: drawn\n  repeats: {repeats}\n"
        f"  level: {depth / 2 + 2} mm\n  height: {height} mm\n  sink: {sink} mm\n{ease(eased)}"
        f"  slit: 0.4 mm\n  material: moss\n}}\n"
        f"seat belt in pot {{ gap: {gap} mm, taken_from: {taken(word, 'belt', 'pot')} }}\n"
    )


def piece(bore, wall, taper, width, height, sink, gap, eased, word):
    depth = float(height) + 12
    return (
        MATERIALS
        + vessel(bore, wall, taper, depth)
        + f"part seal = inlay {{\n  on: pot.outside\n"
        f"  figure: rect {{ size: ({width} mm, {height} mm) }}\n  level: {depth / 2 + 2} mm\n"
        f"  bearing: 30 deg\n  sink: {sink} mm\n{ease(eased)}  material: moss\n}}\n"
        f"seat seal in pot {{ gap: {gap} mm, taken_from: {taken(word, 'seal', 'pot')} }}\n"
    )


def tablet(width, depth, thick, figure_width, figure_height, sink, gap, word):
    return (
        MATERIALS
        + f"part slab = block {{ size: ({width} mm, {depth} mm, {thick} mm), material: chalk }}\n"
        f"part seal = inlay {{\n  on: slab.top\n"
        f"  figure: rect {{ size: ({figure_width} mm, {figure_height} mm), corner: 1.5 mm }}\n"
        f"  level: 0 mm\n  sink: {sink} mm\n  material: moss\n}}\n"
        f"seat seal in slab {{ gap: {gap} mm, taken_from: {taken(word, 'seal', 'slab')} }}\n"
    )


FORMS = {"ring": ring, "piece": piece, "tablet": tablet}


def build(pipkin, work, name, text):
    """Exit code, findings' codes, and the folder of one build."""
    file = work / f"{name}.pkn"
    file.write_text(text, encoding="utf-8")
    command = [pipkin, "build", "-q", "--message-format", "json", "--out", work / name, file]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    lines = [line for line in run.stderr.splitlines() if line.startswith("{")]
    return run.returncode, [json.loads(line)["code"] for line in lines], work / name


def assembled(folder, manifest, name):
    """A part in assembly axes: its file, undone by what the manifest says of each piece."""
    soup = trimesh.load(folder / f"{name}.stl", process=False)
    triangles = np.array(soup.triangles, dtype=float)
    printed = next(p for p in manifest["print"] if p["part"] == name)
    start = 0
    for one in printed["pieces"]:
        rows = np.array(one["transform"], dtype=float).reshape(4, 3)
        end = start + one["triangles"]
        triangles[start:end] = (triangles[start:end] - rows[3]) @ np.linalg.inv(rows[:3])
        start = end
    mesh = trimesh.Trimesh(**trimesh.triangles.to_kwargs(triangles), process=False)
    mesh.merge_vertices(digits_vertex=5)
    return mesh


def check_gap(name, folder):
    """The least gap of the only seat, and that a shifted inlay would not pass."""
    manifest = json.loads((folder / f"{name}.manifest.json").read_text(encoding="utf-8"))
    seat = manifest["seats"][0]
    inlay = assembled(folder, manifest, seat["inlay"])
    host = assembled(folder, manifest, seat["host"])
    told = seat["gap_mm"]["least"]
    found = sampled_gap(inlay, host, seat)
    check(found is not None, f"{name}: flanks are found")
    if found is None:
        return
    check(abs(found - told) <= GAP_TOLERANCE_MM, f"{name}: gap {told}, sampled {found}")
    shifted = inlay.copy()
    shifted.apply_translation([0, 0, 0.05] if name[0] != "t" else [0.05, 0, 0])
    moved = sampled_gap(shifted, host, seat)
    seen = moved is not None and abs(moved - told) > GAP_TOLERANCE_MM
    check(seen, f"{name}: an inlay shifted by 0.05 mm is not told from one in its place")


def mistakes(pipkin, work):
    """Bodies that claim the same space, and a lid out of its place."""
    block = "part {} = solid {{ form: block {{ size: ({}) }} at ({}), material: chalk }}\n"
    first = block.format("a", "20 mm, 20 mm, 20 mm", "0 mm, 0 mm, 0 mm")
    apart = block.format("b", "20 mm, 20 mm, 20 mm", "20.01 mm, 0 mm, 0 mm")
    overlap = block.format("b", "20 mm, 20 mm, 20 mm", "19.99 mm, 0 mm, 0 mm")
    within = block.format("b", "4 mm, 4 mm, 4 mm", "0 mm, 0 mm, 8 mm")
    closed = "use std.closures\n" + MATERIALS + vessel(40, 3, 0, 30)
    lid = "part cap = solid {{ form: plug_lid {{ closes: pot, gap: 0.2 mm, top: plain }} at ({} mm, 0 mm, 0 mm), material: chalk }}\n"
    cases = {
        "apart": (MATERIALS + first + apart, None),
        "overlap": (MATERIALS + first + overlap, "E0601"),
        "contained": (MATERIALS + first + within, "E0601"),
        "centred": (closed + lid.format("0"), None),
        "shifted": (closed + lid.format("0.1"), "E0609"),
    }
    for name, (text, code) in cases.items():
        _, codes, _ = build(pipkin, work, name, text)
        errors = [c for c in codes if c.startswith("E")]
        check(errors == ([code] if code else []), f"{name}: findings {codes}, wanted {code}")


def main():
    """Builds and checks everything; the exit code says whether all holds."""
    pipkin, work = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    work.mkdir(parents=True, exist_ok=True)
    count = 0
    for line in LIST.read_text(encoding="utf-8").splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        form, name, *measures = line.split()
        code, codes, folder = build(pipkin, work, name, FORMS[form](*measures))
        check(code == 0, f"{name}: not built, {codes}")
        if code == 0:
            check_gap(name, folder)
            count += 1
    mistakes(pipkin, work)
    for failure in failures:
        print(f"FAILED {failure}")
    print(f"{count} designs measured twice, {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
