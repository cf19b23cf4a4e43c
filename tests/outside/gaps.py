"""The least distance between the flanks of an inlay and of its pocket, found by sampling.

Nothing of the compiler's own bookkeeping is used: which faces are flanks is told from
their normals and their depth below the host's surface alone.
"""

import numpy as np
from scipy.spatial import cKDTree

# Backs touch floors and show faces lie in the host's surface, by design; their normals
# lie along the surface's own. Eased ceilings lean by 45 deg from it, flanks by 90.
ALONG_SURFACE = 0.9
SAMPLES = 4000
NEAREST = 48


def surface_frame(points, seat):
    """Outward normal of the host's surface at points, and their distance along it."""
    facets = seat["surface"]["facets"]
    if facets:
        # One of the flat sides faces -y; a point belongs to the one in whose sector it lies.
        turn = 2 * np.pi / facets
        angle = np.arctan2(points[:, 1], points[:, 0])
        middle = np.round((angle + np.pi / 2) / turn) * turn - np.pi / 2
        normal = np.column_stack([np.cos(middle), np.sin(middle), np.zeros(len(points))])
        away = np.einsum("ij,ij->i", points, normal)
        return normal, away - points[:, 2] * seat["surface"]["slope"]
    if seat["surface"]["kind"] == "bellied":
        return belly_frame(points, seat["profile"])
    if seat["surface"]["kind"] == "round":
        radius = np.hypot(points[:, 0], points[:, 1])
        normal = np.zeros_like(points)
        normal[:, :2] = points[:, :2] / np.maximum(radius, 1e-12)[:, None]
        return normal, radius - points[:, 2] * seat["surface"]["slope"]
    normal = np.array(seat["surface"]["normal"], dtype=float)
    return np.tile(normal, (len(points), 1)), points @ normal


def belly_profile(host, inlay):
    """The outside of a convex belly beside an inlay, as (radius, height) from below: the outer
    hull of the host's own corners."""
    points = np.asarray(host.vertices)
    low, high = np.asarray(inlay.vertices)[:, 2].min() - 1, np.asarray(inlay.vertices)[:, 2].max() + 1
    points = points[(points[:, 2] >= low) & (points[:, 2] <= high)]
    flat = np.column_stack([np.hypot(points[:, 0], points[:, 1]), points[:, 2]])
    hull = []
    for point in flat[np.lexsort((-flat[:, 0], flat[:, 1]))]:
        while len(hull) > 1:
            (r0, z0), (r1, z1) = hull[-2], hull[-1]
            if (r1 - r0) * (point[1] - z0) > (point[0] - r0) * (z1 - z0):
                break
            hull.pop()
        if not hull or point[1] - hull[-1][1] > 1e-3:
            hull.append(point)
    return np.array(hull)


def belly_frame(points, profile):
    """As `surface_frame`, by the nearest side of a profile."""
    radius = np.maximum(np.hypot(points[:, 0], points[:, 1]), 1e-12)
    flat = np.column_stack([radius, points[:, 2]])
    side = profile[1:] - profile[:-1]
    out = np.column_stack([side[:, 1], -side[:, 0]]) / np.linalg.norm(side, axis=1)[:, None]
    best, height, normal = np.full(len(points), np.inf), np.zeros(len(points)), np.zeros((len(points), 2))
    for start, along, square in zip(profile[:-1], side, out):
        share = np.clip((flat - start) @ along / (along @ along), 0, 1)
        away = np.linalg.norm(flat - start - share[:, None] * along, axis=1)
        near = away < best
        best[near], height[near] = away[near], ((flat - start) @ square)[near]
        normal[near] = square
    turn = points[:, :2] / radius[:, None]
    return np.column_stack([turn * normal[:, :1], normal[:, 1]]), height


