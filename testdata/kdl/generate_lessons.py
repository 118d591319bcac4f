#!/usr/bin/env python3
"""The computed answers of the shipped lessons, by Orocos KDL.

Needs the packages python3-pykdl and python3-numpy. Writes to standard output; from the project's root:

    /usr/bin/python3 testdata/kdl/generate_lessons.py > testdata/kdl/lessons.json

Wren, its pen and what is near it on the glazing bench are written down here once more, from their files by hand, and
so is every question: nothing here comes from the code under test. KDL gives the poses and the Jacobian; a straight jog
or a turn is cut into small pieces, and each is solved by Newton's method. Distances are found by golden section search
along the axis of every capsule, because the distance from a convex thing has one minimum along a line.

The file is {"source": text, "answers": [row, ...]}, one row a question:
  lesson, stage   the stage by its title
  start_deg       the joints where it begins
  jogs            the jogs it speaks of, as lines of a jog file; "base x +" for the room in a direction
  and one of
  number          what is to be read, in the unit that the lesson asks for
  word            a direction in the lesson's frame, or what stops the jog
  joints          those that move, from 0
  values          of each option in turn: the number or the word that decides whether it is right
"""

import json
import math
import os
import sys

sys.dont_write_bytecode = True  # nothing but the values belongs beside this file

import numpy as np
import PyKDL as kdl

import generate

SOURCE = "Orocos KDL through PyKDL, by testdata/kdl/generate_lessons.py"

# scenarios/arms/wren.yaml
WREN = [[0, 0, 0, 0, 0, 1], [40, 0, 0, 0, 1, 0], [40, 0, 270, 0, 1, 0], [40, 0, 300, 1, 0, 0], [320, 0, 300, 0, 1, 0], [320, 0, 300, 1, 0, 0]]
LIMITS = [(-170, 170), (-80, 110), (-150, 80), (-195, 195), (-120, 120), (-355, 355)]
MOUNT_HEIGHT = 300
FLANGE = kdl.Frame(kdl.Rotation.RotY(math.pi / 2), kdl.Vector(390, 0, 300))
PEN = kdl.Frame(kdl.Vector(0, 0, 120))
BODY = [  # link, from, to, radius
    (0, (0, 0, -225), (0, 0, -140), 75), (1, (0, 0, -45), (30, 0, 0), 66), (2, (40, 0, 0), (40, 0, 270), 46),
    (3, (40, 0, 280), (130, 0, 300), 42), (4, (150, 0, 300), (265, 0, 300), 30), (5, (320, 0, 300), (335, 0, 300), 30),
    (6, (370, 0, 300), (371, 0, 300), 19)]
PEN_BODY = [((0, 0, 12), (0, 0, 80), 12), ((0, 0, 80), (0, 0, 117), 3)]  # in the flange's frame
# scenarios/cells/glazing-bench.yaml: the boxes and the cylinder above the table, and the table; the world is 300 mm below the base
SLOPE = 25.0  # of the tile, degrees
BOXES = [  # middle, fixed angle about Y in degrees, edges
    ((280, 0, -20), 0, (1000, 800, 40)), ((430, 0, 52), -SLOPE, (220, 200, 12)), ((496, 0, 35), 0, (20, 160, 70)),
    ((425.77, 0, 61.06), -SLOPE, (150, 150, 8)), ((240, -290, 130), 0, (15, 160, 260)), ((480, -290, 130), 0, (15, 160, 260)),
    ((360, -290, 90), 0, (225, 160, 12)), ((360, -290, 200), 0, (225, 160, 12))]
POT = ((250, 260, 60), 60, 120)  # middle, radius, length along Z
CORNER = (356.1, -75, 32.99)  # the tile's frame
# scenarios/cells/tilted-stand.yaml: its mount, in the world
STAND, LEAN = (0, 0, 500), 30.0

BARE = generate.chain_of(WREN, FLANGE)
ARM = generate.chain_of(WREN, FLANGE)
ARM.addSegment(kdl.Segment(kdl.Joint(kdl.Joint.Fixed), PEN))


def arrays(frame):
    return np.array([frame.p[i] for i in range(3)]), np.array([[frame.M[i, j] for j in range(3)] for i in range(3)])


def tcp(q):
    return arrays(generate.forward(ARM, q))


def flange(q):
    return arrays(generate.forward(BARE, q))


def radians(degrees):
    return np.radians(np.array(degrees, dtype=float))


def about(axis, angle):
    """A rotation by Rodrigues' formula."""
    x, y, z = axis
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * k @ k


