#!/usr/bin/env python3
"""Reference values for orientation numbers, computed by SciPy's Rotation.

Needs the package python3-scipy. Writes to standard output; from the project's root:

    /usr/bin/python3 testdata/scipy/generate.py > testdata/scipy/orientations.json

The file is {"source": text, "angles": [case, ...], "vectors": [...], "zyz": [...], "moving": [...],
"quaternions": [...]}, one case a line, angles in rad:
  name             what is special about the case
  fixed_xyz        in angles: the fixed X-Y-Z angles it was made from, by from_euler("xyz"); lower case: fixed axes
  vector           in vectors: the axis times angle it was made from, by from_rotvec
  zyz              in zyz: the angles it was made from, by from_euler("ZYZ"); upper case: moving axes
  moving_zyx       in moving: the angles it was made from, by from_euler("ZYX")
  quaternion_wxyz  in quaternions: what it was made from, by from_quat, which divides it by its length
  matrix           the rotation matrix by rows (9)
and, read by SciPy from that matrix,
  read             fixed_xyz, moving_zyx, zyz (3 each), by as_euler("xyz"), ("ZYX"), ("ZYZ"), or null where SciPy warns
                   that they are not unique; quaternion_wxyz (4); vector (3)

Where two readings are the same rotation (a quaternion and its negative, the two axes of a half turn, half a turn to
either side) the file has one of them by the rules of the functions read, whatever the SciPy at hand prefers.
"""

import itertools
import json
import math
import random
import warnings

from scipy.spatial.transform import Rotation

rng = random.Random(20250608)


def read(matrix):
    r = Rotation.from_matrix(matrix)
    x, y, z, w = r.as_quat().tolist()
    quaternion, vector = [w, x, y, z], r.as_rotvec().tolist()
    if not leads_positive(quaternion):
        quaternion = [-c for c in quaternion]
    if math.hypot(*vector) > math.pi - 1e-9 and not leads_positive(vector):
        vector = [-c for c in vector]
    return {"fixed_xyz": read_angles(r, "xyz"), "moving_zyx": read_angles(r, "ZYX"), "zyz": read_angles(r, "ZYZ"),
            "quaternion_wxyz": quaternion, "vector": vector}


def read_angles(r, axes):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            return [math.pi if a < 1e-9 - math.pi else a for a in r.as_euler(axes).tolist()]
        except UserWarning:
            return None


def leads_positive(values):
    """Whether the first of the values that is not zero but for rounding is positive."""
    return next(v for v in values if abs(v) > 1e-9) > 0


def case(name, made_from, value, rotation):
    matrix = rotation.as_matrix()
    return {"name": name, made_from: value, "matrix": matrix.flatten().tolist(), "read": read(matrix)}


def from_angles(name, *angles):
    return case(name, "fixed_xyz", list(angles), Rotation.from_euler("xyz", angles))


def from_vector(name, *vector):
    return case(name, "vector", list(vector), Rotation.from_rotvec(vector))


def angles():
    turn = lambda: round(rng.uniform(-math.pi, math.pi), 6)
    for _ in range(60):
        yield from_angles("any", turn(), round(rng.uniform(-1.5, 1.5), 6), turn())
    for rx, ry, rz in itertools.product([-90, 0, 90, 180], [-60, 0, 45], [-90, 0, 90, 180]):
        yield from_angles("right angles about X and Z", *map(math.radians, (rx, ry, rz)))
    for side in [1, -1]:
        for off in [1e-1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6]:
            yield from_angles("%g rad short of %+d deg about Y" % (off, 90 * side), turn(), side * (math.pi / 2 - off), turn())
        for off in [1e-10, 0]:
            yield from_angles("at %+d deg about Y" % (90 * side), turn(), side * (math.pi / 2 - off), turn())


def vectors():
    def axis():
        while True:
            a = [rng.uniform(-1, 1) for _ in range(3)]
            n = math.hypot(*a)
            if 0.1 < n < 1:
                return [x / n for x in a]

    sizes = [("any", rng.uniform(0.1, 3.1)) for _ in range(40)]
    sizes += [("%g rad" % size, size) for size in [0.0, 1e-12, 1e-9, 1e-6, 1e-4, 1e-3]]
    sizes += [("%g rad short of a half turn" % off, math.pi - off)
              for off in [1e-1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-8, 1e-10]]
    for name, size in sizes:
        yield from_vector(name, *(size * x for x in axis()))
    for i in range(3):
        for sign in [1, -1]:
            for name, size in [("quarter turn", math.pi / 2), ("half turn", math.pi), ("nearly a half turn", math.pi - 1e-7)]:
                yield from_vector(name + " about a main axis", *(sign * size * (k == i) + 0.0 for k in range(3)))
    for a in [[1, 1, 0], [1, 0, -1], [0, -1, 1], [1, 1, 1], [-1, 1, 1]]:
        n = math.hypot(*a)
        for name, size in [("half turn", math.pi), ("third of a turn", 2 * math.pi / 3)]:
            yield from_vector(name + " about a diagonal", *(size * x / n for x in a))


def zyz():
    def made(name, *angles):
        return case(name, "zyz", list(angles), Rotation.from_euler("ZYZ", angles))

    turn = lambda: round(rng.uniform(-math.pi, math.pi), 6)
    for _ in range(30):
        yield made("any", turn(), round(rng.uniform(0.05, 3.1), 6), turn())
    for a, b, c in itertools.product([-90, 0, 180], [30, 90], [0, 90, 180]):
        yield made("right angles about both Z", *map(math.radians, (a, b, c)))
    for end, sign in [(0, 1), (math.pi, -1)]:
        for off in [1e-1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6]:
            yield made("%g rad from %d deg about Y" % (off, math.degrees(end)), turn(), end + sign * off, turn())
        for off in [1e-10, 0]:
            yield made("at %d deg about Y" % math.degrees(end), turn(), end + sign * off, turn())


def moving():
    turn = lambda: round(rng.uniform(-math.pi, math.pi), 6)
    for _ in range(10):
        angles = [turn(), round(rng.uniform(-1.5, 1.5), 6), turn()]
        yield case("any", "moving_zyx", angles, Rotation.from_euler("ZYX", angles))


def quaternions():
    def made(name, *q):
        return case(name, "quaternion_wxyz", list(q), Rotation.from_quat([q[1], q[2], q[3], q[0]]))

    for _ in range(10):
        q = [rng.gauss(0, 1) for _ in range(4)]
        n = math.hypot(*q)
        yield made("any, with four decimals", *(round(x / n, 4) for x in q))
    for q in itertools.product([-1, 0, 1], repeat=4):
        n = math.hypot(*q)
        if n > 0:
            yield made("quarter, third and half turns", *(x / n + 0.0 for x in q))


def lines(cases):
    return ",\n".join(json.dumps(c, separators=(",", ":")) for c in cases)


if __name__ == "__main__":
    groups = [("angles", angles), ("vectors", vectors), ("zyz", zyz), ("moving", moving), ("quaternions", quaternions)]
    print('{"source":"SciPy Rotation, by testdata/scipy/generate.py",%s}'
          % ",".join('"%s":[\n%s\n]' % (name, lines(cases())) for name, cases in groups))
