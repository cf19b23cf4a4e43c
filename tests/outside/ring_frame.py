"""A slit ring over flat sides as a plane frame of beams that turn as far as they like.

Sections, inner outline and the host's outline are cut from the meshes; nothing is taken
from the compiler but the number of sides. The beams are co-rotational (Crisfield, Non-linear
Finite Element Analysis of Solids and Structures, volume 1, 1991, chapter 7): each is a
straight linear beam in axes that go with its ends. Modulus 1.
"""

import numpy as np
import shapely
import trimesh
from scipy.optimize import brentq, minimize
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu
from shapely.geometry import LineString, MultiPoint, Polygon
from shapely.ops import polygonize, unary_union

# Beams of a whole ring: necks between columns are half a degree long.
BEAMS = 1440
# A newton's iteration has ended when no node moves farther, mm or rad.
STILL = 1e-7
# The host presses with so much per mm of overlap, in shares of the pull that opens the ring.
HARD_PER_MM = 300.0


def section_at(mesh, facing, along):
    """Area, middle, second moment, least and most distance on the plane square to a side
    that faces an angle, so far along it, at 0 through the axis; none where there is nothing.
    Holes do not occur in bands: they are open towards the face or the back."""
    out = np.array([np.cos(facing), np.sin(facing), 0.0])
    square = np.array([-np.sin(facing), np.cos(facing), 0.0])
    lines = trimesh.intersections.mesh_plane(mesh, square, along * square)
    flat = np.stack([lines @ out, lines[:, :, 2]], axis=-1)
    flat = flat[(flat[:, :, 0] > 0).all(axis=1)]
    # Ends that are one corner in the mesh are one point here again.
    pairs = np.round(flat, 6)
    pairs = pairs[np.any(pairs[:, 0] != pairs[:, 1], axis=1)] if len(pairs) else pairs
    shape = unary_union(list(polygonize([LineString(p) for p in pairs])))
    if shape.area < 1e-2:
        return None
    inertia = 0.0
    middle = shape.centroid.x
    for polygon in getattr(shape, "geoms", [shape]):
        r, z = np.array(polygon.exterior.coords).T
        u = r - middle
        cross = u[:-1] * z[1:] - u[1:] * z[:-1]
        inertia += abs((cross * (u[:-1] ** 2 + u[:-1] * u[1:] + u[1:] ** 2)).sum() / 12)
    return shape.area, middle, inertia, shape.bounds[0], shape.bounds[2]


def turned(points, angle):
    """Points, or directions, turned about the origin."""
    c, s = np.cos(angle), np.sin(angle)
    return points @ np.array([[c, s], [-s, c]])