def solve(q, position, rotation):
    """Joints near q that put the TCP there, or None."""
    q = np.array(q, dtype=float)
    for _ in range(60):
        p, r = tcp(q)
        turn = 0.5 * sum(np.cross(r[:, i], rotation[:, i]) for i in range(3))
        miss = np.concatenate([position - p, turn])
        if np.linalg.norm(miss[:3]) < 1e-9 and np.linalg.norm(turn) < 1e-12:
            return q
        jacobian = np.array(generate.jacobian(ARM, q))
        step = np.linalg.lstsq(jacobian, miss, rcond=1e-12)[0]
        if not np.all(np.isfinite(step)) or np.max(np.abs(step)) > 0.5:
            return None
        q = q + step
    return None


def axes(frame, q):
    """The axes of a frame, in the base frame."""
    if frame == "tool":
        return tcp(q)[1]
    if frame == "task tile":
        return about((0, 1, 0), math.radians(-SLOPE))
    if frame == "world of the stand":
        return stand()[1].T
    return np.eye(3)


def pieces(q, line, amount, count):
    """The joints along a jog, a piece at a time, the start first; it ends early where no joints are found."""
    words = line.split()
    sign = 1 if words[-1][0] == "+" else -1
    way = [np.array(q, dtype=float)]
    if words[0] == "joint":
        joint = int(words[1][1]) - 1
        for k in range(1, count + 1):
            way.append(way[0] + np.eye(6)[joint] * sign * math.radians(amount) * k / count)
        return way
    frame, turning = " ".join(words[:-2]), words[-2].startswith("about-")
    axis = axes(frame, q)[:, "xyz".index(words[-2][-1])] * sign
    p, r = tcp(q)
    for k in range(1, count + 1):
        part = amount * k / count
        there = solve(way[-1], p, about(axis, math.radians(part)) @ r) if turning else solve(way[-1], p + axis * part, r)
        if there is None:
            break
        way.append(there)
    return way


def stand():
    """The base frame of an arm on the tilted stand, in the world: it is raised along the mount's Z."""
    r = about((0, 1, 0), math.radians(LEAN))
    return np.array(STAND) + r @ np.array([0, 0, MOUNT_HEIGHT]), r


def on_stand(q):
    """The TCP in the world, of an arm on the tilted stand."""
    origin, r = stand()
    return origin + r @ tcp(q)[0]


def on_tile(q):
    """The TCP in the tile's frame, of an arm on the glazing bench."""
    return axes("task tile", q).T @ (tcp(q)[0] + np.array([0, 0, MOUNT_HEIGHT]) - np.array(CORNER))


def outside(q):
    """The first joint outside its limits, from 0, or None."""
    for i, (low, high) in enumerate(LIMITS):
        if not math.radians(low) - 1e-12 <= q[i] <= math.radians(high) + 1e-12:
            return i
    return None


def driven(q, line, count=200):
    amount = abs(float(line.split()[-1]))
    way = pieces(q, line, amount, count)
    assert len(way) == count + 1 and all(outside(q) is None for q in way), line
    return way


def after(start, lines):
    q = radians(start)
    for line in lines:
        q = driven(q, line)[-1]
    return q


def travels(way):
    return np.sum(np.abs(np.diff(np.array(way), axis=0)), axis=0)


def stop(start, line, among_things=False):
    """What ends a jog: by the rank of the Jacobian where it starts, then by the limits and the things on the way, then by
    the end of the reach, where no joints are found any more and the arm is stretched."""
    q = radians(start)
    words = line.split()
    if words[0] != "joint":
        jacobian = np.array(generate.jacobian(ARM, q)) / np.array([[300.0]] * 3 + [[1]] * 3)
        twist = np.zeros(6)
        twist[3 * words[-2].startswith("about-") + "xyz".index(words[-2][-1])] = 1
        rank = np.linalg.matrix_rank(jacobian, tol=1e-9)
        if np.linalg.matrix_rank(np.column_stack([jacobian, twist]), tol=1e-9) > rank:
            return "singularity"
    way = pieces(q, line, abs(float(words[-1])), 400)
    for here in way:
        if outside(here) is not None:
            return "limit J%d" % (outside(here) + 1)
    if among_things and any(clearance(np.degrees(here)) < 0 for here in way[::20]):
        return "contact"
    if len(way) < 401:
        assert condition(way[-1]) > 40 and words[0] != "joint", line
        return "out of reach"
    return "nothing"


