// How fast Orocos KDL is at what the package's benchmarks do. Standard input: six lines of an axis's point and direction in
// the base frame at the zero pose, a line of the flange's position, three of its rotation's rows, the number of poses, and
// then a line of joint angles and a line of the next flange's position, each. Lengths in mm. Standard output: ns for a
// forward with the Jacobian, and for the next joint angles from the last by each of its iterations, to the accuracy that the
// package promises; how often one did not get there goes to standard error.
#include <chrono>
#include <iostream>
#include <vector>

#include <kdl/chain.hpp>
#include <kdl/chainfksolverpos_recursive.hpp>
#include <kdl/chainiksolverpos_lma.hpp>
#include <kdl/chainiksolverpos_nr.hpp>
#include <kdl/chainiksolvervel_pinv.hpp>
#include <kdl/chainiksolvervel_pinv_givens.hpp>
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

// mean runs something for 0 … n−1, a few at a time, and returns the mean of the least times that each few took, ns for one. A few
// take so short that on a busy machine some of the many repetitions are not interrupted.
template <class F> static double mean(int n, int few, int repetitions, F run) {
  std::vector<double> least(n / few, 1e300);
  for (int r = 0; r < repetitions; r++)
    for (int k = 0; k < n / few; k++) {
      auto start = std::chrono::steady_clock::now();
      for (int i = k * few; i < (k + 1) * few; i++) run(i);
      std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - start;
      least[k] = std::min(least[k], took.count());
    }
  double sum = 0;
  for (double x : least) sum += x;
  return sum / n;
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
  int n;
  std::cin >> n;
  std::vector<JntArray> joints;
  std::vector<Vector> places;
  for (int k = 0; k < n; k++) {
    JntArray q(6);
    for (int i = 0; i < 6; i++) std::cin >> q(i);
    joints.push_back(q);
    places.push_back(readVector());
  }
  double sum = 0;
  for (double unit : {1.0, 1e-3}) { // mm; metres, in which KDL's own defaults are meant
    Chain chain;
    auto scaled = [&](Frame f) { return Frame(f.M, f.p * unit); };
    chain.addSegment(Segment(Joint(Joint::None), scaled(frames[0])));
    for (int i = 0; i < 6; i++) chain.addSegment(Segment(Joint(Joint::RotZ), scaled(frames[i].Inverse() * frames[i + 1])));
    ChainFkSolverPos_recursive forward(chain);
    std::vector<Frame> next;
    for (int k = 0; k < n; k++) {
      Frame f;
      forward.JntToCart(joints[k], f);
      f.p = places[k] * unit;
      next.push_back(f);
    }
    if (unit == 1) {
      ChainJntToJacSolver jacobian(chain);
      Jacobian j(6);
      Frame f;
      std::cout << mean(n, 16, 200, [&](int k) {
        forward.JntToCart(joints[k], f);
        jacobian.JntToJac(joints[k], j);
        sum += f.p.x() + j(0, 0);
      }) << "\n";
    }
    auto follow = [&](const char* name, ChainIkSolverPos& solver) {
      JntArray q(6);
      std::cout << mean(n, 1, 50, [&](int k) {
        solver.CartToJnt(joints[k], next[k], q);
        sum += q(0);
      }) << "\n";
      int missed = 0;
      for (int k = 0; k < n; k++) {
        Frame f;
        missed += solver.CartToJnt(joints[k], next[k], q) < 0;
        forward.JntToCart(q, f);
        Twist miss = diff(f, next[k]);
        missed += !(miss.vel.Norm() < 1e-9 * unit && miss.rot.Norm() < 1e-11);
      }
      if (missed > 0) std::cerr << name << " missed " << missed << " of " << n << "\n";
    };
    // Newton's method ends a step after each part of the miss is below a bound: quadratic, it is then far below.
    const double near = 1e-7 * unit;
    ChainIkSolverVel_pinv svd(chain);
    ChainIkSolverPos_NR newton(chain, forward, svd, 100, near);
    follow("Newton's method by Householder's SVD", newton);
    ChainIkSolverVel_pinv_givens givens(chain);
    ChainIkSolverPos_NR quicker(chain, forward, givens, 100, near);
    follow("Newton's method by Givens's SVD", quicker);
    Eigen::Matrix<double, 6, 1> weights;
    weights << 1, 1, 1, 400 * unit, 400 * unit, 400 * unit;
    ChainIkSolverPos_LMA marquardt(chain, weights, 1e-9 * unit, 100, 1e-15);
    follow("Levenberg and Marquardt's", marquardt);
  }
  return sum == 1e300; // so that nothing is left out as useless
}
