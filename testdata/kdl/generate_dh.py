#!/usr/bin/env python3
"""Reference poses of random Denavit-Hartenberg tables in both conventions, computed by Orocos KDL.

Needs the package python3-pykdl. Writes to standard output; from the project's root:

    /usr/bin/python3 testdata/kdl/generate_dh.py > testdata/kdl/dh.json

KDL has a function for each convention, Frame.DH and Frame.DH_Craig1989; the flange is the product of the six frames with the joints'
angles added to theta. The file is {"source": text, "tables": [table, ...]}, one table a line:
  convention  classic or modified
  rows        six of a, alpha, d, theta; mm and degrees
  poses       list of {"q": joint angles in degrees (6), "flange": position in mm (3), rotation by rows (9)}
"""

import json
import math
import random

import PyKDL as kdl

rng = random.Random(20261129)


def uniform(low, high, digits):
    return round(low + (high - low) * rng.random(), digits)


def length():
    return 0.0 if rng.random() < 0.12 else uniform(-500, 500, 1)


def twist():
    return float([0, 90, -90, 180][int(rng.random() * 4)]) if rng.random() < 0.5 else uniform(-180, 180, 2)


def flange(convention, rows, q):
    frame = kdl.Frame.Identity()
    for (a, alpha, d, theta), angle in zip(rows, q):
        step = kdl.Frame.DH if convention == "classic" else kdl.Frame.DH_Craig1989
        frame = frame * step(a, math.radians(alpha), d, math.radians(theta + angle))
    return [float("%.12g" % x) + 0.0 for x in list(frame.p) + [frame.M[i, j] for i in range(3) for j in range(3)]]


def table(convention):
    rows = [[length(), twist(), length(), twist()] for _ in range(6)]
    poses = [[uniform(-180, 180, 2) for _ in range(6)] for _ in range(2)]
    return {"convention": convention, "rows": rows, "poses": [{"q": q, "flange": flange(convention, rows, q)} for q in poses]}


def main():
    tables = [json.dumps(table(c), separators=(",", ":")) for _ in range(120) for c in ("classic", "modified")]
    print('{"source":"Orocos KDL through PyKDL, by testdata/kdl/generate_dh.py","tables":[\n%s\n]}' % ",\n".join(tables))


if __name__ == "__main__":
    main()