def condition(q):
    """How unevenly the arm moves, with lengths scaled by 300 mm."""
    return np.linalg.cond(np.array(generate.jacobian(ARM, q)) / np.array([[300.0]] * 3 + [[1]] * 3))


def room(start, line):
    """How far a direction goes: whole steps, then ever smaller ones."""
    q, got, step = radians(start), 0.0, 10.0
    while step > 1e-5:
        way = pieces(q, line, step, 1)
        if len(way) == 2 and outside(way[1]) is None:
            q, got = way[1], got + step
        else:
            step /= 2
    return got


def direction(start, line, point, frame="base"):
    q = radians(start)
    way = point(driven(q, line)[-1])[0] - point(q)[0]
    along = axes(frame, q).T @ way
    i = int(np.argmax(np.abs(along)))
    return "xyz"[i] + (" +" if along[i] > 0 else " -")


def movers(start, line, least):
    return [i for i, t in enumerate(np.degrees(travels(driven(radians(start), line)))) if t > least]


def share(start, line, joint):
    t = travels(driven(radians(start), line))
    return t[joint] / sum(t)


def path(start, line):
    points = np.array([tcp(q)[0] for q in driven(radians(start), line)])
    return float(np.sum(np.linalg.norm(np.diff(points, axis=0), axis=1)))


def wrist(q):
    """On which side of its straight pose joint 5 is bent."""
    return "plus" if q[4] > 0 else "minus"


def about_z(q):
    r = tcp(q)[1]
    return math.degrees(math.atan2(r[1, 0], r[0, 0]))  # Craig, Introduction to Robotics, 2.64: of fixed X-Y-Z angles


GOLDEN = (math.sqrt(5) - 1) / 2


def least(f):
    """The smallest value of a function of 0 to 1 with one minimum."""
    a, b = 0.0, 1.0
    for _ in range(60):
        c, d = b - GOLDEN * (b - a), a + GOLDEN * (b - a)
        if f(c) < f(d):
            b = d
        else:
            a = c
    return f((a + b) / 2)


def from_segment(p, a, b):
    t = np.clip(np.dot(p - a, b - a) / max(np.dot(b - a, b - a), 1e-12), 0, 1)
    return np.linalg.norm(p - a - t * (b - a))


def from_box(p, box):
    middle, turn, edges = box
    d = np.abs(about((0, 1, 0), math.radians(turn)).T @ (p - np.array(middle, dtype=float))) - np.array(edges) / 2
    return np.linalg.norm(np.maximum(d, 0))


def from_cylinder(p, cylinder):
    middle, radius, length = cylinder
    d = p - np.array(middle, dtype=float)
    return math.hypot(max(math.hypot(d[0], d[1]) - radius, 0), max(abs(d[2]) - length / 2, 0))


def placed(q):
    """The capsules in the world: link or 7 for the pen, ends, radius. A link is where KDL carries it."""
    up = np.array([0, 0, MOUNT_HEIGHT])
    capsules = []
    for link, a, b, radius in BODY:
        p, r = (np.zeros(3), np.eye(3)) if link == 0 else carried(q, link)
        capsules.append((link, r @ np.array(a) + p + up, r @ np.array(b) + p + up, radius))
    p, r = flange(q)
    for a, b, radius in PEN_BODY:
        capsules.append((7, r @ np.array(a) + p + up, r @ np.array(b) + p + up, radius))
    return capsules


def carried(q, link):
    if link < 6:
        return arrays(generate.forward(BARE, q, link))
    p, r = flange(q)
    p0, r0 = flange([0] * 6)
    return p - r @ r0.T @ p0, r @ r0.T


def clearance(start):
    """The smallest distance of the arm from a thing, or of two parts of it that are no neighbours."""
    capsules, smallest = placed(radians(start)), math.inf
    for i, (link, a, b, radius) in enumerate(capsules):
        on = lambda t: a + t * (b - a)
        for other, c, d, thick in capsules[i + 1:]:
            if other - link > 1:
                smallest = min(smallest, least(lambda t: from_segment(on(t), c, d)) - radius - thick)
        if link > 0:
            for box in BOXES:
                smallest = min(smallest, least(lambda t: from_box(on(t), box)) - radius)
            smallest = min(smallest, least(lambda t: from_cylinder(on(t), POT)) - radius)
    return smallest


ZERO, DOWN = [0, 0, 0, 0, 0, 0], [0, 0, 0, 0, 90, 0]
rows = []


