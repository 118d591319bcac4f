#!/usr/bin/env python3
"""Reference values for random six-revolute arms, computed by Orocos KDL.

Needs the packages python3-pykdl and python3-numpy. Writes to standard output; from the project's root:

    /usr/bin/python3 testdata/kdl/generate.py > testdata/kdl/arms.json

Every arm is six lines in space at its zero pose. KDL gets each as Joint(point, direction, RotAxis) in a segment
whose tip is the base frame itself, so that the pose of segment i is the displacement of link i, and its last
segment ends at the flange. Nothing here comes from the code under test.

Lengths are mm, angles rad. Input numbers have few digits and are exact: lines that meet or are parallel in an
arm's family do so to the last bit that the decimals allow. Output numbers have 11 significant digits.

The file is {"source": text, "arms": [arm, ...]}, one arm a line:
  family   how the arm was built, see FAMILIES
  lines    six of [point (3), direction (3, not of unit length)]
  flange   at the zero pose: position (3), rotation matrix by rows (9)
  tool     the TCP in the flange's frame: position (3), rotation matrix by rows (9)
  bare     joints (6), flange (12), jacobian (6 x 6 by rows) at the flange
  tooled   joints, tcp (12), jacobian at the TCP
  moved    joints, flange, link (1 to 5), displacement of that link (12)
  inverse  target (12), near (6), joints (6): ChainIkSolverPos_LMA from near. KDL takes rotations below about
           1e-6 rad for none, so these joints are good to 1e-5 rad and no better
"""

import json
import math
import random
import sys

import numpy as np
import PyKDL as kdl

SOURCE = "Orocos KDL through PyKDL, by testdata/kdl/generate.py"
ARMS_PER_FAMILY = 30
SCALE = 300.0  # mm that count as much as one rad in the inverse

rng = random.Random(20250607)


def uniform(low, high, digits):
    return round(low + (high - low) * rng.random(), digits)


def pick(items):
    return items[int(rng.random() * len(items))]


def direction(square):
    """A main axis or any direction at all, either way round."""
    if square:
        d = [0.0, 0.0, 0.0]
        d[pick([0, 1, 2])] = pick([1.0, -1.0])
        return d
    while True:
        d = [uniform(-1, 1, 2) for _ in range(3)]
        if math.hypot(*d) > 0.3:
            return d


def apart(square, *others):
    """A direction well away from being parallel to the others."""
    while True:
        d = direction(square)
        if all(sine(d, o) > 0.4 for o in others):
            return d


def sine(a, b):
    return math.hypot(*np.cross(a, b)) / math.hypot(*a) / math.hypot(*b)


def point(size=400):
    return [uniform(-size, size, 1) for _ in range(3)]


def line(at, along):
    """The line through at; the point that names it is slid along, so that lines that meet show it only by geometry."""
    slide = pick([-200, -100, 0, 0, 100, 200])
    return [round(p + slide * d, 4) for p, d in zip(at, along)] + list(along)


def reversed_or_not(d):
    return [-x + 0.0 for x in d] if rng.random() < 0.5 else d


def meeting(square):
    """Three lines through one point, neighbours well apart."""
    at = point()
    first = direction(square)
    second = apart(square, first)
    third = apart(square, second)
    return [line(at, first), line(at, second), line(at, third)]


def spherical_parallel(square, _):
    d = direction(square)
    return [line(point(), apart(square, d)), line(point(), d), line(point(), reversed_or_not(d))] + meeting(square)


def spherical_intersecting(square, _):
    at = point()
    first = direction(square)
    second = apart(square, first)
    return [line(at, first), line(at, second), line(point(), apart(square, second))] + meeting(square)


def spherical_general(square, _):
    first = direction(square)
    second = apart(square, first)
    return [line(point(), first), line(point(), second), line(point(), apart(square, second))] + meeting(square)


def three_parallel(square, turn):
    d = direction(square)
    at, last = point(), point()
    first, fifth = apart(square, d), apart(square, d)
    lines = [line(at, first), line(point(), d), line(point(), reversed_or_not(d)), line(point(), reversed_or_not(d)),
             line(last, fifth), line(point(), apart(square, fifth))]
    if turn % 2 == 1:  # neighbours that meet: 1 with 2, 5 with 6
        lines[1] = line(at, d)
        lines[5] = line(last, lines[5][3:])
    return lines