class SideFrame:
    """Beams from one tip of a ring to the other, straight along each side."""

    def __init__(self, mesh, sides, walls):
        """`walls` are the angles of the slit's walls, the ring between them."""
        low, high = walls
        self.turn = 2 * np.pi / sides
        self.inner = self.distances(mesh).min()
        middle = (self.inner + self.distances(mesh).max()) / 2
        first = np.round((low + np.pi / 2) / self.turn) * self.turn - np.pi / 2
        self.sections, facings, spans = [], [], []
        for facing in first + self.turn * np.arange(-1, sides + 2):
            half = middle * np.tan(self.turn / 2)
            ends = np.clip([low - facing, high - facing], -self.turn / 2, self.turn / 2)
            start, end = middle * np.tan(ends)
            # A square cut must meet neither the next side nor a wall of the slit.
            square = self.inner * np.tan(ends) + [1e-5, -1e-5]
            if end - start < 0.05:
                continue
            count = max(2, round(BEAMS / sides * (end - start) / (2 * half)))
            steps = np.linspace(start, end, count + 1)
            for a, b in zip(steps, steps[1:]):
                section = section_at(mesh, facing, np.clip((a + b) / 2, *square))
                self.sections.append(section)
                facings.append(facing)
                spans.append((a, b))
        self.sections = np.array(self.sections)
        area, along = self.sections[:, 0], np.array(spans)
        middle = (area * self.sections[:, 1]).sum() / area.sum()
        facings = np.array(facings)
        out = np.stack([np.cos(facings), np.sin(facings)], axis=1)
        way = np.stack([-np.sin(facings), np.cos(facings)], axis=1)
        # A node where two sides meet is in the middle of what both say of it.
        ends = [middle * out + along[:, [k]] * way for k in (0, 1)]
        nodes = np.vstack([ends[0], ends[1][-1:]])
        nodes[1:-1] = (ends[0][1:] + ends[1][:-1]) / 2
        # The inner outline goes with the nodes; each beam has its own two ends.
        most = self.inner * np.tan(self.turn / 2)
        inside = [self.inner * out + np.clip(along[:, [k]], -most, most) * way for k in (0, 1)]
        # Enough of it to see what it clears: all corners, and one point a degree.
        corner = np.append(True, np.diff(facings) != 0)
        corner = np.stack([corner, np.append(corner[1:], True)], axis=1).ravel()
        self.seen = np.nonzero(corner | (np.arange(len(corner)) % 8 == 0))[0]
        # The line of the tips upright, the first one at the origin.
        upright = -np.pi / 2 - np.arctan2(*(nodes[-1] - nodes[0])[::-1])
        place = nodes[0].copy()
        self.rest = turned(nodes - place, upright)
        self.arms = [turned(inside[k] - nodes[k : len(nodes) - 1 + k], upright) for k in (0, 1)]
        # The ring's own axes at its back, to lay it on the host again.
        self.home = (upright, place)
        span = np.diff(self.rest, axis=0)
        self.length = np.hypot(*span.T)
        self.bearing = np.arctan2(span[:, 1], span[:, 0])
        k = np.arange(len(span))[:, None]
        self.dofs = 3 * k + np.arange(6)

    def distances(self, mesh):
        """Of all corners from the axis, square to the side that each is over."""
        x, y = mesh.vertices[:, 0], mesh.vertices[:, 1]
        facing = np.round((np.arctan2(y, x) + np.pi / 2) / self.turn) * self.turn - np.pi / 2
        return x * np.cos(facing) + y * np.sin(facing)

    def forces(self, moved):
        """Forces of the beams on their ends, their tangent, and pulls and end moments."""
        at, spin = self.rest + moved[:, :2], moved[:, 2]
        span = np.diff(at, axis=0)
        length = np.hypot(*span.T)
        c, s = span[:, 0] / length, span[:, 1] / length
        # The turn of a beam, continued from that of its ends.
        chord = np.arctan2(span[:, 1], span[:, 0]) - self.bearing
        chord += np.round((spin[:-1] - chord) / (2 * np.pi)) * 2 * np.pi
        area, _, inertia, _, _ = self.sections.T
        pull = area * (length - self.length) / self.length
        bend = np.stack([spin[:-1] - chord, spin[1:] - chord], axis=1)
        stiff = inertia / self.length
        moments = stiff[:, None] * (bend @ np.array([[4.0, 2.0], [2.0, 4.0]]))
        zero, one = np.zeros_like(c), np.ones_like(c)
        r = np.stack([-c, -s, zero, c, s, zero], axis=1)
        z = np.stack([s, -c, zero, -s, c, zero], axis=1)
        first = np.stack([zero, zero, one, zero, zero, zero], axis=1) - z / length[:, None]
        last = np.stack([zero, zero, zero, zero, zero, one], axis=1) - z / length[:, None]
        force = pull[:, None] * r + moments[:, [0]] * first + moments[:, [1]] * last
        def outer(a, b, by):
            return by[:, None, None] * a[:, :, None] * b[:, None, :]
        tangent = outer(r, r, area / self.length)
        tangent += outer(first, first, 4 * stiff) + outer(last, last, 4 * stiff)
        tangent += outer(first, last, 2 * stiff) + outer(last, first, 2 * stiff)
        tangent += outer(z, z, pull / length)
        by = moments.sum(axis=1) / length**2
        tangent += outer(r, z, by) + outer(z, r, by)
        return force, tangent, pull, moments

    def assembled(self, moved):
        """Forces at the nodes and their tangent, as a list of places and values."""
        force, tangent, pull, moments = self.forces(moved)
        total = np.zeros(moved.size)
        np.add.at(total, self.dofs, force)
        rows = np.repeat(self.dofs, 6, axis=1).ravel()
        columns = np.tile(self.dofs, (1, 6)).ravel()
        return total, (rows, columns, tangent.ravel()), pull, moments

    def opened(self, moved, by):
        """Held by pins at its tips, so much farther apart than at rest; from a shape that
        is not far off. Pins at both tips pull along their line alone."""
        moved = moved.copy()
        size = moved.size
        pinned = [0, 1, size - 3, size - 2]
        free = np.setdiff1d(np.arange(size), pinned)
        for _ in range(60):
            total, (rows, columns, values), _, _ = self.assembled(moved)
            stiff = coo_matrix((values, (rows, columns)), (size, size)).tocsc()[free]
            step = np.zeros(size)
            step[size - 2] = -by - moved[-1, 1]
            load = -total[free] - stiff @ step
            step[free] = splu(stiff[:, free]).solve(load)
            step *= min(1.0, 0.1 / max(abs(step[2::3]).max(), 1e-12))
            moved += step.reshape(-1, 3)
            if abs(step).max() < STILL:
                return moved
        raise RuntimeError("the frame found no shape")

    def width(self, moved):
        """The distance of the tips."""
        return np.hypot(*(self.rest[0] + moved[0, :2] - self.rest[-1] - moved[-1, :2]))

    def pull(self, moved):
        """What the pins pull with."""
        return np.hypot(*self.assembled(moved)[0][:2])

    def strain(self, moved):
        """The peak of the outermost fibres, at the middles of the beams."""
        _, _, pull, moments = self.forces(moved)
        area, middle, inertia, inner, outer = self.sections.T
        # Of the part that follows, positive where it closes the ring.
        moment = (moments[:, 1] - moments[:, 0]) / 2
        fibres = [pull / area + moment * (r - middle) / inertia for r in (inner, outer)]
        return np.abs(fibres).max()

    def inside(self, moved):
        """The inner outline of a shape, two points to a beam, beam after beam."""
        at, spin = self.rest + moved[:, :2], moved[:, 2]
        points = []
        for k in (0, 1):
            ends = slice(k, len(at) - 1 + k)
            c, s = np.cos(spin[ends]), np.sin(spin[ends])
            x, y = self.arms[k].T
            points.append(at[ends] + np.stack([c * x - s * y, s * x + c * y], axis=1))
        return np.stack(points, axis=1).reshape(-1, 2)

    def back_home(self, moved):
        """The turn and shift that lay the middle of the ring where it was on its host."""
        back = len(self.rest) // 2
        upright, place = self.home
        angle = -upright - moved[back, 2]
        was = turned(self.rest[back], -upright) + place
        return np.array([*(was - turned(self.rest[back] + moved[back, :2], angle)), angle])


