"""What a ring must clear, moment by moment, on its way over a host that is round but not
straight: outlines of both are cut from the meshes."""

import numpy as np
import trimesh

# Steps of the travel, and of the outlines that are looked at, mm.
STEP_MM = 0.25
# A ring that has left its seat by less is still in its pocket, mm.
SEATED_MM = 0.05


def outline(mesh, angle):
    """Points round the section at an angle: distances from the axis, and heights."""
    along = np.array([np.cos(angle), np.sin(angle), 0.0])
    square = np.array([-np.sin(angle), np.cos(angle), 0.0])
    lines = trimesh.intersections.mesh_plane(mesh, square, [0.0, 0.0, 0.0])
    flat = np.stack([lines @ along, lines[:, :, 2]], axis=-1)
    flat = flat[(flat[:, :, 0] > 0).all(axis=1)]
    count = max(1, int(np.ceil(np.hypot(*(flat[:, 1] - flat[:, 0]).T).max() / STEP_MM)))
    shares = np.linspace(0, 1, count + 1)[:, None, None]
    return (flat[:, 0] + shares * (flat[:, 1] - flat[:, 0])).reshape(-1, 2)


def reaches(mesh):
    """Heights, and how far the host reaches out there."""
    low, high = mesh.bounds[:, 2]
    corners = np.unique(np.round(mesh.vertices[:, 2], 5))
    heights, reach = [], []
    for z in np.unique(np.concatenate([np.arange(low, high, STEP_MM), corners])):
        # Just within both ends of what begins or ends at this height.
        for at in (z - 1e-4, z + 1e-4):
            lines = trimesh.intersections.mesh_plane(mesh, [0, 0, 1.0], [0, 0, at])
            if len(lines):
                heights.append(at)
                # Facets leave their circle by less than can be told.
                far = np.hypot(*lines[:, :, :2].reshape(-1, 2).T)
                reach.append(far.max())
    return np.array(heights), np.array(reach)


def demands(mesh, host, angles, sense):
    """What each of some angles must move out by, at each moment of the travel: a row a
    moment. With `sense` 1 the ring comes over the top, with -1 over the bottom. Rows that
    ask no more of any angle than another row are left out."""
    heights, reach = reaches(host)
    tables = [outline(mesh, angle).T for angle in angles]
    moments = []
    for travel in np.arange(SEATED_MM, heights[-1] - heights[0], STEP_MM):
        row = []
        for out, z in tables:
            there = np.interp(z + sense * travel, heights, reach, left=0.0, right=0.0)
            row.append((there - out).max())
        if max(row) > 0:
            moments.append(row)
    moments = np.array(moments)
    kept = []
    for k in np.argsort(-moments.max(axis=1)):
        if not any((moments[k] <= moments[j] + 1e-4).all() for j in kept):
            kept.append(k)
    return moments[kept]
