// A second opinion on the inference: the networks of network.json handed to the
// exact join tree of dlib, a general-purpose C++ library. Not part of the program:
// it writes the reference that TestOpinion in diagnose/infer compares with, and the
// times that BenchmarkOpinion shows beside the kernel's.
//
// Written with dlib 19.24 and nlohmann-json 3.11.2 (Debian 12: libdlib-dev
// 19.24+dfsg-1, nlohmann-json3-dev 3.11.2-2). Both are headers only here: "dpkg -x"
// unpacks them anywhere, and -I finds them there.
//
//	go test ./diagnose/infer -run Opinion -update         writes network.json
//	g++ -O2 -std=c++17 testdata/bayes/opinion.cpp -o /tmp/opinion
//	/tmp/opinion testdata/bayes                           writes opinion.json
//
// The library takes certain evidence only. A report that is not certain becomes a
// node of its own below the finding, with two values, heard and not, and is heard.
#include <dlib/bayes_utils.h>
#include <dlib/directed_graph.h>
#include <dlib/graph.h>
#include <dlib/graph_utils.h>
#include <dlib/revision.h>
#include <dlib/set.h>

#include <algorithm>
#include <ctime>
#include <fstream>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

using json = nlohmann::ordered_json;
using namespace dlib::bayes_node_utils;
typedef dlib::directed_graph<dlib::bayes_node>::kernel_1a_c Net;
typedef dlib::set<unsigned long>::compare_1b_c Set;
typedef dlib::graph<Set, Set>::kernel_1a_c Tree;

// now is processor time, which other work on the machine does not stretch.
static double now() { return double(std::clock()) / CLOCKS_PER_SEC; }

// certain gives the one state that evidence leaves possible, or -1.
static int certain(const std::vector<double>& lambda) {
  int at = -1;
  for (size_t a = 0; a < lambda.size(); a++)
    if (lambda[a] > 0) at = at < 0 ? int(a) : int(lambda.size());
  return at < int(lambda.size()) ? at : -1;
}

struct Built {
  Net net;
  Tree tree;
  std::map<std::string, unsigned long> at, heard;  // node numbers by name
  std::map<std::string, int> states;
};

static void build(const json& in, Built& b) {
  const json& nodes = in["nodes"];
  std::set<std::string> soft;
  for (const json& q : in["queries"])
    for (auto& e : q["evidence"].items())
      if (certain(e.value().get<std::vector<double>>()) < 0) soft.insert(e.key());
  b.net.set_number_of_nodes(nodes.size() + soft.size());
  unsigned long k = 0;
  for (const json& n : nodes) {
    b.states[n["name"]] = n["states"];
    b.at[n["name"]] = k;
    set_node_num_values(b.net, k++, n["states"].get<unsigned long>());
    for (const json& p : n["parents"]) b.net.add_edge(b.at.at(p), k - 1);
  }
  for (const std::string& name : soft) {
    b.heard[name] = k;
    set_node_num_values(b.net, k, 2);
    b.net.add_edge(b.at.at(name), k++);
  }
  for (const json& n : nodes) {
    unsigned long i = b.at.at(n["name"]);
    std::vector<unsigned long> parents;
    std::vector<int> size;
    for (const json& p : n["parents"]) {
      parents.push_back(b.at.at(p));
      size.push_back(b.states.at(p));
    }
    const json& rows = n["rows"];
    for (size_t r = 0; r < rows.size(); r++) {
      dlib::assignment state;
      size_t left = r;
      for (size_t p = parents.size(); p-- > 0; left /= size[p]) state.add(parents[p], left % size[p]);
      for (size_t v = 0; v < rows[r].size(); v++) set_node_probability(b.net, i, v, state, rows[r][v]);
    }
  }
  for (auto& h : b.heard)
    for (int a = 0; a < b.states.at(h.first); a++) {
      dlib::assignment state;
      state.add(b.at.at(h.first), a);
      set_node_probability(b.net, h.second, 0, state, 0.5);
      set_node_probability(b.net, h.second, 1, state, 0.5);
    }
  dlib::create_moral_graph(b.net, b.tree);
  dlib::create_join_tree(b.tree, b.tree);
}

static void report(Built& b, const json& evidence) {
  for (auto& e : evidence.items()) {
    auto lambda = e.value().get<std::vector<double>>();
    if (int a = certain(lambda); a >= 0) {
      set_node_value(b.net, b.at.at(e.key()), a);
      set_node_as_evidence(b.net, b.at.at(e.key()));
      continue;
    }
    double top = *std::max_element(lambda.begin(), lambda.end());
    unsigned long h = b.heard.at(e.key());
    for (size_t a = 0; a < lambda.size(); a++) {
      dlib::assignment state;
      state.add(b.at.at(e.key()), a);
      set_node_probability(b.net, h, 1, state, lambda[a] / top);
      set_node_probability(b.net, h, 0, state, 1 - lambda[a] / top);
    }
    set_node_value(b.net, h, 1);
    set_node_as_evidence(b.net, h);
  }
}

static void forget(Built& b) {
  for (unsigned long i = 0; i < b.net.number_of_nodes(); i++) set_node_as_nonevidence(b.net, i);
}

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: opinion FOLDER (with network.json in it)\n";
    return 2;
  }
  std::string folder = argv[1];
  json networks = json::parse(std::ifstream(folder + "/network.json"));
  json out;
  out["library"] = "dlib " + std::to_string(DLIB_MAJOR_VERSION) + "." + std::to_string(DLIB_MINOR_VERSION) +
                   " bayesian_network_join_tree, one thread, g++ -O2";
  out["networks"] = json::array();
  for (const json& in : networks) {
    std::cerr << in["name"] << "\n";
    double start = now();
    Built b;
    build(in, b);
    json own;
    own["name"] = in["name"];
    own["build_seconds"] = now() - start;
    own["queries"] = json::array();
    for (const json& q : in["queries"]) {
      json answer;
      answer["name"] = q["name"];
      start = now();
      report(b, q["evidence"]);
      dlib::bayesian_network_join_tree solution(b.net, b.tree);
      std::vector<std::vector<double>> p;
      for (const json& name : in["report"]) {
        auto row = solution.probability(b.at.at(name));
        p.emplace_back();
        for (long a = 0; a < row.nc(); a++) p.back().push_back(row(a));
      }
      answer["seconds"] = now() - start;
      for (size_t i = 0; i < p.size(); i++) answer["posterior"][in["report"][i].get<std::string>()] = p[i];
      own["queries"].push_back(answer);
      forget(b);
    }
    out["networks"].push_back(own);
  }
  // A query on a line.
  std::ofstream f(folder + "/opinion.json");
  f << "{\"library\": " << out["library"] << ", \"networks\": [";
  for (size_t i = 0; i < out["networks"].size(); i++) {
    const json& n = out["networks"][i];
    f << (i ? "," : "") << "\n {\"name\": " << n["name"] << ", \"build_seconds\": " << n["build_seconds"] << ", \"queries\": [";
    for (size_t k = 0; k < n["queries"].size(); k++) f << (k ? "," : "") << "\n  " << n["queries"][k];
    f << "]}";
  }
  f << "]}\n";
  return f ? 0 : 1;
}
