"""The strain of sprung rings by a beam model of their own.

Usage: check_rings.py FOLDER

Every slit ring of the builds below FOLDER is cut four times a degree from its STL (trimesh and
shapely), and its sections become straight Euler beams in a plane frame (numpy). A pull
across the slit opens the frame until the bore clears the circle that the ring must pass, over
a belly what is in its way at each moment (ring_travel.py); then it is pressed over that
circle by unilateral contact (scipy). Over flat sides the beams turn as far as they like
(ring_frame.py). Strains and openings of the compiler must agree within 3 %.
"""

import json
import sys
from pathlib import Path

import numpy as np
import trimesh
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.optimize import linprog, nnls
from shapely.geometry import Polygon

from ring_frame import Host, SideFrame, section_at
from ring_travel import demands

WITHIN = 0.03
# Four to a degree: necks between columns are half a degree long, and coarser stations in
# step with the motif would miss all of them.
STATIONS = 1440
# Every so many nodes may touch the circle; the last one is a tip.
TOUCHING = 12

failures = []
checks = 0


def check(condition, text):
    """Counts a check and remembers a failed one."""
    global checks
    checks += 1
    if not condition:
        failures.append(text)


def slit_bearing(mesh):
    """The middle of the one gap in the angles of the ring's corners, taken at fine steps."""
    angles = np.sort(np.arctan2(mesh.vertices[:, 1], mesh.vertices[:, 0]))
    gaps = np.diff(np.append(angles, angles[0] + 2 * np.pi))
    # The slit is where no section is: look at the middle of every gap, the widest first.
    for k in np.argsort(gaps)[::-1]:
        middle = angles[k] + gaps[k] / 2
        if section_at(mesh, middle, 0.0) is None:
            return middle, gaps[k]
    return None