class Host:
    """The outline that a ring must pass."""

    def __init__(self, mesh, lowest):
        """The widest of all outlines above a height, over which the ring comes."""
        top = mesh.bounds[1, 2]
        outlines = []
        for z in np.arange(lowest + 0.05, top, 0.5):
            lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1.0], [0, 0, z])
            if len(lines):
                outlines.append(MultiPoint(lines[:, :, :2].reshape(-1, 2)).convex_hull)
        self.shape = max(outlines, key=lambda outline: outline.area).simplify(1e-3)
        self.corners = np.array(self.shape.exterior.coords)[:-1]
        shapely.prepare(self.shape)

    def clear(self, inside, move):
        """How far an outline, moved, lies outside: mm, below 0 where it does not."""
        at = turned(inside, move[2]) + move[:2]
        line = LineString(at)
        points = shapely.points(at)
        edge = self.shape.exterior
        depth = shapely.distance(points, edge)
        depth[shapely.contains_xy(self.shape, at[:, 0], at[:, 1])] *= -1
        least = depth.min()
        # The host's corners: one on the far side of the line has gone through it, but for
        # one that looks out between the tips.
        round_it = Polygon(at)
        for corner in shapely.points(self.corners):
            if not round_it.contains(corner) and 0 < line.project(corner) < line.length:
                least = min(least, -line.distance(corner))
        return least

    def best(self, inside, start):
        """The move that leaves an outline the most room, and how much."""
        found = None
        for turn in (0.0, -0.1, 0.1):
            move = np.array([*turned(start[:2], turn), start[2] + turn])
            for size in (1.0, 0.1):
                simplex = move + size * np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 0.03]])
                settled = minimize(
                    lambda move: -self.clear(inside, move),
                    move,
                    method="Nelder-Mead",
                    options={"initial_simplex": simplex, "xatol": 1e-3, "fatol": 1e-4},
                )
                move = settled.x
            if found is None or settled.fun < found.fun - 1e-3:
                found = settled
        return found.x, -found.fun

    def passed(self, frame):
        """The least opening at which a ring is outside the host, moved as suits it: the
        opening, and the shape, laid round the host."""
        shapes = {0.0: np.zeros_like(np.column_stack([frame.rest, frame.rest[:, 0]]))}
        moves = {}

        def room(opening):
            # From the shape that is nearest.
            near = min(shapes, key=lambda known: abs(known - opening))
            shapes[opening] = frame.opened(shapes[near], opening)
            outline = frame.inside(shapes[opening])[frame.seen]
            moves[opening], clear = self.best(outline, frame.back_home(shapes[opening]))
            return clear

        opening = step = frame.turn * frame.inner / 8
        while room(opening) < 0:
            opening += step
        opening = brentq(room, opening - step, opening, xtol=0.02)
        shape, move = shapes[opening].copy(), moves[opening]
        shape[:, :2] = turned(frame.rest + shape[:, :2], move[2]) + move[:2] - frame.rest
        shape[:, 2] += move[2]
        return opening, shape

    def presses(self, frame, moved, hard):
        """Forces on the nodes where an outline overlaps the host, and their tangent."""
        size = moved.size
        total, places, values = np.zeros(size), [], []

        def push(parts, normal, force, stiff):
            """On points that go with nodes: (node, arm, share)."""
            row, dofs = [], []
            for node, arm, share in parts:
                c, s = np.cos(moved[node, 2]), np.sin(moved[node, 2])
                x, y = c * arm[0] - s * arm[1], s * arm[0] + c * arm[1]
                row += [share * normal[0], share * normal[1], share * (x * normal[1] - y * normal[0])]
                dofs += [3 * node, 3 * node + 1, 3 * node + 2]
            row = np.array(row)
            np.add.at(total, dofs, force * row)
            places.append(np.array([(i, j) for i in dofs for j in dofs]))
            values.append((stiff * np.outer(row, row)).ravel())

        inside = frame.inside(moved)
        line = LineString(inside)
        ring = list(zip(self.corners, np.roll(self.corners, -1, axis=0)))
        for index in np.nonzero(shapely.contains_xy(self.shape, *inside.T))[0]:
            beam, end = divmod(index, 2)
            off = []
            for a, b in ring:
                way = (b - a) / np.hypot(*(b - a))
                normal = np.array([way[1], -way[0]])
                off.append(((a - inside[index]) @ normal, normal))
            sign = 1 if off[0][0] > 0 else -1
            depth, normal = min(((sign * d, sign * n) for d, n in off), key=lambda o: o[0])
            stiff = hard * frame.length[beam]
            push([(beam + end, frame.arms[end][beam], 1.0)], normal, stiff * depth, stiff)
        round_it = Polygon(inside)
        for corner in self.corners:
            point = shapely.Point(corner)
            along = line.project(point)
            if round_it.contains(point) or not 0 < along < line.length:
                continue
            index = np.searchsorted(frame_steps(inside), along) - 1
            p, q = inside[index], inside[index + 1]
            way = q - p
            share = np.clip((corner - p) @ way / (way @ way), 0.0, 1.0)
            # The outline goes anticlockwise: out is to the right.
            normal = np.array([way[1], -way[0]]) / np.hypot(*way)
            depth = line.distance(point)
            beams = [divmod(k, 2) for k in (index, index + 1)]
            parts = [
                (beam + end, frame.arms[end][beam], part)
                for (beam, end), part in zip(beams, (1 - share, share))
            ]
            push(parts, normal, hard * depth, hard)
        return total, places, values

    def ridden(self, frame, moved, pull):
        """The shape in which a ring rides on the host without friction, let go from a
        shape that a pull holds open round it."""
        size = moved.size
        hard = HARD_PER_MM * pull
        # What keeps a ring from gliding about between two steps; nothing at the end.
        hold = 1e-3 * pull
        moved = moved.copy()
        for share in (0.75, 0.5, 0.25, 0.0, 0.0, 0.0):
            was = moved.copy()
            for tries in range(200):
                total, (rows, columns, values), _, _ = frame.assembled(moved)
                load, places, more = self.presses(frame, moved, hard)
                ends = frame.rest[[0, -1]] + moved[[0, -1], :2]
                apart = (ends[0] - ends[1]) / np.hypot(*(ends[0] - ends[1]))
                load[[0, 1]] += share * pull * apart
                load[[size - 3, size - 2]] -= share * pull * apart
                off = (was - moved)
                off[:, 2] = 0.0
                load += hold * off.ravel() / len(moved)
                held = np.tile([1.0, 1.0, 0.0], len(moved)) * hold / len(moved)
                if places:
                    places = np.concatenate(places)
                    rows = np.concatenate([rows, places[:, 0]])
                    columns = np.concatenate([columns, places[:, 1]])
                    values = np.concatenate([values, *more])
                stiff = coo_matrix((values, (rows, columns)), (size, size)).tocsc()
                stiff += coo_matrix((held, (np.arange(size),) * 2), (size, size)).tocsc()
                step = splu(stiff).solve(load - total)
                far = abs(step).max()
                # A point that just touches may come and go: half steps bring it to rest.
                step *= min(1.0 if tries < 20 else 0.5, 0.3 / max(far, 1e-12))
                moved += step.reshape(-1, 3)
                if far < 1e-6 or (tries > 50 and far < 1e-4):
                    break
            else:
                raise RuntimeError("the ring found no rest")
        return moved


def frame_steps(inside):
    """How far along an outline each of its points is."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(inside, axis=0).T))])