def spherical_shoulder(square, turn):
    """The families above seen from the flange: axes 1, 2, 3 meet."""
    build = [spherical_parallel, spherical_intersecting, spherical_general][turn // 3 % 3]
    return build(square, turn)[::-1]


def skew(_, __):
    lines = [line(point(), direction(False))]
    while len(lines) < 6:
        lines.append(line(point(), apart(False, lines[-1][3:])))
    return lines


def nearly(square, turn):
    """Axes that are parallel or meet but for 1e-2 down to 1e-11 rad, and a hundred times as many mm."""
    build = [spherical_parallel, three_parallel, spherical_shoulder][turn // 3 % 3]
    digits = 2 + turn % 10
    off = 10.0 ** -digits
    return [[round(x + uniform(-100 * off, 100 * off, digits), digits) for x in l[:3]] +
            [round(x + uniform(-off, off, digits + 2), digits + 2) for x in l[3:]] for l in build(square, turn)]


FAMILIES = {
    "spherical wrist, 2 parallel to 3": spherical_parallel,
    "spherical wrist, 1 meets 2": spherical_intersecting,
    "spherical wrist": spherical_general,
    "2, 3, 4 parallel": three_parallel,
    "spherical shoulder": spherical_shoulder,
    "skew": skew,
    "nearly parallel or meeting": nearly,
}


def numbers(values):
    return [float("%.11g" % v) + 0.0 for v in values]


def flat(frame):
    return [frame.p[i] for i in range(3)] + [frame.M[i, j] for i in range(3) for j in range(3)]


def any_frame(size):
    # Rotation by quaternion: no use of angles whose meaning is under test.
    while True:
        q = [uniform(-1, 1, 3) for _ in range(4)]
        n = math.hypot(*q)
        if 0.3 < n:
            break
    return kdl.Frame(kdl.Rotation.Quaternion(*[x / n for x in q]), kdl.Vector(*point(size)))


def chain_of(lines, flange):
    chain = kdl.Chain()
    for i, l in enumerate(lines):
        joint = kdl.Joint("J%d" % (i + 1), kdl.Vector(*l[:3]), kdl.Vector(*l[3:]), kdl.Joint.RotAxis)
        chain.addSegment(kdl.Segment(joint, flange if i == 5 else kdl.Frame.Identity()))
    return chain


def array(q):
    a = kdl.JntArray(6)
    for i, x in enumerate(q):
        a[i] = x
    return a


def forward(chain, q, segments=-1):
    frame = kdl.Frame()
    if kdl.ChainFkSolverPos_recursive(chain).JntToCart(array(q), frame, segments) < 0:
        sys.exit("KDL forward failed")
    return frame


def jacobian(chain, q):
    jac = kdl.Jacobian(6)
    if kdl.ChainJntToJacSolver(chain).JntToJac(array(q), jac) < 0:
        sys.exit("KDL Jacobian failed")
    return [[jac[i, j] for j in range(6)] for i in range(6)]


def joints(reach=math.pi):
    return [uniform(-reach, reach, 4) for _ in range(6)]


def inverse(chain):
    """A target well away from singular poses, and what KDL finds from a start near the joints that made it."""
    weights = np.array([1 / SCALE] * 3 + [1] * 3)
    solver = kdl.ChainIkSolverPos_LMA(chain, weights, 1e-10, 500, 1e-15)
    for _ in range(300):
        made = joints()
        near = [round(x + uniform(-0.03, 0.03, 4), 4) for x in made]
        scaled = np.array(jacobian(chain, made)) * weights[:, None]
        if np.linalg.svd(scaled, compute_uv=False)[-1] < 0.1:
            continue
        target, found = forward(chain, made), kdl.JntArray(6)
        if solver.CartToJnt(array(near), target, found) < 0:
            continue
        found = [round(found[i], 7) for i in range(6)]
        if max(abs(a - b) for a, b in zip(found, made)) < 5e-6:
            # The target keeps all its digits, because a rounded one would have other joints.
            return {"target": flat(target), "near": near, "joints": found}
    return None


def reference(family, build, turn):
    solved = None
    while solved is None:  # an arm that is near singular everywhere, with two axes all but one, is built again
        lines = build(turn % 3 == 0, turn)
        flange, tool = any_frame(300), any_frame(200)
        chain = chain_of(lines, flange)
        solved = inverse(chain)
    with_tool = chain_of(lines, flange)
    with_tool.addSegment(kdl.Segment(kdl.Joint(kdl.Joint.Fixed), tool))

    arm = {"family": family, "lines": lines, "flange": flat(flange), "tool": flat(tool)}
    q = joints()
    arm["bare"] = {"joints": q, "flange": numbers(flat(forward(chain, q))),
                   "jacobian": [numbers(row) for row in jacobian(chain, q)]}
    q = joints()
    arm["tooled"] = {"joints": q, "tcp": numbers(flat(forward(with_tool, q))),
                     "jacobian": [numbers(row) for row in jacobian(with_tool, q)]}
    q, link = joints(2 * math.pi), 1 + turn % 5
    arm["moved"] = {"joints": q, "flange": numbers(flat(forward(chain, q))),
                    "link": link, "displacement": numbers(flat(forward(chain, q, link)))}
    arm["inverse"] = solved
    return arm


def main():
    arms = [reference(name, build, turn) for name, build in FAMILIES.items() for turn in range(ARMS_PER_FAMILY)]
    compact = [json.dumps(arm, separators=(",", ":")) for arm in arms]
    print('{"source":%s,"arms":[\n%s\n]}' % (json.dumps(SOURCE), ",\n".join(compact)))


if __name__ == "__main__":
    main()
