"""Reads 3MF files with the consortium's own reader (PyPI lib3mf) in strict mode.

usage: check_3mf.py FILE.3mf [FILE.manifest.json] ...

Every file must be read without a warning, hold only closed and outward-facing meshes
with a name and a base material, and set its items out in the positive octant without
one box over another. With a manifest: names, colours, copies and volumes are the
manifest's. `--appendix FILE` compares with the cube of the 3MF Core Specification 1.4.0,
appendix B.2: 8 vertices, 12 triangles, 63993.60016 mm3.
"""

import json
import sys

import lib3mf

APPENDIX_VOLUME_MM3 = 63993.60016
# Coordinates are written to 1e-6 mm: a volume of size s^3 is off by less than this part.
VOLUME_RATIO = 1e-6


def volume(mesh):
    """Signed volume by the divergence theorem."""
    points = [tuple(v.Coordinates) for v in mesh.GetVertices()]
    total = 0.0
    for triangle in mesh.GetTriangleIndices():
        a, b, c = (points[i] for i in triangle.Indices)
        total += (
            a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
        )
    return total / 6.0


def moved(fields, p):
    """A row vector times the item's matrix (Core Specification 3.3)."""
    return tuple(sum(p[i] * fields[i][j] for i in range(3)) + fields[3][j] for j in range(3))


def read(path):
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(path)
    warnings = [reader.GetWarning(i) for i in range(reader.GetWarningCount())]
    assert not warnings, f"{path}: {warnings}"
    return model


def materials(model):
    found = {}
    groups = model.GetBaseMaterialGroups()
    while groups.MoveNext():
        group = groups.GetCurrentBaseMaterialGroup()
        for prop in group.GetAllPropertyIDs():
            c = group.GetDisplayColor(prop)
            colour = f"#{c.Red:02x}{c.Green:02x}{c.Blue:02x}"
            found[group.GetResourceID(), prop] = (group.GetName(prop), colour)
    return found


def objects(model, path):
    bases = materials(model)
    found = {}
    iterator = model.GetMeshObjects()
    while iterator.MoveNext():
        mesh = iterator.GetCurrentMeshObject()
        name = mesh.GetName()
        assert name, f"{path}: an object has no name"
        assert mesh.IsManifoldAndOriented(), f"{path}: {name} is not closed and oriented"
        assert volume(mesh) > 0, f"{path}: {name} is inside out"
        resource, prop, has_property = mesh.GetObjectLevelProperty()
        assert has_property, f"{path}: {name} has no material"
        found[mesh.GetResourceID()] = (name, bases[resource, prop], mesh)
    return found


def part_of(model, item, found, path):
    """The mesh of an item that is one part, or a part with what helps to print it."""
    resource = item.GetObjectResourceID()
    if resource in found:
        return found[resource]
    both = model.GetComponentsObjectByID(resource)
    ids = [both.GetComponent(i).GetObjectResourceID() for i in range(both.GetComponentCount())]
    name, material, mesh = found[ids[0]]
    assert both.GetName() == name, f"{path}: {both.GetName()} holds {name}"
    assert mesh.GetType() == lib3mf.ObjectType.Model, f"{path}: {name} is {mesh.GetType()}"
    for aid in ids[1:]:
        other, _, body = found[aid]
        assert other in (f"{name} props", f"{name} brim"), f"{path}: {other} beside {name}"
        assert body.GetType() == lib3mf.ObjectType.SolidSupport, f"{path}: {other} is no support"
    return name, material, mesh


def items(model, found, path):
    boxes = []
    iterator = model.GetBuildItems()
    while iterator.MoveNext():
        item = iterator.GetCurrent()
        name, _, mesh = part_of(model, item, found, path)
        fields = item.GetObjectTransform().Fields
        points = [moved(fields, tuple(v.Coordinates)) for v in mesh.GetVertices()]
        low = [min(p[i] for p in points) for i in range(3)]
        high = [max(p[i] for p in points) for i in range(3)]
        # Single precision in the reader: 1e-4 mm at the size of a bed.
        assert min(low) > -1e-4, f"{path}: {name} leaves the positive octant: {low}"
        assert abs(low[2]) < 1e-4, f"{path}: {name} does not stand on the bed: {low}"
        for other, other_low, other_high in boxes:
            apart = any(low[i] > other_high[i] or high[i] < other_low[i] for i in range(2))
            assert apart, f"{path}: {name} lies over {other}"
        boxes.append((name, low, high))
    return [name for name, _, _ in boxes]


def against_manifest(path, found, placed, manifest):
    parts = {p["name"]: p for p in manifest["parts"] if p["files"]}
    by_name = {}
    props = {p["part"]: p["props"] for p in manifest["print"] if p.get("props", {}).get("count")}
    brims = {p["part"]: p["brim"] for p in manifest["print"] if p.get("brim")}
    for name, material, mesh in found.values():
        if mesh.GetType() == lib3mf.ObjectType.SolidSupport:
            part, word = name.rsplit(" ", 1)
            told = props.pop(part) if word == "props" else brims[part]
            ratio = volume(mesh) / told["volume_mm3"] - 1
            assert abs(ratio) < 1e-4, f"{path}: volume of {name} is off by {ratio:.2e}"
            continue
        by_name.setdefault(name, (material, mesh))
    assert not set(props) & set(by_name), f"{path}: no props under {sorted(props)}"
    assert set(by_name) == set(parts), f"{path}: {sorted(by_name)} against {sorted(parts)}"
    for name, (material, mesh) in by_name.items():
        part = parts[name]
        assert material == (part["material"], part["colour"]), f"{path}: {name} is {material}"
        ratio = volume(mesh) / part["engines"]["mesh_mm3"] - 1
        assert abs(ratio) < VOLUME_RATIO * 10, f"{path}: volume of {name} is off by {ratio:.2e}"
    for line in manifest["print"]:
        if line["part"] in parts:
            wanted = line["copies"] + line["spares"]
            count = placed.count(line["part"])
            assert count == wanted, f"{path}: {count} items of {line['part']}, not {wanted}"


def against_appendix(path, found):
    (_, _, mesh), = found.values()
    counts = (mesh.GetVertexCount(), mesh.GetTriangleCount())
    assert counts == (8, 12), f"{path}: {counts}"
    ratio = volume(mesh) / APPENDIX_VOLUME_MM3 - 1
    # The reader keeps single precision: 6e-8 of each length.
    assert abs(ratio) < 3e-7, f"{path}: the volume is off by {ratio:.2e}"


def main(arguments):
    appendix = "--appendix" in arguments
    files = [a for a in arguments if a.endswith(".3mf")]
    manifests = [a for a in arguments if a.endswith(".manifest.json")]
    assert files, __doc__
    for path in files:
        model = read(path)
        found = objects(model, path)
        placed = items(model, found, path)
        if appendix:
            against_appendix(path, found)
        for other in manifests:
            if other.removesuffix(".manifest.json") == path.removesuffix(".3mf"):
                with open(other, encoding="utf-8") as file:
                    against_manifest(path, found, placed, json.load(file))
        print(f"{path}: {len(found)} objects, {len(placed)} items, no warning")


if __name__ == "__main__":
    main(sys.argv[1:])
