// Reads STEP files with the OCCT kernel libraries and says of each, as one line of JSON,
// what the kernel makes of it.
#include <BRepAdaptor_Surface.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <GeomAbs_SurfaceType.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Reader.hxx>
#include <ShapeAnalysis_ShapeTolerance.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shape.hxx>
#include <gp_XYZ.hxx>

#include <cstdio>

namespace {

// Relative error that the kernel's own quadrature of volumes may leave.
constexpr double kQuadrature = 1e-11;

void report(const char *path) {
  STEPControl_Reader reader;
  if (reader.ReadFile(path) != IFSelect_RetDone || reader.TransferRoots() < 1) {
    std::printf("{\"file\": \"%s\", \"read\": false}\n", path);
    return;
  }
  const TopoDS_Shape shape = reader.OneShape();
  int solids = 0;
  int loose = 0;
  bool closed = true;
  double volume = 0.0;
  double area = 0.0;
  gp_XYZ moment;
  for (TopExp_Explorer at(shape, TopAbs_SOLID); at.More(); at.Next()) {
    GProp_GProps properties;
    BRepGProp::VolumeProperties(at.Current(), properties, kQuadrature);
    GProp_GProps surface;
    volume += properties.Mass();
    moment += properties.Mass() * properties.CentreOfMass().XYZ();
    BRepGProp::SurfaceProperties(at.Current(), surface, kQuadrature);
    area += surface.Mass();
    ++solids;
  }
  for (TopExp_Explorer at(shape, TopAbs_SHELL); at.More(); at.Next()) {
    closed = closed && BRep_Tool::IsClosed(at.Current());
  }
  for (TopExp_Explorer at(shape, TopAbs_FACE, TopAbs_SOLID); at.More(); at.Next()) {
    ++loose;
  }
  // Planes, cylinders, cones, spheres, tori: the first five of the kernel's own list.
  int kinds[6] = {};
  for (TopExp_Explorer at(shape, TopAbs_FACE); at.More(); at.Next()) {
    const int kind = BRepAdaptor_Surface(TopoDS::Face(at.Current())).GetType();
    ++kinds[kind <= GeomAbs_Torus ? kind : 5];
  }
  const gp_XYZ centre = moment / volume;
  ShapeAnalysis_ShapeTolerance tolerance;
  std::printf(
      "{\"file\": \"%s\", \"read\": true, \"valid\": %s, \"closed\": %s, \"solids\": %d, "
      "\"loose_faces\": %d, \"volume_mm3\": %.12g, \"area_mm2\": %.12g, "
      "\"centre_mm\": [%.12g, %.12g, %.12g], \"kinds\": [%d, %d, %d, %d, %d, %d], "
      "\"tolerance_mm\": %.6g}\n",
      path, BRepCheck_Analyzer(shape).IsValid() ? "true" : "false", closed ? "true" : "false",
      solids, loose, volume, area, centre.X(), centre.Y(), centre.Z(), kinds[0], kinds[1],
      kinds[2], kinds[3], kinds[4], kinds[5], tolerance.Tolerance(shape, 1));
}

}  // namespace

int main(int count, char **paths) {
  Message::DefaultMessenger()->ChangePrinters().Clear();
  for (int i = 1; i < count; ++i) {
    report(paths[i]);
  }
}
