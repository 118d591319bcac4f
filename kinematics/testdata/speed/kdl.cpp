// How fast Orocos KDL is at what the package's benchmarks do. Standard input: six lines of an axis's point and direction in
// the base frame at the zero pose, a line of the flange's position, three of its rotation's rows, the number of poses, and
// then a line of joint angles and a line of the next flange's position, each. Lengths in mm. Standard output: ns for a
// forward with the Jacobian, and for the next joint angles by its iteration after Levenberg and Marquardt from the last.
#include <chrono>
#include <iostream>
#include <vector>

#include <kdl/chain.hpp>
#include <kdl/chainfksolverpos_recursive.hpp>
#include <kdl/chainiksolverpos_lma.hpp>
#include <kdl/chainjnttojacsolver.hpp>

using namespace KDL;

// atAxis is a frame at a point with its Z along a direction.
static Frame atAxis(const Vector& point, Vector z) {
  z.Normalize();
  Vector other = std::abs(z.x()) > 0.6 ? Vector(0, 1, 0) : Vector(1, 0, 0);
  Vector x = other - z * dot(z, other);
  x.Normalize();
  return Frame(Rotation(x, z * x, z), point);
}

static Vector readVector() {
  double x, y, z;
  std::cin >> x >> y >> z;
  return Vector(x, y, z);
}

// least runs something several times and returns the least time it took, ns for each of n.
template <class F> static double least(int n, F run) {
  double best = 1e300;
  for (int k = 0; k < 15; k++) {
    auto start = std::chrono::steady_clock::now();
    run();
    std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - start;
    best = std::min(best, took.count() / n);
  }
  return best;
}

int main() {
  std::vector<Frame> frames;
  for (int i = 0; i < 6; i++) {
    Vector point = readVector();
    frames.push_back(atAxis(point, readVector()));
  }
  Vector position = readVector(), rows[3];
  for (Vector& row : rows) row = readVector();
  frames.push_back(Frame(Rotation(rows[0].x(), rows[0].y(), rows[0].z(), rows[1].x(), rows[1].y(), rows[1].z(), rows[2].x(), rows[2].y(), rows[2].z()), position));
  Chain chain;
  chain.addSegment(Segment(Joint(Joint::None), frames[0]));
  for (int i = 0; i < 6; i++) chain.addSegment(Segment(Joint(Joint::RotZ), frames[i].Inverse() * frames[i + 1]));

  int n;
  std::cin >> n;
  ChainFkSolverPos_recursive forward(chain);
  ChainJntToJacSolver jacobian(chain);
  std::vector<JntArray> joints;
  std::vector<Frame> next;
  for (int k = 0; k < n; k++) {
    JntArray q(6);
    for (int i = 0; i < 6; i++) std::cin >> q(i);
    Frame f;
    forward.JntToCart(q, f);
    f.p = readVector();
    joints.push_back(q);
    next.push_back(f);
  }
  double sum = 0;
  std::cout << least(n, [&] {
    Jacobian j(6);
    Frame f;
    for (const JntArray& q : joints) {
      forward.JntToCart(q, f);
      jacobian.JntToJac(q, j);
      sum += f.p.x() + j(0, 0);
    }
  }) << "\n";
  Eigen::Matrix<double, 6, 1> weights;
  weights << 1, 1, 1, 400, 400, 400;
  ChainIkSolverPos_LMA iteration(chain, weights, 1e-9, 100, 1e-15);
  JntArray q(6);
  std::cout << least(n, [&] {
    for (int k = 0; k < n; k++) {
      iteration.CartToJnt(joints[k], next[k], q);
      sum += q(0);
    }
  }) << "\n";
  return sum == 1e300; // so that nothing is left out as useless
}
