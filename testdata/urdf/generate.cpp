// Reference poses of random arms in URDF, computed by Orocos KDL from what its URDF parser makes of the same text.
//
// Needs g++ and the packages libkdl-parser-dev and liburdfdom-dev. Writes to standard output; from the project's root:
//
//     g++ -O1 -std=c++17 -I/usr/include/eigen3 testdata/urdf/generate.cpp -lkdl_parser -lorocos-kdl -lurdfdom_model -o generate-urdf
//     ./generate-urdf > testdata/urdf/trees.json
//
// The file is {"source": text, "trees": [tree, ...]}, one tree a line:
//
//   text   the URDF: a chain of six joints, fixed joints between them, and branches that end in sensors and fingers. Links and
//          joints stand in any order. Axes are not of length one
//   base, tip   links
//   joints the names of the chain's joints, from the base
//   poses  list of {"q": joint angles in rad, "tip": position in m (3), rotation by rows (9), of tip in base}

#include <algorithm>
#include <cstdio>
#include <random>
#include <string>
#include <vector>

#include <kdl/chainfksolverpos_recursive.hpp>
#include <kdl_parser/kdl_parser.hpp>
#include <urdf_parser/urdf_parser.h>

static std::mt19937 rng(20261128);

// The distributions of <random> differ between libraries, so numbers are made from the generator's bits.
static int whole(int low, int high) { return low + int(rng() % unsigned(high - low + 1)); }

static std::string number(double scale, int size) {
  char text[32];
  std::snprintf(text, sizeof text, "%.9g", whole(-size, size) * scale);
  return text;
}

static std::string three(double scale, int size) { return number(scale, size) + " " + number(scale, size) + " " + number(scale, size); }

// origin is a shift, a turn, both or neither; that of a joint which turns is nearly always shifted, for an arm with axes that meet in
// one point may be singular everywhere, and is no arm then.
static std::string origin(bool turns) {
  int kind = turns && whole(0, 11) ? 1 + 2 * whole(0, 1) : whole(0, 3);
  switch (kind) {
  case 0: return "";
  case 1: return "<origin xyz='" + three(1e-4, 4000) + "'/>";
  case 2: return "<origin rpy='" + three(1e-4, 31415) + "'/>";
  }
  return "<origin xyz='" + three(1e-4, 4000) + "' rpy='" + three(1e-4, 31415) + "'/>";
}

static std::string axis() {
  if (whole(0, 2) == 0) {
    const char *main[] = {"1 0 0", "0 1 0", "0 0 1", "-1 0 0", "0 -1 0", "0 0 -1"};
    return main[whole(0, 5)];
  }
  for (;;) {
    int v[3] = {whole(-9, 9), whole(-9, 9), whole(-9, 9)};
    if (v[0] * v[0] + v[1] * v[1] + v[2] * v[2] > 9)
      return std::to_string(v[0]) + " " + std::to_string(v[1]) + " " + std::to_string(v[2]);
  }
}

struct Tree {
  std::vector<std::string> parts, chain; // elements; names of the moving joints
  int links = 0, joints = 0;
  std::string link() {
    std::string name = "l" + std::to_string(++links);
    parts.push_back("<link name='" + name + "'/>");
    return name;
  }
  // joint adds a joint to a new link, and returns that link.
  std::string joint(const std::string &type, const std::string &parent) {
    std::string name = "a" + std::to_string(++joints), child = link();
    std::string text = "<joint name='" + name + "' type='" + type + "'>" + origin(type != "fixed") + "<parent link='" + parent + "'/><child link='" + child + "'/>";
    if (type != "fixed") {
      if (whole(0, 5)) text += "<axis xyz='" + axis() + "'/>"; // 1 0 0 where there is none
      if (type != "continuous") text += "<limit lower='-" + std::to_string(whole(1, 6)) + "' upper='" + std::to_string(whole(1, 6)) + "' effort='1' velocity='" + std::to_string(whole(1, 6)) + "'/>";
    }
    parts.push_back(text + "</joint>");
    if (type == "revolute" || type == "continuous") chain.push_back(name);
    return child;
  }
};

int main() {
  std::printf("{\"source\":\"Orocos KDL and its URDF parser, by testdata/urdf/generate.cpp\",\"trees\":[\n");
  const int trees = 240;
  for (int i = 0; i < trees; i++) {
    Tree t;
    std::string at = t.link();
    for (int n = whole(0, 1); n > 0; n--) at = t.joint("fixed", at); // what the base stands on
    std::string base = at;
    for (int n = 0; n < 6; n++) {
      for (int k = whole(0, 2) == 0 ? whole(1, 2) : 0; k > 0; k--) at = t.joint("fixed", at);
      if (whole(0, 4) == 0) t.joint("fixed", at);     // a sensor
      if (whole(0, 9) == 0) t.joint("prismatic", at); // a slide on the side
      at = t.joint(whole(0, 3) ? "revolute" : "continuous", at);
    }
    for (int k = whole(0, 2); k > 0; k--) at = t.joint("fixed", at);
    std::string tip = at;
    if (whole(0, 1)) t.joint("prismatic", t.joint("fixed", at)); // a gripper
    for (size_t k = t.parts.size() - 1; k > 0; k--) std::swap(t.parts[k], t.parts[rng() % (k + 1)]);
    std::string text = "<robot name='r" + std::to_string(i) + "'>";
    for (const std::string &p : t.parts) text += p;
    text += "</robot>";

    KDL::Tree tree;
    auto model = urdf::parseURDF(text);
    KDL::Chain chain;
    if (!model || !kdl_parser::treeFromUrdfModel(*model, tree) || !tree.getChain(base, tip, chain) || chain.getNrOfJoints() != 6) {
      std::fprintf(stderr, "no chain in %s\n", text.c_str());
      return 1;
    }
    std::printf("{\"text\":\"%s\",\"base\":\"%s\",\"tip\":\"%s\",\"joints\":[", text.c_str(), base.c_str(), tip.c_str());
    for (int n = 0; n < 6; n++) std::printf("%s\"%s\"", n ? "," : "", t.chain[n].c_str());
    std::printf("],\"poses\":[");
    KDL::ChainFkSolverPos_recursive solver(chain);
    for (int p = 0; p < 2; p++) {
      KDL::JntArray q(6);
      for (int n = 0; n < 6; n++) q(n) = whole(-31415, 31415) * 1e-4;
      KDL::Frame f;
      solver.JntToCart(q, f);
      std::printf("%s{\"q\":[", p ? "," : "");
      for (int n = 0; n < 6; n++) std::printf("%s%.9g", n ? "," : "", q(n));
      std::printf("],\"tip\":[%.12g,%.12g,%.12g", f.p.x(), f.p.y(), f.p.z());
      for (int r = 0; r < 3; r++)
        for (int c = 0; c < 3; c++) std::printf(",%.12g", f.M(r, c));
      std::printf("]}");
    }
    std::printf("]}%s\n", i + 1 < trees ? "," : "");
  }
  std::printf("]}\n");
}
