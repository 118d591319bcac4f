// Reference distances between capsules and simple shapes, computed by FCL, the Flexible Collision Library.
//
// Needs g++ and the package libfcl-dev. Writes to standard output; from the project's root:
//
//     g++ -O1 -std=c++17 -I/usr/include/eigen3 testdata/fcl/generate.cpp -lfcl -lccd -o generate-fcl
//     ./generate-fcl > testdata/fcl/gaps.json
//
// The file is {"source": text, "gaps": [gap, ...]}, one gap a line. Lengths are mm. Poses are a position and a
// quaternion w, x, y, z of small whole numbers that is not of unit length, so that they are exact as written.
//
//   shape     what the capsule is near to: capsule, sphere, halfspace, box, cylinder
//   size      of it: length and radius; radius; nothing; edges; radius and height. Axes are along Z
//   at, turn  its pose
//   capsule   length of the axis, radius; the axis is along Z, about the origin
//   place, way  the capsule's pose
//   distance  negative where they overlap
//   on        nearest points on the capsule and on the other, where the two are apart and FCL gives them
//   how       closed: FCL has a closed form for this pair; it has one for a sphere where it has none for a capsule,
//             so these capsules have no length. iterated: FCL runs GJK (Gilbert, Johnson, Keerthi) on support
//             functions when apart, and the expanding polytope algorithm when they overlap, to a tolerance
//
// FCL tells the depth of overlap with a half-space only. Where a capsule is clear of one, it is asked about a capsule
// that is thicker by 1000 mm, and the distance is 1000 mm less the depth.

#include <cstdio>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include <fcl/fcl.h>

using V = Eigen::Vector3d;
using Shape = std::shared_ptr<fcl::CollisionGeometryd>;

static std::mt19937 rng(20250611);

// The distributions of <random> differ between libraries, so numbers are made from the generator's bits.
static int whole(int low, int high) { return low + int(rng() % unsigned(high - low + 1)); }

struct Pose {
  int at[3], q[4];
  fcl::Transform3d transform() const {
    fcl::Transform3d t = fcl::Transform3d::Identity();
    t.translation() = V(at[0], at[1], at[2]);
    t.linear() = Eigen::Quaterniond(q[0], q[1], q[2], q[3]).normalized().toRotationMatrix();
    return t;
  }
};

static Pose pose(int range) {
  Pose p;
  for (int &x : p.at) x = whole(-range, range);
  do
    for (int &x : p.q) x = whole(-9, 9);
  while (p.q[0] * p.q[0] + p.q[1] * p.q[1] + p.q[2] * p.q[2] + p.q[3] * p.q[3] < 1);
  return p;
}

// level is a pose that keeps edges parallel to the axes or turned about one of them.
static Pose level(int range) {
  Pose p = pose(range);
  int keep = whole(0, 3);
  for (int i = 1; i < 4; i++)
    if (i != keep) p.q[i] = 0;
  if (p.q[0] == 0) p.q[0] = 1;
  return p;
}

static double depth(const fcl::CollisionObjectd &a, const fcl::CollisionObjectd &b) {
  fcl::CollisionRequestd request(1000, true);
  request.gjk_solver_type = fcl::GST_LIBCCD;
  request.gjk_tolerance = 1e-9;
  fcl::CollisionResultd result;
  fcl::collide(&a, &b, request, result);
  double deepest = -1e300;
  for (size_t i = 0; i < result.numContacts(); i++)
    deepest = std::max(deepest, result.getContact(i).penetration_depth);
  return deepest;
}

static void list(const char *name, const std::vector<double> &values) {
  printf("\"%s\":[", name);
  for (size_t i = 0; i < values.size(); i++) printf("%s%.14g", i ? "," : "", values[i]);
  printf("],");
}

static bool first = true;

static void gap(const std::string &shape, const std::vector<double> &size, const Pose &where, double length,
                double radius, const Pose &capsule, const std::string &how) {
  Shape a, b;
  if (shape == "capsule") b = std::make_shared<fcl::Capsuled>(size[1], size[0]);
  if (shape == "sphere") b = std::make_shared<fcl::Sphered>(size[0]);
  if (shape == "box") b = std::make_shared<fcl::Boxd>(size[0], size[1], size[2]);
  if (shape == "cylinder") b = std::make_shared<fcl::Cylinderd>(size[0], size[1]);
  if (shape == "halfspace") b = std::make_shared<fcl::Halfspaced>(V(0, 0, 1), 0);
  if (length == 0)
    a = std::make_shared<fcl::Sphered>(radius);
  else
    a = std::make_shared<fcl::Capsuled>(radius, length);
  fcl::CollisionObjectd oa(a, capsule.transform()), ob(b, where.transform());

  double distance;
  std::vector<double> on;
  if (shape == "halfspace") {
    distance = -depth(oa, ob);
    if (distance > 1e299) {
      fcl::CollisionObjectd thick(std::make_shared<fcl::Capsuled>(radius + 1000, length), capsule.transform());
      distance = 1000 - depth(thick, ob);
    }
  } else {
    // A signed distance is always iterated, even where there is a closed form.
    fcl::DistanceRequestd request(true, how == "iterated");
    request.distance_tolerance = 1e-9;
    request.gjk_solver_type = fcl::GST_LIBCCD;
    fcl::DistanceResultd result;
    fcl::distance(&oa, &ob, request, result);
    distance = result.min_distance;
    if (distance > 0)
      for (int k = 0; k < 2; k++)
        for (int i = 0; i < 3; i++) on.push_back(result.nearest_points[k][i]);
    // FCL's form for two capsules is good for negative distances too, for the others it says -1.
    if (distance <= 0 && how == "closed" && shape != "capsule") distance = -depth(oa, ob);
  }
  printf("%s\n{\"shape\":\"%s\",", first ? "" : ",", shape.c_str());
  first = false;
  list("size", size);
  list("at", {double(where.at[0]), double(where.at[1]), double(where.at[2])});
  list("turn", {double(where.q[0]), double(where.q[1]), double(where.q[2]), double(where.q[3])});
  list("capsule", {length, radius});
  list("place", {double(capsule.at[0]), double(capsule.at[1]), double(capsule.at[2])});
  list("way", {double(capsule.q[0]), double(capsule.q[1]), double(capsule.q[2]), double(capsule.q[3])});
  if (!on.empty()) list("on", on);
  printf("\"how\":\"%s\",\"distance\":%.16g}", how.c_str(), distance);
}

int main() {
  printf("{\"source\":\"FCL by testdata/fcl/generate.cpp\",\"gaps\":[");
  for (int i = 0; i < 120; i++) {
    int range = i % 3 == 0 ? 60 : i % 3 == 1 ? 200 : 500;
    Pose flat = i % 4 == 0 ? level(range) : pose(range), free = i % 5 == 0 ? level(range) : pose(range);
    double length = whole(1, 300), radius = whole(1, 80), a = whole(2, 300), b = whole(2, 300), c = whole(2, 300);
    gap("capsule", {a, radius}, flat, length, whole(1, 80), free, "closed");
    gap("sphere", {radius}, flat, length, whole(1, 80), free, "closed");
    gap("halfspace", {}, flat, length, radius, free, "closed");
    gap("box", {a, b, c}, flat, 0, radius, free, "closed");
    gap("cylinder", {a / 2, b}, flat, 0, radius, free, "closed");
    gap("box", {a, b, c}, flat, length, radius, free, "iterated");
    gap("cylinder", {a / 2, b}, flat, length, radius, free, "iterated");
  }
  printf("\n]}\n");
}