def flanks(mesh, seat, deepest, shallowest):
    """Triangles that are neither backs nor show faces and lie within the pocket's depth."""
    normal, along = surface_frame(mesh.triangles_center, seat)
    corners = mesh.triangles.reshape(-1, 3)
    depth = surface_frame(corners, seat)[1].reshape(-1, 3)
    lean = np.abs(np.einsum("ij,ij->i", normal, mesh.face_normals))
    inside = (depth.min(axis=1) > deepest - 0.02) & (depth.max(axis=1) < shallowest + 0.02)
    return mesh.triangles[(lean < ALONG_SURFACE) & inside & (along > deepest)]


def closest_on_triangles(points, triangles):
    """Distance of each point to its own triangle (Ericson's regions, by projection)."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    normal = np.cross(b - a, c - a)
    length = np.linalg.norm(normal, axis=1)
    length[length == 0] = 1
    normal /= length[:, None]
    height = np.einsum("ij,ij->i", points - a, normal)
    foot = points - height[:, None] * normal
    inside = np.ones(len(points), dtype=bool)
    edge = np.full(len(points), np.inf)
    for p, q in ((a, b), (b, c), (c, a)):
        side = np.einsum("ij,ij->i", np.cross(q - p, foot - p), normal)
        inside &= side >= 0
        along = q - p
        share = np.einsum("ij,ij->i", points - p, along) / np.maximum((along**2).sum(axis=1), 1e-30)
        nearest = p + np.clip(share, 0, 1)[:, None] * along
        edge = np.minimum(edge, np.linalg.norm(points - nearest, axis=1))
    return np.where(inside, np.abs(height), edge)


def sample(triangles, count, rng):
    """Corners, and points spread evenly over the area."""
    area = np.linalg.norm(
        np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1
    )
    chosen = rng.choice(len(triangles), size=count, p=area / area.sum())
    u, v = rng.random(count), rng.random(count)
    flip = u + v > 1
    u[flip], v[flip] = 1 - u[flip], 1 - v[flip]
    t = triangles[chosen]
    spread = t[:, 0] + u[:, None] * (t[:, 1] - t[:, 0]) + v[:, None] * (t[:, 2] - t[:, 0])
    corners = np.unique(triangles.reshape(-1, 3), axis=0)
    if len(corners) > count:
        corners = corners[rng.choice(len(corners), size=count, replace=False)]
    return np.vstack([spread, corners])


def least_from(points, triangles):
    """Least distance of points to triangles: the candidates nearest by their middles."""
    # Long triangles hide behind small ones: cut them until none is longer than 1 mm.
    for _ in range(12):
        edges = np.linalg.norm(triangles - np.roll(triangles, -1, axis=1), axis=2)
        long = edges.max(axis=1) > 1.0
        if not long.any():
            break
        keep, cut = triangles[~long], triangles[long]
        first = edges[long].argmax(axis=1)
        rows = np.arange(len(cut))
        p, q, r = cut[rows, first], cut[rows, (first + 1) % 3], cut[rows, (first + 2) % 3]
        middle = (p + q) / 2
        triangles = np.vstack([keep, np.stack([p, middle, r], 1), np.stack([middle, q, r], 1)])
    tree = cKDTree(triangles.mean(axis=1))
    _, index = tree.query(points, k=min(NEAREST, len(triangles)))
    best = np.full(len(points), np.inf)
    for column in index.T:
        best = np.minimum(best, closest_on_triangles(points, triangles[column]))
    return best.min()


def sampled_gap(inlay, host, seat):
    """Least flank-to-flank distance, both ways; None where there are no flanks."""
    if seat["surface"]["kind"] == "bellied":
        seat = dict(seat, profile=belly_profile(host, inlay))
    along = surface_frame(np.asarray(inlay.vertices), seat)[1]
    deepest, shallowest = along.min(), along.max()
    ours = flanks(inlay, seat, deepest, shallowest)
    theirs = flanks(host, seat, deepest, shallowest)
    if len(ours) == 0 or len(theirs) == 0:
        return None
    rng = np.random.default_rng(20)
    there = least_from(sample(ours, SAMPLES, rng), theirs)
    back = least_from(sample(theirs, SAMPLES, rng), ours)
    return min(there, back)
