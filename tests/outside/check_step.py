"""Has every STEP file below a folder read by another kernel and compares what it says
with the manifest beside the file. Arguments: the program of step/report.cpp, the folder."""

import json
import subprocess
import sys
from pathlib import Path

# Manifests state volumes to 1e-6 mm3, some 1e-9 of the smallest body here.
VOLUME = 1e-8
# What the files claim of themselves, mm.
TOLERANCE_MM = 1e-6


def wrong(said, parts):
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
    if not said["tolerance_mm"] <= TOLERANCE_MM:
        found.append(f"tolerance {said['tolerance_mm']}")
    return found


def main():
    program, folder = sys.argv[1:]
    checked = 0
    failed = False
    for path in sorted(Path(folder).rglob("*.manifest.json")):
        manifest = json.loads(path.read_text())
        groups = {f"{part['name']}.step": [part] for part in manifest["parts"]}
        whole = path.name.replace(".manifest.json", ".assembly.step")
        groups[whole] = manifest["parts"]
        names = [name for name in groups if name in manifest["files"]]
        paths = [str(path.parent / name) for name in names]
        run = subprocess.run([program, *paths], capture_output=True, text=True, check=True)
        lines = [json.loads(line) for line in run.stdout.splitlines()]
        assert len(lines) == len(names), run.stdout
        for name, said in zip(names, lines):
            checked += 1
            for fault in wrong(said, groups[name]):
                failed = True
                print(f"{path.parent / name}: {fault}")
    print(f"{checked} STEP files read by another kernel")
    sys.exit(failed or checked == 0)


main()
