// Reads an STL file with CGAL and prints area, volume, the volumes of its
// convex hull and of a band, the girths of sections, and how long each took.
//
//   cgal FILE STATIONS
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/clip.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/repair_polygon_soup.h>
#include <CGAL/IO/polygon_soup_io.h>
#include <CGAL/Polygon_mesh_slicer.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/convex_hull_3.h>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <list>

typedef CGAL::Exact_predicates_inexact_constructions_kernel K;
typedef CGAL::Surface_mesh<K::Point_3> Mesh;
namespace PMP = CGAL::Polygon_mesh_processing;

static std::chrono::steady_clock::time_point began = std::chrono::steady_clock::now();

static void lap(const char *what) {
  auto now = std::chrono::steady_clock::now();
  std::printf("time %s %.6f\n", what, std::chrono::duration<double>(now - began).count());
  began = std::chrono::steady_clock::now();
}

int main(int argc, char **argv) {
  if (argc != 3) return 64;
  const int n = std::atoi(argv[2]);
  std::vector<K::Point_3> points;
  std::vector<std::vector<std::size_t>> faces;
  if (!CGAL::IO::read_polygon_soup(argv[1], points, faces)) return 65;
  PMP::merge_duplicate_points_in_polygon_soup(points, faces);
  Mesh m;
  PMP::polygon_soup_to_polygon_mesh(points, faces, m);
  lap("load");

  double low = 1e300, high = -1e300;
  for (auto v : m.vertices()) {
    low = std::min(low, m.point(v).z());
    high = std::max(high, m.point(v).z());
  }
  std::vector<double> girths(n);
  std::vector<int> loops(n);
  {
    CGAL::Polygon_mesh_slicer<Mesh, K> slicer(m);
    for (int i = 0; i < n; i++) {
      std::list<std::vector<K::Point_3>> lines;
      slicer(K::Plane_3(0, 0, 1, -(low + (i + 0.5) * (high - low) / n)), std::back_inserter(lines));
      loops[i] = lines.size();
      for (auto &line : lines)
        for (std::size_t k = 1; k < line.size(); k++)
          girths[i] += std::sqrt(CGAL::squared_distance(line[k - 1], line[k]));
    }
  }
  lap("sections");
  double area = 0, volume = 0, best = 1e300;
  for (int round = 0; round < 5; round++) { // as ours
    auto from = std::chrono::steady_clock::now();
    area = PMP::area(m), volume = PMP::volume(m);
    if (!CGAL::is_closed(m)) return 65;
    best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count());
  }
  std::printf("time measure %.6f\n", best);
  began = std::chrono::steady_clock::now();
  Mesh hull;
  CGAL::convex_hull_3(points.begin(), points.end(), hull);
  lap("hull");
  PMP::clip(m, K::Plane_3(0, 0, 1, -(low + 0.5 * (high - low))), CGAL::parameters::clip_volume(true));
  PMP::clip(m, K::Plane_3(0, 0, -1, low + 0.4 * (high - low)), CGAL::parameters::clip_volume(true));
  lap("band");
  std::printf("area %.17g\nvolume %.17g\nhull %.17g\nband %.17g\n", area, volume, PMP::volume(hull), PMP::volume(m));
  for (int i = 0; i < n; i++) std::printf("girth%d %.17g\nloops%d %d\n", i, girths[i], i, loops[i]);
}
