#!/usr/bin/env python3
"""All the ways to stand at a pose that Orocos KDL finds from a great many starts, for every arm of arms.json.

Needs the packages python3-pykdl and python3-numpy. Writes to standard output; from the project's root:

    /usr/bin/python3 testdata/kdl/generate_solutions.py > testdata/kdl/solutions.json

An argument is the number of random starts for each pose, 2000 without it. The file is {"source": text, "starts":
number, "poses": [[joints (6), ...], ...]}, one pose a line: the ways to put the flange of that arm at its inverse
target, in rad, -pi to pi. KDL's joints are good to 1e-5 rad here; ways to stand that are nearly singular, where they
would be worse, are left out.
"""

import json
import math
import os
import random
import sys

sys.dont_write_bytecode = True  # nothing but the values belongs beside this file

import numpy as np
import PyKDL as kdl

import generate

SOURCE = "Orocos KDL through PyKDL, by testdata/kdl/generate_solutions.py"
NEARLY_SINGULAR = 0.02  # smallest singular value, with generate.SCALE mm for one rad


def frame_of(values):
    return kdl.Frame(kdl.Rotation(*values[3:]), kdl.Vector(*values[:3]))


def solutions(arm, starts, rng):
    chain = generate.chain_of(arm["lines"], frame_of(arm["flange"]))
    target = frame_of(arm["inverse"]["target"])
    weights = np.array([1 / generate.SCALE] * 3 + [1] * 3)
    solver = kdl.ChainIkSolverPos_LMA(chain, weights, 1e-10, 200, 1e-15)
    found = []
    for _ in range(starts):
        q = kdl.JntArray(6)
        start = generate.array([rng.uniform(-math.pi, math.pi) for _ in range(6)])
        if solver.CartToJnt(start, target, q) < 0:
            continue
        joints = [math.remainder(q[i], 2 * math.pi) for i in range(6)]
        if any(all(abs(math.remainder(a - b, 2 * math.pi)) < 1e-3 for a, b in zip(joints, known)) for known in found):
            continue
        scaled = np.array(generate.jacobian(chain, joints)) * weights[:, None]
        if np.linalg.svd(scaled, compute_uv=False)[-1] > NEARLY_SINGULAR:
            found.append([round(x, 7) for x in joints])
    return sorted(found)


def main():
    starts = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    rng = random.Random(20250609)
    with open(os.path.join(os.path.dirname(__file__), "arms.json")) as file:
        arms = json.load(file)["arms"]
    poses = [json.dumps(solutions(arm, starts, rng), separators=(",", ":")) for arm in arms]
    print('{"source":%s,"starts":%d,"poses":[\n%s\n]}' % (json.dumps(SOURCE), starts, ",\n".join(poses)))


if __name__ == "__main__":
    main()