class Frame:
    """A chain of straight Euler beams from one tip of a ring to the other; modulus 1."""

    def __init__(self, mesh):
        bearing, gap = slit_bearing(mesh)
        self.bearing = bearing
        self.nodes_at = np.linspace(gap / 2, 2 * np.pi - gap / 2, STATIONS + 1)
        middles = (self.nodes_at[1:] + self.nodes_at[:-1]) / 2
        self.sections = np.array([section_at(mesh, bearing + a, 0.0) for a in middles])
        radius = self.sections[:, 1]
        at = np.interp(self.nodes_at, middles, radius)
        # x runs across the slit, y away from it.
        self.nodes = np.stack([at * np.sin(self.nodes_at), at * np.cos(self.nodes_at)], axis=1)
        self.stiff = np.zeros((3 * len(self.nodes),) * 2)
        self.beams = []
        # Where one section gives way to another their middles step in or out. A step is no
        # piece of the ring: it must not bend, so beams have the stiffness of the way round.
        more = np.hypot(*np.diff(self.nodes, axis=0).T) / (radius * np.diff(self.nodes_at))
        for k in range(STATIONS):
            self.add(k, *(self.sections[k][[0, 2]] * more[k]))
        # The node at the back is held, and a chain couples nothing across more than two nodes.
        back = STATIONS // 2
        self.free = np.setdiff1d(np.arange(len(self.stiff)), [3 * back, 3 * back + 1, 3 * back + 2])
        stiff = self.stiff[np.ix_(self.free, self.free)]
        band = np.zeros((6, len(self.free)))
        for off in range(6):
            band[off, : len(self.free) - off] = stiff.diagonal(-off)
        self.factor = cholesky_banded(band, lower=True)

    def add(self, k, area, inertia):
        """One beam between nodes k and k + 1 (textbook stiffness of a plane frame)."""
        span = self.nodes[k + 1] - self.nodes[k]
        length = np.hypot(*span)
        c, s = span / length
        a, b = area / length, inertia / length**3
        local = np.array(
            [
                [a, 0, 0, -a, 0, 0],
                [0, 12 * b, 6 * b * length, 0, -12 * b, 6 * b * length],
                [0, 6 * b * length, 4 * b * length**2, 0, -6 * b * length, 2 * b * length**2],
                [-a, 0, 0, a, 0, 0],
                [0, -12 * b, -6 * b * length, 0, 12 * b, -6 * b * length],
                [0, 6 * b * length, 2 * b * length**2, 0, -6 * b * length, 4 * b * length**2],
            ]
        )
        turn = np.zeros((6, 6))
        for o in (0, 3):
            turn[o : o + 3, o : o + 3] = [[c, s, 0], [-s, c, 0], [0, 0, 1]]
        rows = slice(3 * k, 3 * k + 6)
        self.stiff[rows, rows] += turn.T @ local @ turn
        self.beams.append((local, turn, rows))

    def solve(self, loads):
        """Shifts for loads (columns) that balance; the node at the back is held."""
        moved = np.zeros_like(loads)
        moved[self.free] = cho_solve_banded((self.factor, True), loads[self.free])
        return moved

    def outward(self):
        """Rows that take shifts to outward shifts of the nodes, and their unit directions."""
        unit = self.nodes / np.linalg.norm(self.nodes, axis=1)[:, None]
        rows = np.zeros((len(self.nodes), len(self.stiff)))
        for k, (x, y) in enumerate(unit):
            rows[k, 3 * k : 3 * k + 2] = x, y
        return rows, unit

    def demands(self, mesh, host, sense):
        """What each node must move out by on the way over one end of a host: that of the
        beams beside it, of which every fourth is looked at."""
        middles = (self.nodes_at[1:] + self.nodes_at[:-1])[::4] / 2 + self.bearing
        rows = np.repeat(demands(mesh, host, middles, sense), 4, axis=1)
        return np.column_stack([rows, rows[:, -1]])

    def strain(self, moved):
        """The peak of the outermost fibres, at the middles of the beams, for modulus 1."""
        worst = 0.0
        for k, (local, turn, rows) in enumerate(self.beams):
            ends = local @ turn @ moved[rows]
            moment = (ends[5] - ends[2]) / 2
            area, middle, inertia, inner, outer = self.sections[k]
            pull = ends[3] / area
            # Straight beams know no curvature: Winkler's inner fibre to the first order.
            curved = [1 + (outer - inner) / (3 * middle), 1 - (outer - inner) / (3 * middle)]
            for fibre, more in zip((inner, outer), curved):
                bent = moment * (middle - fibre) / inertia * more
                worst = max(worst, abs(pull + bent))
        return worst

    def pulled(self, demands):
        """Strain and opening, pulled across the slit until every node moved out by what is
        demanded of it at the hardest of the moments (rows)."""
        loads = np.zeros(len(self.stiff))
        loads[0], loads[-3] = 1.0, -1.0
        moved = self.solve(loads)
        rows, unit = self.outward()
        shift = rows @ moved
        # The least pull, over sideways moves of the whole ring (a linear programme).
        scale = shift.max()
        constraints = np.column_stack([-shift / scale, -unit])
        bounds = [(0, None), (None, None), (None, None)]
        force = max(linprog([1, 0, 0], constraints, -d, bounds=bounds).x[0] for d in demands)
        force /= scale
        return self.strain(moved) * force, (moved[0] - moved[-3]) * force

    def riding(self, demand):
        """Strain, pressed from within at its nodes, each as far out as is demanded of it,
        without friction."""
        rows, unit = self.outward()
        rows, unit = rows[::TOUCHING], unit[::TOUCHING]
        reach = rows @ self.solve(rows.T)
        scale = reach.diagonal().max()
        # Sideways moves are free: a large give, the same for all.
        give = reach + 1e4 * scale * unit @ unit.T + 1e-9 * scale * np.eye(len(unit))
        give = (give + give.T) / 2
        root = np.linalg.cholesky(give).T
        pressures, _ = nnls(root, np.linalg.solve(root.T, demand[::TOUCHING]), maxiter=20000)
        return self.strain(self.solve(rows.T @ pressures))


def uniform_ring():
    """A ring whose strain is known: R 39 mm, 2 mm thick, a slit of 0.5 mm."""
    half = 0.25 / 38
    angles = np.linspace(half, 2 * np.pi - half, 721)
    profile = Polygon([(38, 0), (40, 0), (40, 10), (38, 10)])
    points = np.array(profile.exterior.coords)[:-1]
    vertices = np.array([[r * np.cos(a), r * np.sin(a), z] for a in angles for r, z in points])
    faces = []
    for k in range(720):
        for j in range(4):
            a, b = 4 * k + j, 4 * k + (j + 1) % 4
            faces += [[a, a + 4, b + 4], [a, b + 4, b]]
    last = 4 * 720
    faces += [[0, 1, 2], [0, 2, 3], [last, last + 2, last + 1], [last, last + 3, last + 2]]
    return trimesh.Trimesh(vertices, faces, process=False)


