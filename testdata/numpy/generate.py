#!/usr/bin/env python3
"""Reference values for teaching a task frame and a tool centre point, computed by NumPy's linear algebra.

Needs the package python3-numpy. Writes to standard output; from the project's root:

    /usr/bin/python3 testdata/numpy/generate.py > testdata/numpy/teaching.json

The file is {"source": text, "frames": [case, ...], "tips": [case, ...]}, one case a line, lengths in mm. In frames:
  name     what is special about the case
  points   the origin, a point on +X and a point on the +Y side of the X-Y plane, one after another (9)
  matrix   the rotation matrix by rows (9), from numpy.linalg.qr of the two directions with its signs made positive
In tips:
  name       as above
  flanges    poses: the position, then the rotation matrix by rows (12 each)
  tcp, tip   the t and c of the least-squares solution of p_i + R_i t = c, by numpy.linalg.lstsq of all 3n equations in
             six unknowns
  residuals  |p_i + R_i t - c|, one a pose
  smallest   what is left of a unit change of t in its worst direction: 1 over the root of the largest eigenvalue of t's
             part of the inverse of the normal equations' matrix
"""

import json
import math
import random

import numpy as np

rng = random.Random(20251125)


def vector(size):
    return np.array([rng.uniform(-size, size) for _ in range(3)])


def rotation(axis, angle):
    """Rodrigues' formula."""
    x, y, z = axis / np.linalg.norm(axis)
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * k @ k


def frame(name, origin, on_x, on_xy):
    q, r = np.linalg.qr(np.column_stack([on_x - origin, on_xy - origin]))
    q = q * np.sign(np.diag(r))
    matrix = np.column_stack([q[:, 0], q[:, 1], np.cross(q[:, 0], q[:, 1])])
    return {"name": name, "points": np.concatenate([origin, on_x, on_xy]).tolist(), "matrix": matrix.flatten().tolist()}


def frames():
    for _ in range(30):
        yield frame("any", vector(1000), vector(1000), vector(1000))
    for _ in range(10):
        origin, x, y = vector(1000), vector(1), vector(1)
        x, y = x / np.linalg.norm(x), y / np.linalg.norm(y)
        yield frame("near one another", origin, origin + 15 * x, origin + 20 * np.cross(x, y) / np.linalg.norm(np.cross(x, y)) + 10 * x)
    yield frame("axes of the world", np.zeros(3), np.array([100.0, 0, 0]), np.array([0, 100.0, 0]))
    yield frame("upside down", np.array([1.0, 2, 3]), np.array([101.0, 2, 3]), np.array([51.0, -98, 3]))


def tip(name, rotations, t, c, noise):
    positions = [c - R @ t + np.array([rng.gauss(0, noise) for _ in range(3)]) for R in rotations]
    A = np.vstack([np.hstack([R, -np.eye(3)]) for R in rotations])
    b = -np.concatenate(positions)
    solution, _, rank, _ = np.linalg.lstsq(A, b, rcond=None)
    assert rank == 6
    covariance = np.linalg.inv(A.T @ A)[:3, :3]
    return {
        "name": name,
        "flanges": [p.tolist() + R.flatten().tolist() for p, R in zip(positions, rotations)],
        "tcp": solution[:3].tolist(),
        "tip": solution[3:].tolist(),
        "residuals": np.linalg.norm((A @ solution - b).reshape(-1, 3), axis=1).tolist(),
        "smallest": 1 / math.sqrt(np.linalg.eigvalsh(covariance)[-1]),
    }


def tips():
    for count in [4, 5, 6, 10, 40]:
        for noise in [0, 0.01, 0.3, 5]:
            rotations = [rotation(vector(1), rng.uniform(0.5, math.pi)) for _ in range(count)]
            yield tip("%d from anywhere, %g mm of noise" % (count, noise), rotations, vector(200), vector(800), noise)
    down = np.diag([1.0, -1, -1])
    for tilt in [12, 20, 30, 60]:
        rotations = [rotation(np.array(axis, float), math.radians(tilt)) @ down for axis in [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0)]]
        yield tip("pointing down, tilted %d degrees to four sides" % tilt, rotations, np.array([3.0, -5, 140]), np.array([400.0, 50, 20]), 0.2)


def lines(cases):
    return ",\n".join(json.dumps(c, separators=(",", ":")) for c in cases)


if __name__ == "__main__":
    print('{"source":"NumPy linalg, by testdata/numpy/generate.py","frames":[\n%s\n],"tips":[\n%s\n]}' % (lines(frames()), lines(tips())))