def ask(lesson, stage, start, jogs, **answer):
    rows.append({"lesson": lesson, "stage": stage, "start_deg": start, "jogs": jogs, **answer})


def main():
    base = lambda q: tcp(q)[0]
    name = "joints-one-at-a-time"
    left = [90, 0, 0, 0, 90, 0]
    ask(name, "Which way is plus?", left, ["joint J1 +20"], word=direction(left, "joint J1 +20", tcp))
    ask(name, "The shoulder", DOWN, ["joint J2 +10"], word=direction(DOWN, "joint J2 +10", tcp))
    turns = ["joint J4 +30", "joint J5 +30", "joint J6 +30"]
    ask(name, "A joint that does not move the tip", DOWN, turns, values=[path(DOWN, line) for line in turns])

    ask(name, "And with the pen forward?", ZERO, turns, values=[path(ZERO, line) for line in turns])

    name = "where-the-numbers-start"
    ask(name, "The walk to the tip", DOWN, [], number=base(radians(DOWN))[0])
    ask(name, "In inches", DOWN, [], number=base(radians(DOWN))[0] / 25.4)
    ask(name, "Before it moves", DOWN, ["base z -40"], number=base(after(DOWN, ["base z -40"]))[2])
    ask(name, "Another origin, other numbers", DOWN, [], number=base(radians(DOWN))[2] + MOUNT_HEIGHT)

    low = [0, 30.5056, 35.1057, 0, 24.3887, 0]
    ask(name, "A tape measure says", low, [], number=base(radians(low))[2])

    name = "enabling-device"
    ask(name, "How fast is the tip?", DOWN, ["joint J1 +30"], number=path(DOWN, "joint J1 +30"))
    ask(name, "The same turn, stretched out", ZERO, ["joint J1 +30"], number=path(ZERO, "joint J1 +30"))

    name, bent = "the-right-hand", [0, 0, 0, 0, 45, 0]
    ask(name, "Point, then press", DOWN, ["tool z -40"], word=direction(DOWN, "tool z -40", tcp))
    ask(name, "The tool has a hand of its own", DOWN, ["tool x +40"], word=direction(DOWN, "tool x +40", tcp))
    ask(name, "A pen that points forward", bent, ["joint J1 -15"], word=direction(bent, "joint J1 -15", tcp))
    ask(name, "Turns have a sign too", DOWN, ["base about-x +20"], word=direction(DOWN, "base about-x +20", flange))

    name = "straight-lines"
    ask(name, "Who works for X?", DOWN, ["base x +50"], joints=movers(DOWN, "base x +50", 0.2))
    ask(name, "Who works for Y?", DOWN, ["base y +80"], joints=movers(DOWN, "base y +80", 0.3))
    ask(name, "Who works the most?", DOWN, ["base y +80"] * 3, values=[share(DOWN, "base y +80", joint) for joint in (5, 1, 3)])

    name = "first-straight-line"
    quarter = [0, 0, 0, 90, 0, 0]
    ask(name, "A tidy pose", ZERO, ["base y +50"], word=stop(ZERO, "base y +50"))
    ask(name, "Why it refuses", ZERO, ["base z -50"], word=stop(ZERO, "base z -50"))
    ask(name, "A quarter turn of J4", quarter, ["base z -50"], word=stop(quarter, "base z -50"))
    little = [0, 0, 0, 0, 10, 0]
    ask(name, "How much is enough?", little, ["base y +50"], number=math.degrees(travels(driven(radians(little), "base y +50"))[3]))

    name, lean = "turning-about-the-tip", [0, 0, 0, 0, 60, 0]
    lean_it = "base about-y +20"
    ask(name, "What does the tip do?", DOWN, [lean_it] * 2, values=[path(DOWN, lean_it)] * 2)
    ask(name, "Before it turns", DOWN, ["base about-y -20"], word=direction(DOWN, "base about-y -20", flange))
    ask(name, "The numbers of an orientation", lean, ["base about-z -15"], number=about_z(after(lean, ["base about-z -15"])))

    name, leaning = "base-tool-task", [0, 0, 0, 0, 70, 0]
    ask(name, "Out along the pen", leaning, ["tool z -50"], word=direction(leaning, "tool z -50", tcp))
    ask(name, "One jog, two numbers", DOWN, ["task tile x +50"], number=base(after(DOWN, ["task tile x +50"]))[2])

    name, normal = "which-frame", [0, 30.0458, 35.4971, 0, -0.5429, 0]
    ask(name, "Away from the tile", normal, ["tool z -40"], word=direction(normal, "tool z -40", tcp, "task tile"))
    along = ["base x +30", "task tile x +30", "tool x +30", "base y +30"]
    ask(name, "Along the tile", normal, along, values=[on_tile(after(normal, [line]))[2] for line in along])
    up = ["tool z -100", "task tile z +100", "base z +100"]
    ask(name, "Straight up", normal, up, values=[base(after(normal, [line]))[0] for line in up])

    name = "limits-and-room"
    ask(name, "What will stop it?", DOWN, ["base about-y +40"], word=stop(DOWN, "base about-y +40"))
    ask(name, "How much room?", DOWN, ["joint J2 -"], number=room(DOWN, "joint J2 -"))
    ask(name, "Straight ahead", DOWN, ["base x +"], number=room(DOWN, "base x +"))

    name, at_limit = "when-it-will-not-go-on", [0, 0, 0, 0, 119.5, 0]
    out = ["joint J5 +20", "joint J5 -20", "base about-y +20", "base about-y -20"]
    ask(name, "At a limit", at_limit, out, values=[stop(at_limit, line) for line in out])
    out = ["base y -20", "base y +1", "joint J5 +45"]
    ask(name, "Where no way is left", ZERO, out, values=[stop(ZERO, line) for line in out])
    far = [0, 50, -50, 0, 90, 0]
    ask(name, "The end of the reach", far, ["base x +150"], word=stop(far, "base x +150", True))

    name, low = "not-touching-things", [0, 45, 16, 0, 29, 0]
    ask(name, "What is around", low, [], number=clearance(low))
    ask(name, "Straight ahead", low, ["base x +60"], word=stop(low, "base x +60", True))

    name, before, down = "up-to-the-fixture", [0, 37.3434, 38.7923, 0, 13.8643, 0], [0, 45.9867, 14.0533, 0, 29.96, 0]
    ask(name, "Straight there?", before, ["base x +124"], word=stop(before, "base x +124", True))
    ask(name, "How near?", down, [], number=clearance(down))
    away = ["base x -40", "base y +40", "tool z -40"]
    ask(name, "Back", down, away, values=[on_tile(after(down, [line]))[2] for line in away])

    name, side = "the-origin-with-a-tape", [-21.8014, 34.8863, 45.8185, 0, 9.2951, -21.8014]
    ask(name, "Before you measure", side, [], number=base(radians(side))[2])
    ask(name, "Which side is it on?", side, [], number=base(radians(side))[1])

    name, upright = "an-arm-askew", [0, 0, 0, 0, 60, 0]
    ask(name, "Forward is not level", upright, ["base x +100"], number=on_stand(after(upright, ["base x +100"]))[2])
    ask(name, "Which way is the base frame's Z?", upright, ["base z +60"], word=direction(upright, "base z +60", tcp, "world of the stand"))
    up = ["base z +100", "world of the stand z +100", "base x -100"]
    ask(name, "Straight up", upright, [line.replace(" of the stand", "") for line in up], values=[on_stand(after(upright, [line]))[0] for line in up])

    ask("finding-a-tcp", "Where does the flange go?", DOWN, ["base about-y +30"], word=direction(DOWN, "base about-y +30", flange))
    over = [0, 37.7112, 14.9829, 0, 37.3058, 0]
    ask("teaching-a-frame", "Try it out", over, ["base z -40"], word=direction(over, "base z -40", tcp, "task tile"))

    name, side, little = "two-ways", [0, 0, 0, 90, 90, 0], [0, 0, 0, 0, 20, 0]
    ask(name, "Words for a posture", DOWN, [], values=[wrist(radians(DOWN))] * 2)
    turned = ["joint J4 -180", "joint J5 -180", "joint J6 +180"]
    ask(name, "Prove it", side, turned, number=base(after(side, turned))[1])
    turn = "base about-y -40"
    ask(name, "Through zero in a straight line?", little, [turn] * 3, values=[wrist(after(little, [turn]))] * 2 + [stop(little, turn)])

    def plain(x):
        return round(float(x), 7) + 0.0 if not isinstance(x, str) else x

    for row in rows:
        if "number" in row:
            row["number"] = plain(row["number"])
        if "values" in row:
            row["values"] = [plain(x) for x in row["values"]]
    print('{"source":%s,"answers":[\n%s\n]}' % (json.dumps(SOURCE), ",\n".join(json.dumps(row, separators=(",", ":")) for row in rows)))


if __name__ == "__main__":
    main()