def in_assembly(folder, manifest, name):
    """The ring's mesh with the pose of its printed copy undone."""
    mesh = trimesh.load(folder / f"{name}.stl", process=False)
    pieces = next(p for p in manifest["print"] if p["part"] == name)["pieces"]
    rows = np.array(pieces[0]["transform"], dtype=float).reshape(4, 3)
    vertices = (np.asarray(mesh.vertices) - rows[3]) @ np.linalg.inv(rows[:3])
    mesh = trimesh.Trimesh(vertices, mesh.faces, process=False)
    mesh.merge_vertices(digits_vertex=5)
    return mesh


def check_ring(folder, manifest, told, seat):
    """One ring of one build. Its axis is the z axis of the assembly."""
    mesh = in_assembly(folder, manifest, told["part"])
    name = f"{manifest['source']['file']} {manifest['size'] or ''} {told['part']}"
    frame = Frame(mesh)
    if seat["surface"]["kind"] == "bellied":
        # Of the two ends the one over which it comes with less.
        host = in_assembly(folder, manifest, seat["host"])
        asked = [frame.demands(mesh, host, sense) for sense in (1, -1)]
        strain, opening, rows = min(((*frame.pulled(rows), rows) for rows in asked), key=lambda a: a[0])
        riding = max(frame.riding(row) for row in rows)
    else:
        # What the manifest says of the circle; the bore is the mesh's own.
        bore = min(section[3] for section in frame.sections)
        asked = np.full((1, len(frame.nodes)), told["over_mm"] / 2 - bore)
        strain, opening = frame.pulled(asked)
        riding = frame.riding(asked[0])
    compare(
        name,
        ("strain by hand, %", 100 * strain, told["strain_percent"]),
        ("opening, mm", opening, told["opening_mm"]),
        ("strain riding, %", 100 * riding, told["riding_percent"]),
    )


def compare(name, *numbers):
    """Each a word, a number of this model, and what the compiler tells."""
    for what, own, theirs in numbers:
        off = theirs / own - 1
        check(abs(off) <= WITHIN, f"{name}: {what}: {theirs} against {own}")
        print(f"{name}: {what}: told {theirs:.4f}, beams {own:.4f}, {100 * off:+.2f} %")


def check_ring_over_sides(folder, manifest, told, seat):
    """One ring over flat sides."""
    mesh = in_assembly(folder, manifest, told["part"])
    host = Host(in_assembly(folder, manifest, seat["host"]), mesh.bounds[0, 2])
    bearing, gap = slit_bearing(mesh)
    walls = bearing + gap / 2, bearing + 2 * np.pi - gap / 2
    frame = SideFrame(mesh, seat["surface"]["facets"], walls)
    opening, shape = host.passed(frame)
    riding = host.ridden(frame, shape, frame.pull(shape))
    compare(
        f"{manifest['source']['file']} {seat['surface']['facets']} sides {told['part']}",
        ("strain by hand, %", 100 * frame.strain(shape), told["strain_percent"]),
        ("opening, mm", opening, told["opening_mm"]),
        ("strain riding, %", 100 * frame.strain(riding), told["riding_percent"]),
        ("opening riding, mm", frame.width(riding) - frame.width(0 * riding), told["riding_opening_mm"]),
    )


def main():
    """A ring of one section first, then the rings of all builds."""
    frame = Frame(uniform_ring())
    strain, opening = frame.pulled(np.full((1, len(frame.nodes)), 2.0))
    # The closed forms (Castigliano), the curved bar's inner fibre, the pull, and what the
    # slit's own width takes away.
    less = 1 + np.pi / 4 * 0.25 / 38
    closed = 2.0 * 2.0 / 39**2 * (1 + 2 / (3 * 39) + 2 / (12 * 39)) / less
    check(abs(strain / closed - 1) < 3e-3, f"the model itself: strain {strain} against {closed}")
    opens = 6 * np.pi / less
    check(abs(opening / opens - 1) < 3e-3, f"the model itself: opening {opening} against {opens}")
    found = 0
    for path in sorted(Path(sys.argv[1]).rglob("*.manifest.json")):
        manifest = json.loads(path.read_text(encoding="utf-8"))
        seats = {seat["inlay"]: seat for seat in manifest["seats"]}
        for told in manifest["rings"]:
            seat = seats[told["part"]]
            over_sides = seat["surface"]["facets"]
            one = check_ring_over_sides if over_sides else check_ring
            one(path.parent, manifest, told, seat)
            found += 1
    check(found > 0, "no ring in any build")
    for failure in failures:
        print(f"FAILED {failure}")
    print(f"{checks - len(failures)} passed, {len(failures)} failed")
    sys.exit(1 if failures else 0)


main()
